"""Published worked examples and printed tables, recomputed by the clause functions.

One TOML file per document. ``[source]`` names it; every ``[[check]]`` holds a function, its inputs
and either the ``printed`` value or a bound. ``precision`` is the last printed digit: the computed
value has to round to the printed one, or to be cut to it (``printing = "cut"``). Where a document
is less exact than what it prints, ``within`` gives the distance and ``reason`` says why.
``[[rows]]`` is a list of such checks (inputs, then the printed value), ``[[grid]]`` a table with
an input along each side. ``origin`` tells a printed value from one quoted from memory.
"""

from __future__ import annotations

import importlib
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
ORIGINS = {"printed", "from memory", "common practice, no source"}
ROUNDING = 1e-9


@dataclass(frozen=True, kw_only=True)
class Check:
    """One number of a document and how to compute it."""

    name: str
    function: str
    inputs: dict[str, Any]
    claim: dict[str, Any]

    def computed(self) -> float:
        module, function = self.function.split(".")
        clause = getattr(importlib.import_module(f"feasibility.clauses.{module}"), function)
        return float(clause(**self.inputs)) * float(self.claim.get("times", 1))


def _checks(document: str, content: dict[str, Any]) -> Iterator[Check]:
    for number, item in enumerate(content.get("check", [])):
        yield Check(
            name=f"{document}-{number}-{item['what']}",
            function=item["function"],
            inputs=item["inputs"],
            claim=item,
        )
    for item in content.get("rows", []):
        for row in item["values"]:
            *given, printed = row
            yield Check(
                name=f"{document}-{item['what']}-{row}",
                function=item["function"],
                inputs=item.get("fixed", {}) | dict(zip(item["inputs"], given, strict=True)),
                claim=item | {"printed": printed},
            )
    for item in content.get("grid", []):
        yield from _grid_checks(document, item)


def _grid_checks(document: str, item: dict[str, Any]) -> Iterator[Check]:
    for row, cells in item["cells"].items():
        effective_row = item.get("row_means", {}).get(row, float(row))
        for column, printed in cells.items():
            sides = dict.fromkeys(item["row_inputs"], effective_row)
            sides[item["column_input"]] = float(column) * item.get("column_times", 1.0)
            yield Check(
                name=f"{document}-{item['what']}-{row}-{column}",
                function=item["function"],
                inputs=item["fixed"] | sides,
                claim=item | {"printed": printed},
            )


DOCUMENTS = {
    path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in HERE.glob("*.toml")
}
CHECKS = [check for name, content in DOCUMENTS.items() for check in _checks(name, content)]


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_document_is_named_and_every_figure_explained(document: str) -> None:
    content = DOCUMENTS[document]
    assert content["title"]
    assert {"document", "place"} <= set(content["source"])
    items = [*content.get("check", []), *content.get("rows", []), *content.get("grid", [])]
    assert items
    for item in items:
        assert item["unit"]
        assert item["origin"] in ORIGINS
        if "within" in item or "within_share" in item:
            assert item["reason"]


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.name)
def test_printed_figure(check: Check) -> None:
    computed, claim = check.computed(), check.claim
    bounds = {"at_least", "at_most", "above", "below"} & set(claim)
    assert bounds or "printed" in claim, "a check that claims nothing"
    if "printed" in claim:
        _assert_printed(computed, claim)
    if "at_least" in claim:
        assert computed >= claim["at_least"]
    if "at_most" in claim:
        assert computed <= claim["at_most"]
    if "above" in claim:
        assert computed > claim["above"]
    if "below" in claim:
        assert computed < claim["below"]


def _assert_printed(computed: float, claim: dict[str, Any]) -> None:
    printed = claim["printed"]
    if "within" in claim:
        assert computed == pytest.approx(printed, abs=claim["within"], rel=0)
    elif "within_share" in claim:
        assert computed == pytest.approx(printed, rel=claim["within_share"], abs=0)
    elif claim.get("printing", "rounded") == "cut":
        assert printed - ROUNDING <= computed < printed + claim["precision"]
    else:
        assert computed == pytest.approx(printed, abs=claim["precision"] / 2 + ROUNDING, rel=0)


def test_a_wrong_figure_is_told_apart() -> None:
    # The comparison itself must be able to fail: 2.06 is cut, not rounded, from 2.066.
    with pytest.raises(AssertionError):
        _assert_printed(2.066, {"printed": 2.06, "precision": 0.01})
    _assert_printed(2.066, {"printed": 2.06, "precision": 0.01, "printing": "cut"})
    with pytest.raises(AssertionError):
        _assert_printed(2.0701, {"printed": 2.06, "precision": 0.01, "printing": "cut"})
