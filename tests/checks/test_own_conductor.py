"""A conductor that the tables do not hold, by the user's own data sheet; shown as theirs."""

from __future__ import annotations

import pytest

from feasibility.assessment import Assessment
from feasibility.result import Outcome
from feasibility.survey.consistency import inconsistencies

from .sites import Changes, changed, found, quick, site_data

SITE = "bakery-yard"
MAIN = "Main cable: cable 1"
CABLE = "circuit[0].cable[0]"
# 20 mm2 is no section of IEC 60228; 17.24 ohm mm2/km with 2 % of stranding gives 0.879 ohm/km.
OFF_TABLE: Changes = {f"{CABLE}.section_mm2": 20, f"{CABLE}.protective_section_mm2": 20}
OWN: Changes = {
    **OFF_TABLE,
    f"{CABLE}.ampacity_a": 85,
    f"{CABLE}.resistance_ohm_per_km": 0.879,
    f"{CABLE}.protective_resistance_ohm_per_km": 0.879,
    f"{CABLE}.reactance_ohm_per_km": 0.09,
}


def test_an_off_table_section_is_refused_with_the_permitted_ones() -> None:
    for check, link in (("ampacity", MAIN), ("disconnection", "circuit 'Main cable'")):
        finding = found(check, link, SITE, OFF_TABLE)
        assert finding.outcome is Outcome.OPEN
        assert "20 is not tabulated; tabulated:" in str(finding.reason.values["reason"])


def test_its_own_data_let_the_conductor_be_judged() -> None:
    for check, link in (("ampacity", MAIN), ("disconnection", "circuit 'Main cable'")):
        assert found(check, link, SITE, OWN).outcome is Outcome.PASS
    ampacity = found("ampacity", MAIN, SITE, OWN)
    assert ampacity.limit == pytest.approx(85)
    origins = {q.origin for step in ampacity.working for q in step.inputs}
    assert "the user's own data sheet" in origins


def test_the_loop_follows_from_the_stated_resistances() -> None:
    """By hand: hot at 70 °C, 1 + 0.00393 * 50 = 1.1965 times the resistance at 20 °C."""
    finding = found("disconnection", "circuit 'Main cable'", SITE, OWN)
    length = site_data(SITE)["circuit"][0]["cable"][0]["length_m"]
    result = {step.symbol: step.result for step in finding.working}
    assert result["R1"] == pytest.approx(2 * 0.879 * length / 1000 * 1.1965, rel=1e-3)
    assert result["X1"] == pytest.approx(2 * 0.09 * length / 1000, rel=1e-3)


def test_the_same_data_as_the_table_give_the_same_answer() -> None:
    """IEC 60228, class 2, 16 mm2: 1.15 ohm/km."""
    stated: Changes = {
        f"{CABLE}.resistance_ohm_per_km": 1.15,
        f"{CABLE}.protective_resistance_ohm_per_km": 1.15,
    }

    def figures(assessment: Assessment) -> list[tuple[str, str, float | None, float | None]]:
        return [(one.check, one.link, one.value, one.limit) for one in assessment.findings]

    assert figures(quick(SITE)) == figures(quick(SITE, stated))


@pytest.mark.parametrize("stated", [0.5, 3.0, {"low": 0.5, "high": 1.2}])
def test_a_resistance_that_the_section_cannot_have_is_refused(stated: object) -> None:
    data = changed(site_data(SITE), {f"{CABLE}.resistance_ohm_per_km": stated})
    (problem,) = inconsistencies(data)
    assert problem.path == ("circuit", 0, "cable", 0, "resistance_ohm_per_km")
    assert "0.938 to 2.81 Ω/km" in problem.expected
    assert "16 mm²" in problem.expected


def test_data_of_a_cable_are_not_taken_over_by_the_one_beside_it() -> None:
    beside = {f"{CABLE}.parallel_cable": [{"section_mm2": 25, "length_m": 20}]}
    tabled = found("ampacity", MAIN, SITE, beside)
    own = found("ampacity", MAIN, SITE, beside, {f"{CABLE}.ampacity_a": 80})
    for finding in (tabled, own):
        (branch,) = [step for step in finding.working if step.symbol == "Iz2"]
        assert branch.result == pytest.approx(96 * 0.85)  # Tables B.52.4 and B.52.17, on a wall
