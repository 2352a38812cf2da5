"""Which columns a table may have: text, counts, and numbers whose name ends in their unit."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

UNIT_BY_ENDING: Mapping[str, str] = MappingProxyType(
    {
        "_a_s05_per_mm2": "A s^0.5/mm2",
        "_k_m_per_w": "K m/W",
        "_ohm_per_km": "ohm/km",
        "_percent": "%",
        "_exponent": "",
        "_coefficient": "",
        "_multiple": "",
        "_factor": "",
        "factor": "",
        "_mm2": "mm2",
        "_a2s": "A2 s",
        "_ohm": "ohm",
        "_ma": "mA",
        "_ka": "kA",
        "_a": "A",
        "_v": "V",
        "_s": "s",
        "_h": "h",
        "_c": "°C",
    }
)
COUNT_COLUMNS = frozenset(
    [
        "loaded",
        "circuits",
        "circuits_from",
        "circuits_to",
        "trays",
        "layers",
        "cores",
        "units_from",
        "units_to",
        "clock_position",
        "energy_class",
        "order",
        "ratio_from",
    ]
)
TEXT_COLUMNS = frozenset(
    [
        "arrangement",
        "assembly",
        "cable",
        "characteristic",
        "clause",
        "colour",
        "condition",
        "connection",
        "conductor",
        "conductor_kind",
        "confirmed_by",
        "constant",
        "construction",
        "cord",
        "decided_by",
        "device",
        "drum",
        "edition",
        "equipment",
        "family",
        "fault_current",
        "formation",
        "frequency",
        "gate",
        "gives",
        "insulation",
        "item",
        "limit",
        "method",
        "multiple_of",
        "must_trip",
        "note",
        "other_readings",
        "part",
        "poles",
        "rule",
        "scope",
        "source_ids",
        "spacing",
        "standard_id",
        "start",
        "supply",
        "system",
        "unit",
        "use",
        "voltage_range",
    ]
)


def unit_of(column: str) -> str | None:
    """Return the unit that the end of a column name stands for, None for text and counts."""
    if column in TEXT_COLUMNS or column in COUNT_COLUMNS:
        return None
    return next((unit for end, unit in UNIT_BY_ENDING.items() if column.endswith(end)), None)
