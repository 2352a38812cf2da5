"""Statements about the customer's own transformer that contradict one another or the supply."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    at_most,
    is_stated,
    number,
    single,
    table,
    text,
)

_PATH: KeyPath = ("supply", "transformer")
_FURTHEST_FROM_NOMINAL_PERCENT = 15
"""A distribution transformer is made for the nominal voltage of its network and a little above it
(common practice, no source)."""


def transformer_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Find contradictions in what a survey says of an own transformer."""
    supply = table(data, "supply")
    own = table(supply, "transformer")
    if not isinstance(supply.get("transformer"), Mapping):
        return
    if single(supply, "kind") == "public network":
        expected = '"own transformer" where [supply.transformer] describes one'
        yield Inconsistency(("supply", "kind"), single(supply, "kind"), expected)
    yield from _losses(own)
    yield from _voltages(own, number(supply, "nominal_voltage_v"))
    yield from _clock(own)
    yield from at_most(own, _PATH, "smallest_upstream_fault_mva", "largest_upstream_fault_mva")


def _losses(own: Table) -> Iterator[Inconsistency]:
    """Find losses above the short-circuit voltage, of which they are the resistive part."""
    loss, power = number(own, "load_loss_kw"), number(own, "rated_power_kva")
    voltage = number(own, "short_circuit_voltage_percent")
    if loss is None or power is None or voltage is None or loss < power * voltage / 100:
        return
    expected = (
        f"below {power * voltage / 100:g} kW, which the short-circuit voltage of {voltage:g} % "
        f"would be if it were all losses"
    )
    yield Inconsistency((*_PATH, "load_loss_kw"), single(own, "load_loss_kw"), expected)


def _voltages(own: Table, nominal_v: float | None) -> Iterator[Inconsistency]:
    if is_stated(own, "no_load_voltage_v") and is_stated(own, "tap_percent"):
        expected = "the voltage without load in one way only; no_load_voltage_v already gives it"
        yield Inconsistency((*_PATH, "tap_percent"), single(own, "tap_percent"), expected)
    rated_v = number(own, "rated_secondary_voltage_v")
    if rated_v is None or nominal_v is None:
        return
    low_v, high_v = (
        nominal_v * (100 + sign * _FURTHEST_FROM_NOMINAL_PERCENT) / 100 for sign in (-1, 1)
    )
    if not low_v <= rated_v <= high_v:
        expected = (
            f"a voltage between lines from {low_v:g} to {high_v:g} V "
            f"at a nominal voltage of {nominal_v:g} V"
        )
        key = "rated_secondary_voltage_v"
        yield Inconsistency((*_PATH, key), single(own, key), expected)


def _clock(own: Table) -> Iterator[Inconsistency]:
    """Windings of one kind turn the voltage by even hours, others by odd ones (IEC 60076-1, 7.1).

    A zigzag winding turns by 30 degrees, so it counts as a delta beside a star and the reverse.
    """
    group = text(own, "vector_group")
    parts = re.fullmatch(r"(D|YN?)(d|yn?|zn?)(\d+)", group or "")
    if parts is None:
        return
    high, low, hour = parts.groups()
    alike = {"D": "dz", "Y": "y"}[high[0]]
    even = low[0] in alike
    if (int(hour) % 2 == 0) is not even:
        expected = f"an {'even' if even else 'odd'} hour behind {high}{low}"
        yield Inconsistency((*_PATH, "vector_group"), group, expected)
