"""National limits and choices as data: each value with its clause and its force.

A code basis is a TOML file beside this module. Nothing national stands in code.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from feasibility.citation import Citation
from feasibility.result import Force, Quantity

_FOLDER = Path(__file__).parent


class UnknownCodeBasis(ValueError):
    """The survey names a code basis that is not there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit or rule: its force, its source, and its value where it has one of its own."""

    key: str
    force: Force
    citation: Citation
    value: float | None = None
    unit: str = ""
    text: str = ""

    def quantity(self, symbol: str, meaning: str) -> Quantity:
        """Return the limit's own value as a quantity for a working."""
        if self.value is None:
            message = f"limit {self.key!r} has no value of its own"
            raise ValueError(message)
        return Quantity(
            value=self.value,
            unit=self.unit,
            symbol=symbol,
            meaning=meaning,
            sources=(self.citation,),
            origin="code basis",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class FillRange:
    """What an unknown survey value is replaced by: its possible values and the reason.

    ``usual`` marks the plain or unfavourable case, which is no assumption worth a line.
    """

    options: tuple[float | int | str | bool, ...]
    reason: str
    usual: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeBasis:
    """One set of limits, choices and ranges.

    ``first_values`` stand for values that nobody has stated while a survey is being written, for a
    first indication only; a verdict never rests on them.
    """

    id: str
    title: str
    limits: Mapping[str, Limit]
    choices: Mapping[str, str]
    ranges: Mapping[str, FillRange]
    first_values: Mapping[str, FillRange]

    def limit(self, key: str) -> Limit:
        """Return the limit ``key``; KeyError means the code basis file is incomplete."""
        return self.limits[key]

    def number(self, key: str) -> float:
        """Return the value of the limit ``key``."""
        return self.limits[key].quantity("", "").value


def code_basis_names() -> tuple[str, ...]:
    """Return the ids of the code bases that are shipped."""
    return tuple(sorted(path.stem.replace("_", "-") for path in _FOLDER.glob("*.toml")))


@cache
def code_basis(name: str) -> CodeBasis:
    """Load the code basis ``name``; UnknownCodeBasis names the ones there are."""
    path = _FOLDER / f"{name.replace('-', '_')}.toml"
    if name not in code_basis_names():
        message = f"code basis {name!r} is not known; there is: {', '.join(code_basis_names())}"
        raise UnknownCodeBasis(message)
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    limits = {
        key: Limit(
            key=key,
            force=Force(entry["force"]),
            citation=Citation(
                source=entry["source"], clause=entry["clause"], note=entry.get("note", "")
            ),
            value=entry.get("value"),
            unit=entry.get("unit", ""),
            text=entry.get("text", ""),
        )
        for key, entry in data["limit"].items()
    }
    return CodeBasis(
        id=data["id"],
        title=data["title"],
        limits=limits,
        choices=data["choice"],
        ranges=_fill_ranges(data["range"]),
        first_values=_fill_ranges(data["first_value"]),
    )


def _fill_ranges(entries: Mapping[str, Any]) -> dict[str, FillRange]:
    return {
        key: FillRange(
            options=tuple(entry["options"]),
            reason=entry["reason"],
            usual=entry.get("usual", False),
        )
        for key, entry in entries.items()
    }
