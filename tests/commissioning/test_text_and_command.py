"""What the terminal shows of a comparison, its JSON, and with which exit code it ends."""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from feasibility.cli import main
from feasibility.examples import example_companions, example_path
from feasibility.render import commissioning_json as commissioning_json_module
from feasibility.render.commissioning_json import SCHEMA_VERSION, commissioning_json
from feasibility.render.commissioning_text import commissioning_text

from .records import Data, compared, read_at_the_bakery, shipped

SURVEY = str(example_path("bakery-yard"))
RECORD = example_companions("bakery-yard")["bakery-yard-record.toml"].decode()
SCHEMA = json.loads(
    Path(commissioning_json_module.__file__)
    .with_name("commissioning.schema.json")
    .read_text(encoding="utf-8")
)
VALIDATOR = Draft202012Validator(SCHEMA)


def run(tmp_path: Path, text: str, *options: str) -> Result:
    place = tmp_path / "record.toml"
    place.write_text(text, encoding="utf-8")
    return CliRunner().invoke(main, ["compare", SURVEY, str(place), *options])


def test_the_shipped_record_ends_with_the_code_for_a_difference(tmp_path: Path) -> None:
    result = run(tmp_path, RECORD)
    assert result.exit_code == 40, result.output
    assert "1. outlet (L2-N): about 61 mΩ too much, 36 W of heat" in result.stdout


def test_a_record_that_agrees_ends_with_0(tmp_path: Path) -> None:
    text = RECORD.replace("l2_n_v = 226.13", "l2_n_v = 227.49").replace("= 58\n", "= 35\n")
    result = run(tmp_path, text)
    assert result.exit_code == 0, result.output
    assert "WITHIN WHAT WAS EXPECTED" in result.stdout


def test_a_coarse_instrument_ends_with_30(tmp_path: Path) -> None:
    text = RECORD.replace("l2_n_v = 226.13", "l2_n_v = 227.49").replace("= 58\n", "= 35\n")
    result = run(tmp_path, text.replace("resolution_v = 0.01", "resolution_v = 0.1"))
    assert result.exit_code == 30, result.output


def test_a_faulty_record_ends_with_2_and_its_problems(tmp_path: Path) -> None:
    result = run(tmp_path, RECORD.replace("l1_a = 24.2", 'l1_a = "24,2"'))
    assert result.exit_code == 2
    assert "record.toml: 1 problem" in result.stderr
    assert "with a decimal point and without quotation marks" in result.stderr


def anything() -> list[Data]:
    nothing = shipped() | {"node": [], "temperature": []}
    nothing.pop("load")
    shorter = read_at_the_bakery({1: {f"L{phase}": -0.05 for phase in (1, 2, 3)}})
    loops = shipped()
    loops["node"][1]["loop_l1_ohm"] = 0.7
    loops["node"][2]["loop_l1_ohm"] = 0.95
    hot = shipped()
    hot["temperature"][0]["temperature_c"] = 120
    return [shipped(), nothing, shorter, loops, hot]


@pytest.mark.parametrize("number", range(5))
def test_the_text_fits_a_terminal_and_promises_nothing(number: int) -> None:
    text = commissioning_text(compared(anything()[number]))
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "safe" not in text.lower()
    assert "nan" not in text


def test_the_text_says_what_kind_of_difference_it_is() -> None:
    _, nothing, shorter, loops, hot = (commissioning_text(compared(one)) for one in anything())
    assert nothing.startswith("CANNOT TELL")
    assert "NOT COMPARED" in nothing
    assert "less than expected" in shorter
    assert "WHERE A RESISTANCE" not in shorter
    assert "exceeds the permitted 0.65" in loops
    assert "Yard outlet: device (L1)" in hot


def objects_in(node: Any) -> Iterator[dict[str, Any]]:
    if isinstance(node, dict):
        yield node
    for one in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
        yield from objects_in(one)


@pytest.mark.parametrize("number", range(5))
def test_the_json_keeps_to_its_schema_and_says_what_was_found(number: int) -> None:
    comparison = compared(anything()[number])
    document = json.loads(commissioning_json(comparison))
    assert [error.message for error in VALIDATOR.iter_errors(document)] == []
    assert document["agreement"] == comparison.agreement.value
    for drop, told in zip(comparison.drops, document["drops"], strict=True):
        assert told["expected_v"]["high"] == pytest.approx(drop.expected_v.high, rel=1e-5)
        assert (told["extra_ohm"] is None) == (drop.extra_ohm is None)
    assert [one["links"] for one in document["suspects"]] == [
        list(one.links) for one in comparison.suspects
    ]


def test_the_schema_is_closed_and_refuses_what_lacks_a_key_or_has_one_more() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["properties"]["schema_version"]["const"] == SCHEMA_VERSION
    document = json.loads(commissioning_json(compared(anything()[3])))
    for number, found in enumerate(objects_in(document)):
        for key in found:
            faulty = deepcopy(document)
            del list(objects_in(faulty))[number][key]
            assert not VALIDATOR.is_valid(faulty), key
        faulty = deepcopy(document)
        list(objects_in(faulty))[number]["other"] = None
        assert not VALIDATOR.is_valid(faulty)


def test_the_command_prints_the_json_with_the_same_exit_code(tmp_path: Path) -> None:
    result = run(tmp_path, RECORD, "--json")
    assert result.exit_code == 40
    document = json.loads(result.stdout)
    assert VALIDATOR.is_valid(document)
    assert document["suspects"][0]["links"] == ["outlet"]
