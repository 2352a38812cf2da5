"""Four limits on a device under a load that never rests, each with its own force and effect."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.result import Force, Outcome, Verdict

from .sites import SINGLE, asked, drawing, found, merged, pick, quick

DEVICE = "circuit[0].device"
LINK = "Yard outlet: device"
OWN_FACTOR = {f"{DEVICE}.temperature_factor": 0.7}


def test_each_limit_has_its_own_finding_and_force() -> None:
    result = quick(SINGLE, merged(OWN_FACTOR, {f"{DEVICE}.continuous_a": 30}))
    forces = {
        one.check: one.force
        for one in result.findings
        if one.link == LINK and one.depends_on_current
    }
    assert forces["device-rating"] is Force.REQUIREMENT
    assert forces["device-makers-factors"] is Force.MAKERS_LIMIT
    assert forces["continuous-current"] is Force.MAKERS_LIMIT
    assert forces["device-share"] is Force.PRACTICE
    assert forces["device-hold"] is Force.NUISANCE


def test_a_makers_factor_fails_where_a_typical_one_only_warns() -> None:
    warm = {f"{DEVICE}.enclosure_temperature_c": 60, f"{DEVICE}.loaded_neighbours": 8}
    typical = quick(SINGLE, warm, drawing(24))
    assert pick(typical, "device-hold", LINK).outcome is Outcome.CAUTION
    assert typical.verdict is Verdict.CARRIES
    own = quick(SINGLE, warm, drawing(24), OWN_FACTOR)
    assert pick(own, "device-makers-factors", LINK).outcome is Outcome.FAIL
    assert own.verdict is not Verdict.CARRIES


def test_the_makers_limit_is_not_asked_without_the_makers_figures() -> None:
    assert asked("device-makers-factors", SINGLE) == ()
    unknown = {f"{DEVICE}.temperature_factor": "unknown"}
    assert asked("device-makers-factors", SINGLE, unknown) == ()


def test_an_enclosure_hotter_than_published_data_warns_and_does_not_extrapolate() -> None:
    adjustable: dict[str, Any] = {
        DEVICE: {
            "kind": "IEC 60947-2 circuit-breaker",
            "rating_a": 63,
            "setting_a": 40,
            "magnetic_setting_a": 400,
            "breaking_capacity_ka": 10,
            "enclosure_temperature_c": 65,
        }
    }
    finding = found("device-hold", LINK, SINGLE, adjustable)
    assert finding.outcome is Outcome.CAUTION
    assert "temperature_c 65 is not tabulated" in str(finding.reason.values)


KINDS: dict[str, dict[str, Any]] = {
    "household": {"kind": "IEC 60898-1 circuit-breaker", "characteristic": "B"},
    "K": {"kind": "IEC 60947-2 circuit-breaker", "characteristic": "K"},
    "adjustable": {
        "kind": "IEC 60947-2 circuit-breaker",
        "setting_a": 32,
        "magnetic_setting_a": 320,
    },
    "selective": {"kind": "selective main circuit-breaker", "characteristic": "E"},
    "fuse": {"kind": "gG fuse"},
}


@settings(deadline=None, max_examples=60, derandomize=True)
@given(
    st.sampled_from(sorted(KINDS)),
    st.tuples(st.floats(-20, 60), st.floats(-20, 60)),
    st.tuples(st.integers(0, 12), st.integers(0, 12)),
)
def test_hotter_and_more_crowded_never_holds_more(
    kind: str, temperatures_c: tuple[float, float], neighbours: tuple[int, int]
) -> None:
    held = []
    for temperature_c, count in zip(sorted(temperatures_c), sorted(neighbours), strict=True):
        device = KINDS[kind] | {
            "rating_a": 32,
            "breaking_capacity_ka": 10,
            "enclosure_temperature_c": temperature_c,
            "loaded_neighbours": count,
        }
        limit = found("device-hold", LINK, SINGLE, {DEVICE: device}).limit
        assert limit is not None
        held.append(limit)
    assert held[1] <= held[0] <= 32


def test_terminals_smaller_than_the_device_before_them_are_found() -> None:
    # A 63 A device over terminals for 40 A (a fuse base, a terminal block): IEC 60364-4-43, 433.1.
    changes = {
        DEVICE: {
            "kind": "IEC 60898-1 circuit-breaker",
            "characteristic": "B",
            "rating_a": 63,
            "breaking_capacity_ka": 10,
        },
        "circuit[0].part": [{"kind": "terminal block", "rating_a": 40}],
    }
    finding = found("accessory-protection", "terminal block", SINGLE, changes)
    assert finding.outcome is Outcome.FAIL
    assert (finding.value, finding.limit) == (63, 40)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_device_at_its_reference_temperature_alone_holds_its_rating(kind: str) -> None:
    device = KINDS[kind] | {
        "rating_a": 32,
        "breaking_capacity_ka": 10,
        "enclosure_temperature_c": 20,
        "loaded_neighbours": 0,
    }
    assert found("device-hold", LINK, SINGLE, {DEVICE: device}).limit == pytest.approx(32)
