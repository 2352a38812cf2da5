"""Turn surveyed records into facts: the stated value, the code basis's range, or open."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import cache
from typing import Any

from feasibility.code_basis import CodeBasis
from feasibility.installation.facts import Fact
from feasibility.installation.field_words import FIELD_WORDS
from feasibility.survey.stated import Record, Stated

_UNITS = {
    "_mm2": "mm²",
    "_m": "m",
    "_ka": "kA",
    "_kva": "kVA",
    "_kwh": "kWh",
    "_mva": "MVA",
    "_kw": "kW",
    "_w": "W",
    "_ma": "mA",
    "_a": "A",
    "_a2s": "A²s",
    "_v": "V",
    "_hz": "Hz",
    "_ohm": "Ω",
    "_ohm_per_km": "Ω/km",
    "_c": "°C",
    "_percent": "%",
    "_ms": "ms",
    "_s": "s",
    "_k_m_per_w": "K·m/W",
}

_KNOWN = {
    None: "stated",
    "measured": "measured",
    "read": "read from label or drawing",
    "told": "told",
    "assumed": "assumed by the surveyor",
}


@cache
def unit_of(field: str) -> str:
    """Return the unit that a field's name ends in, or an empty string."""
    endings = [ending for ending in _UNITS if field.endswith(ending)]
    return _UNITS[max(endings, key=len)] if endings else ""


@cache
def words_of(field: str) -> str:
    """Return what a field is called, without its unit."""
    if field in FIELD_WORDS:
        return FIELD_WORDS[field]
    endings = [ending for ending in _UNITS if field.endswith(ending)]
    stem = field.removesuffix(max(endings, key=len)) if endings else field
    return stem.replace("_", " ")


@dataclass(frozen=True, slots=True, kw_only=True)
class Resolved:
    """A surveyed record whose fields are asked for as facts.

    ``kind`` is the key under which the code basis keeps ranges for its fields, ``path`` and
    ``label`` say where and what it is.
    """

    record: Record | None
    kind: str
    path: str
    label: str
    basis: CodeBasis

    def number(self, field: str, *, fill: str = "") -> Fact[float]:
        """Return a numeric field. ``fill`` overrides the key of its range in the code basis."""
        return self._fact(field, fill)

    def word(self, field: str, *, fill: str = "") -> Fact[str]:
        """Return a field that holds one of a set of words."""
        return self._fact(field, fill)

    def flag(self, field: str, *, fill: str = "") -> Fact[bool]:
        """Return a yes-or-no field."""
        return self._fact(field, fill)

    def date(self, field: str) -> Fact[dt.date]:
        """Return a field that holds a date."""
        return self._fact(field, "")

    def has(self, field: str) -> bool:
        """Whether the survey states a value or bounds for the field."""
        stated: Stated[Any] | None = getattr(self.record, field, None)
        return stated is not None and not stated.unknown

    def mentions(self, field: str) -> bool:
        """Whether the survey speaks of the field at all, be it as unknown."""
        return getattr(self.record, field, None) is not None

    def _fact(self, field: str, fill: str) -> Fact[Any]:
        stated: Stated[Any] | None = getattr(self.record, field, None)
        path = f"{self.path}.{field}"
        label = f"{words_of(field)} of {self.label}"
        unit = unit_of(field)
        if stated is not None and stated.value is not None:
            return Fact(
                path=path, label=label, unit=unit, options=(stated.value,), origin=_origin(stated)
            )
        if stated is not None and stated.low is not None:
            return Fact(
                path=path,
                label=label,
                unit=unit,
                options=(stated.low, stated.high),
                origin=_origin(stated),
                reason=stated.note or "the survey gives bounds only",
            )
        filled = self.basis.ranges.get(fill or f"{self.kind}.{field}")
        if filled is None:
            return Fact(path=path, label=label, unit=unit, options=())
        return Fact(
            path=path,
            label=label,
            unit=unit,
            options=filled.options,
            origin="not known; range of the code basis",
            reason=filled.reason,
            filled=not filled.usual,
        )


def _origin(stated: Stated[Any]) -> str:
    words = [_KNOWN[stated.known]]
    if stated.instrument:
        words.append(f"with {stated.instrument}")
    if stated.date:
        words.append(f"on {stated.date.isoformat()}")
    if stated.method:
        words.append(f"({stated.method})")
    return " ".join(words)
