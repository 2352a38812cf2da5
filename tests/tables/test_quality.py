"""Harmonic limits and the reference impedance, against what other documents print."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from feasibility.tables import (
    NotTabulated,
    class_a_harmonic_limits,
    harmonic_limits,
    reference_impedance,
    smallest_short_circuit_ratio,
    table,
)

BALANCED = "balanced three-phase"
KINDS = (BALANCED, "other than balanced three-phase")

# An engineer's note on a 30 kW rectifier module (see sources.csv) prints Table 3 of EN 61000-3-12:
# ratio, orders 5, 7, 11, 13, THC, PWHC, in percent.
TABLE_3_AS_PRINTED = (
    (33, 10.7, 7.2, 3.1, 2.0, 13, 22),
    (66, 14.0, 9.0, 5.0, 3.0, 16, 25),
    (120, 19.0, 12.0, 7.0, 4.0, 22, 28),
    (250, 31.0, 20.0, 12.0, 7.0, 37, 38),
    (350, 40.0, 25.0, 15.0, 10.0, 48, 46),
)


@pytest.mark.parametrize("printed", TABLE_3_AS_PRINTED)
def test_table_3_reads_as_the_note_prints_it(printed: tuple[float, ...]) -> None:
    ratio, *percents = printed
    found, _ = harmonic_limits(equipment=BALANCED, short_circuit_ratio=ratio)
    names = ("i5", "i7", "i11", "i13", "thc", "pwhc")
    assert [found.percent[name].value for name in names] == percents
    assert set(found.percent) == set(names)
    assert "one source" in found.percent["i5"].note


def test_class_a_reads_as_the_note_prints_it() -> None:
    # The same note, class A of EN 61000-3-2.
    printed = {"i3": 2.3, "i5": 1.14, "i7": 0.77, "i9": 0.4, "i11": 0.33, "i13": 0.21}
    found = class_a_harmonic_limits()
    assert {name: limit.value for name, limit in found.items()} == printed
    assert {limit.unit for limit in found.values()} == {"A"}


def test_line_and_neutral_of_the_reference_impedance_add_up_to_the_loop() -> None:
    # An open study of a feeder: IEC 60725 has 0.4 + j0.25 ohm for a single-phase load.
    line = reference_impedance(conductor="line conductor")
    neutral = reference_impedance(conductor="neutral")
    assert [a.value + b.value for a, b in zip(line, neutral, strict=True)] == pytest.approx(
        [0.4, 0.25]
    )
    with pytest.raises(NotTabulated, match="item"):
        reference_impedance(conductor="protective conductor")


@pytest.mark.parametrize("kind", KINDS)
def test_limits_loosen_with_a_stronger_network_and_tighten_with_the_order(kind: str) -> None:
    rows = [row for row in table("harmonics_61000_3_12").rows if row.text("equipment") == kind]
    ratios = [row.number("ratio_from") for row in rows]
    limits = [harmonic_limits(equipment=kind, short_circuit_ratio=one)[0] for one in ratios]
    assert smallest_short_circuit_ratio(equipment=kind) == min(ratios) == 33
    for weaker, stronger in pairwise(limits):
        assert all(
            stronger.percent[name].value >= weaker.percent[name].value for name in weaker.percent
        )
    for limit in limits:
        orders = [limit.percent[name].value for name in limit.percent if name.startswith("i")]
        assert orders == sorted(orders, reverse=True)
        assert limit.percent["thc"].value >= max(orders)


def test_the_next_row_is_given_up_to_the_last() -> None:
    lower, upper = harmonic_limits(equipment=BALANCED, short_circuit_ratio=119.9)
    assert upper is not None
    assert (lower.ratio_from, upper.ratio_from) == (66, 120)
    last, none = harmonic_limits(equipment=BALANCED, short_circuit_ratio=350)
    assert (last.ratio_from, none) == (350, None)
    for low in (32.999, 0.0, -1.0, math.nan):
        with pytest.raises(NotTabulated, match="short_circuit_ratio"):
            harmonic_limits(equipment=BALANCED, short_circuit_ratio=low)


def test_what_no_document_confirms_says_so() -> None:
    other, _ = harmonic_limits(equipment=KINDS[1], short_circuit_ratio=33)
    assert "from memory" in other.percent["i3"].note
    assert "from memory" in reference_impedance(conductor="neutral")[0].note
