"""A stronger network never makes an answer on power quality worse, a larger load never better."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from feasibility.checks import power_quality
from feasibility.checks.harmonic_emission import HARMONICS, RATIO
from feasibility.checks.run import run_catalogue
from feasibility.installation.build import build_installation
from feasibility.result import Outcome

from ..checks.sites import SINGLE, Changes, site

QUICK = settings(
    max_examples=20,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
CHECKS = (RATIO, HARMONICS, *power_quality.CHECKS)
GOOD = (Outcome.PASS, Outcome.NOT_APPLICABLE)
NAMES = ("camp-site-kiosk", SINGLE)


def answers(name: str, *changes: Changes) -> dict[str, bool]:
    """Whether each check is content."""
    judgement = run_catalogue(build_installation(site(name, *changes)), CHECKS)
    return {one.unfavourable.check: one.unfavourable.outcome in GOOD for one in judgement.judged}


def not_worse(better: dict[str, bool], worse: dict[str, bool]) -> None:
    assert set(better) == set(worse)
    assert all(better[check] >= worse[check] for check in better)


def _strength(kva: float) -> Changes:
    return {
        "supply.prospective_fault_current_ka": 50,
        "supply.short_circuit_power_kva": kva,
        "station.permitted_supply_impedance_ohm": 0.1,
    }


pairs = st.tuples(st.floats(20, 20_000), st.floats(20, 20_000)).map(sorted)


@QUICK
@given(st.sampled_from(NAMES), pairs, st.floats(0.5, 12))
def test_a_stronger_network_is_never_worse(
    name: str, powers: Sequence[float], distortion: float
) -> None:
    harmonics: Changes = {
        "station.third_harmonic_percent": 0,
        "station.harmonic_5_percent": 0.8 * distortion,
        "station.harmonic_7_percent": 0.3 * distortion,
        "station.harmonic_11_percent": 0.1 * distortion,
        "station.harmonic_13_percent": 0.1 * distortion,
        "station.current_distortion_percent": distortion,
        "station.weighted_distortion_percent": 2 * distortion,
    }
    weak, strong = powers
    if name == "camp-site-kiosk":
        harmonics = {**harmonics, "station.harmonic_9_percent": 0.1 * distortion}
    not_worse(
        answers(name, harmonics, _strength(strong)), answers(name, harmonics, _strength(weak))
    )


@QUICK
@given(st.sampled_from(NAMES), st.tuples(st.floats(0.5, 15), st.floats(0.5, 15)).map(sorted))
def test_a_larger_fault_current_is_never_worse(name: str, currents: Sequence[float]) -> None:
    weak, strong = ({"supply.prospective_fault_current_ka": one} for one in currents)
    not_worse(answers(name, strong), answers(name, weak))


@QUICK
@given(
    st.sampled_from(NAMES),
    st.sampled_from(("station.inrush_peak_a", "station.harmonic_5_percent")),
    st.tuples(st.floats(0, 4), st.floats(0, 4)).map(sorted),
    st.floats(50, 1500),
)
def test_more_disturbance_is_never_better(
    name: str, field: str, values: Sequence[float], kva: float
) -> None:
    scale = 100 if field.endswith("_a") else 0.7
    less, more = ({field: scale * one} for one in values)
    not_worse(answers(name, _strength(kva), less), answers(name, _strength(kva), more))
