"""Cables in parallel: equal ones add up, unequal ones share by impedance.

By hand from IEC 60364-5-52:2009 (Table B.52.4 method C: 76 A for 16 mm2, 96 A for 25 mm2; Table
B.52.17: 0.80 for two) and IEC 60228 (1.15 and 0.727 ohm/km), 0.08 ohm/km reactance: |Z| is 1.1528
and 0.7314 ohm/km, so 38.8 % and 61.2 % of the current. IEC 60364-5-52, 523.7: the first that is
full holds the whole.
"""

from __future__ import annotations

import pytest

from feasibility.result import Outcome, Quantity

from ..formulas import faults_of
from ..regression.test_shipped_sites import steps_of
from .sites import Changes, asked, found, quick, site_data

MAIN = "Main cable: cable 1"
SITE = "bakery-yard"
BESIDE = "circuit[0].cable[0].parallel_cable"
LENGTH_M: float = site_data(SITE)["circuit"][0]["cable"][0]["length_m"]
BUNCHED: Changes = {"circuit[0].cable[0].grouping": "bunched"}


def beside(**fields: object) -> Changes:
    return {**BUNCHED, BESIDE: [fields]}


def test_an_equal_cable_stated_by_itself_is_the_same_as_two_in_parallel() -> None:
    twice = {**BUNCHED, "circuit[0].cable[0].in_parallel": 2}
    stated = beside(section_mm2=16, length_m=LENGTH_M)
    for check in ("ampacity", "disconnection"):
        link = MAIN if check == "ampacity" else "circuit 'Main cable'"
        one, other = found(check, link, SITE, twice), found(check, link, SITE, stated)
        assert one.value == pytest.approx(other.value)
        assert one.limit == pytest.approx(other.limit)


def test_the_cable_with_the_larger_share_holds_the_whole() -> None:
    finding = found("ampacity", MAIN, SITE, beside(section_mm2=25, length_m=LENGTH_M))
    first, second = 1 / complex(1.15, 0.08), 1 / complex(0.727, 0.08)
    share = abs(second) / abs(first + second)
    assert share == pytest.approx(0.612, abs=1e-3)
    assert finding.limit == pytest.approx(96 * 0.8 / share, rel=1e-6)
    assert finding.limit == pytest.approx(125.5, abs=0.1)


def test_a_longer_cable_in_parallel_takes_less_and_gives_less() -> None:
    limits = [
        found("ampacity", MAIN, SITE, beside(section_mm2=16, length_m=factor * LENGTH_M)).limit or 0
        for factor in (1, 1.5, 2, 4)
    ]
    assert limits == sorted(limits, reverse=True)
    assert limits[-1] < 76 * 0.8 * 1.26


@pytest.mark.parametrize(
    ("fields", "named"),
    [
        ({"section_mm2": 25}, "length"),
        ({"length_m": 20}, "section"),
        ({"section_mm2": 25, "length_m": {"low": 10, "high": 20}}, "length"),
    ],
)
def test_what_is_not_known_of_a_parallel_cable_is_open(
    fields: dict[str, object], named: str
) -> None:
    finding = found("ampacity", MAIN, SITE, beside(**fields))
    assert finding.outcome is Outcome.OPEN
    assert f"{named} of parallel cable 1" in str(finding.reason.values)


DATA_SHEET: Changes = {"circuit[0].cable[0].resistance_ohm_per_km": {"low": 0.95, "high": 1.15}}


def test_a_range_of_a_data_sheet_resistance_has_no_worse_end_and_is_open() -> None:
    # The less its resistance, the more of the current flows in the cable that is full first.
    longer = 1.5 * LENGTH_M
    other = beside(section_mm2=25, length_m=longer)
    finding = found("ampacity", MAIN, SITE, other, DATA_SHEET)
    assert finding.outcome is Outcome.OPEN
    assert "circuit[1].cable[1].resistance_ohm_per_km" in finding.facts
    limits = []
    for ohm_per_km in (0.95, 1.15):
        settled = {"circuit[0].cable[0].resistance_ohm_per_km": ohm_per_km}
        first, second = 1 / complex(ohm_per_km, 0.08), 1 / (1.5 * complex(0.727, 0.08))
        share = abs(first) / abs(first + second)
        limits.append(found("ampacity", MAIN, SITE, other, settled).limit or 0)
        assert limits[-1] == pytest.approx(76 * 0.8 / share, rel=1e-6)
    assert limits[0] < 0.92 * limits[1]


def test_two_unequal_cables_each_count_with_their_own_section_and_length() -> None:
    # IEC 60364-5-52:2009, Table B.52.4, method C: 57 A for 10 mm2; Table B.52.17: 0.70 for three;
    # IEC 60228: 1.83 ohm/km.
    lengths_m = (LENGTH_M, 20.0, 12.0)
    others = [{"section_mm2": 25, "length_m": 20.0}, {"section_mm2": 10, "length_m": 12.0}]
    changes: Changes = {**BUNCHED, BESIDE: others}
    per_km = (complex(1.15, 0.08), complex(0.727, 0.08), complex(1.83, 0.08))
    branches = [1000 / (z * length) for z, length in zip(per_km, lengths_m, strict=True)]
    shares = [abs(one) / abs(sum(branches)) for one in branches]
    capacities = [0.7 * one for one in (76, 96, 57)]
    limit = min(one / share for one, share in zip(capacities, shares, strict=True))
    assert found("ampacity", MAIN, SITE, changes).limit == pytest.approx(limit, rel=1e-6)
    named = found("parallel-cables", MAIN, SITE, changes).reason.values
    assert isinstance(named["largest"], Quantity)
    assert named["largest"].value == pytest.approx(100 * max(shares[1:]))


def test_every_step_about_unequal_cables_can_be_re_derived() -> None:
    others = [{"section_mm2": 25, "length_m": 20.0}, {"section_mm2": 10, "length_m": 12.0}]
    steps = [step for _, step in steps_of(quick(SITE, {**BUNCHED, BESIDE: others}))]
    assert {"G", "B", "s3", "Iz3"} <= {step.symbol for step in steps}
    assert [fault for step in steps for fault in faults_of(step)] == []


def test_a_parallel_cable_without_protective_conductor_does_not_help_the_earth_fault() -> None:
    link = "circuit 'Main cable'"
    fields = {"section_mm2": 16, "length_m": LENGTH_M}
    without = found("disconnection", link, SITE, beside(**fields, protective_section_mm2=0))
    with_one = found("disconnection", link, SITE, beside(**fields))
    alone = found("disconnection", link, SITE, BUNCHED)
    assert alone.value is not None
    assert without.value is not None
    assert with_one.value is not None
    assert alone.value < without.value < with_one.value


def test_the_shares_are_named_for_whoever_measures() -> None:
    finding = found("parallel-cables", MAIN, SITE, beside(section_mm2=25, length_m=LENGTH_M))
    first, largest = (finding.reason.values[name] for name in ("first", "largest"))
    assert isinstance(first, Quantity)
    assert isinstance(largest, Quantity)
    assert first.value == pytest.approx(38.8, abs=0.1)
    assert largest.value == pytest.approx(61.2, abs=0.1)
    assert not asked("parallel-cables", SITE)


ARMOURED: Changes = {
    "circuit[0].cable[0].construction": "single-core",
    "circuit[0].cable[0].method": "F",
    "circuit[0].cable[0].laid": "trefoil",
    "circuit[0].cable[0].section_mm2": 25,
    "circuit[0].cable[0].metallic_covering": "armour",
}


def test_single_core_cables_with_armour_are_refused_by_the_tables() -> None:
    finding = found("ampacity", MAIN, SITE, ARMOURED)
    assert finding.outcome is Outcome.OPEN
    assert "metallic covering of single-core cables armour" in str(finding.reason.values)
    bare = found(
        "ampacity", MAIN, SITE, {**ARMOURED, "circuit[0].cable[0].metallic_covering": "none"}
    )
    # IEC 60364-5-52:2009, Table B.52.10, F trefoil, 25 mm2: 110 A.
    assert bare.limit == pytest.approx(110)
    own = found("ampacity", MAIN, SITE, {**ARMOURED, "circuit[0].cable[0].ampacity_a": 90})
    assert own.limit == pytest.approx(90)


def test_multicore_cables_with_armour_use_the_tables() -> None:
    plain = found("ampacity", MAIN, SITE, {})
    armoured = found("ampacity", MAIN, SITE, {"circuit[0].cable[0].metallic_covering": "armour"})
    assert armoured.limit == plain.limit
