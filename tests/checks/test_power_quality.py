"""Power quality at the connection: scope, what stands for unknown facts, what never binds."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from types import MappingProxyType

import pytest

from feasibility.checks import power_quality
from feasibility.checks.harmonic_emission import HARMONICS, RATIO
from feasibility.checks.neutral import CURRENT
from feasibility.checks.run import run_catalogue
from feasibility.installation.build import build_installation
from feasibility.render.numbers import message_text
from feasibility.result import Finding, Outcome, Verdict

from .cases_of_power_quality import power, ratio
from .sites import (
    GONE,
    SINGLE,
    Changes,
    asked,
    found,
    outcomes,
    quick,
    site,
    step_result,
    third_harmonic,
)

BAKERY, KIOSK = "bakery-yard", "camp-site-kiosk"
QUALITY = (RATIO, HARMONICS, *power_quality.CHECKS)
ALL_DECLARED: Changes = {
    "station.permitted_supply_impedance_ohm": 0.1,
    "station.declared_service_current_a": 50,
}
OWN: Changes = {"supply.kind": "own transformer"}


def judged(name: str, *changes: Changes) -> dict[str, Finding]:
    """Return every finding on power quality of a changed site."""
    judgement = run_catalogue(build_installation(site(name, *changes)), QUALITY)
    return {one.unfavourable.check: one.unfavourable for one in judgement.judged}


@pytest.mark.parametrize("name", [SINGLE, KIOSK])
def test_behind_an_own_transformer_nothing_of_it_applies_and_each_says_why(name: str) -> None:
    # IEC 61000-3-12 and -3-11, clause 1: public low-voltage networks only.
    findings = judged(name, ALL_DECLARED, OWN)
    assert len(findings) == (7 if name == KIOSK else 6)
    for finding in findings.values():
        assert finding.outcome is Outcome.NOT_APPLICABLE
        assert "own transformer" in message_text(finding.reason)


def test_a_supply_of_unknown_kind_is_asked_as_a_public_one() -> None:
    findings = judged(SINGLE, ALL_DECLARED, {"supply.kind": GONE})
    assert {one.outcome for one in findings.values()} == {Outcome.PASS}


def test_what_the_maker_does_not_declare_is_not_asked() -> None:
    assert set(judged(SINGLE)) == {RATIO.name, HARMONICS.name, "voltage-change", "inrush-voltage"}
    assert "voltage-unbalance" in judged(KIOSK)


@pytest.mark.parametrize(
    ("rated_a", "declares"), [(16.0, False), (16.01, True), (75.0, True), (75.01, False)]
)
def test_a_ratio_is_declared_above_16_a_and_up_to_75_a(rated_a: float, *, declares: bool) -> None:
    # IEC 61000-3-12, clause 1: more than 16 A and up to 75 A per phase.
    finding = found(RATIO.name, "", SINGLE, {"station.nameplate_current_a": rated_a})
    assert (finding.outcome is not Outcome.NOT_APPLICABLE) is declares


def test_above_75_a_the_operator_must_be_asked() -> None:
    large = {"station.nameplate_current_a": 90, "supply.prospective_fault_current_ka": 30}
    findings = judged(SINGLE, large)
    for name in (HARMONICS.name, "voltage-change", "inrush-voltage"):
        assert findings[name].outcome is Outcome.CAUTION
        assert "sk" in message_text(findings[name].reason)


def test_at_75_a_exactly_the_voltage_change_is_judged_and_above_both_figures_are_named() -> None:
    # IEC 61000-3-11, clause 1: up to 75 A per phase.
    large: Changes = {"supply.prospective_fault_current_ka": 30}
    for rated_a, outcome in ((75, Outcome.PASS), (76, Outcome.CAUTION)):
        changes = {**large, "station.nameplate_current_a": rated_a}
        finding = found("voltage-change", "", SINGLE, changes)
        assert finding.outcome is outcome
        for part in ("A step of {step}", "is within the usual {limit}"):
            assert part in finding.reason.template


def test_below_a_ratio_of_33_there_is_nothing_to_compare_with() -> None:
    # IEC 61000-3-12, Table 3 begins at 33.
    strong, weak = (found(HARMONICS.name, "", SINGLE, ratio(value)) for value in (33.001, 32.999))
    assert strong.outcome is Outcome.PASS
    assert weak.outcome is Outcome.CAUTION
    assert weak.value == pytest.approx(32.999)
    assert weak.limit == 33


def test_what_the_operator_states_counts_before_the_fault_current() -> None:
    # 3000 kVA / 22.17 kVA; without it 5.2 kA / 1.1 / 32 A.
    stated = found(RATIO.name, "", SINGLE, power(3000))
    derived = found(RATIO.name, "", SINGLE)
    assert stated.value == pytest.approx(3000 / (sqrt(3) * 0.4 * 32))
    assert derived.value == pytest.approx(5200 / 1.1 / 32)


def test_without_a_nameplate_the_requested_current_counts() -> None:
    finding = found(RATIO.name, "", SINGLE, {"station.nameplate_current_a": GONE})
    requested = quick(SINGLE, {"station.nameplate_current_a": GONE}).requested_current_a
    assert requested is not None
    assert finding.value == pytest.approx(5200 / 1.1 / requested)


def test_harmonics_that_are_not_stated_are_bounded_by_the_distortion_as_a_whole() -> None:
    unstated: Changes = {
        f"station.{name}": GONE
        for name in (
            "harmonic_5_percent",
            "harmonic_7_percent",
            "harmonic_11_percent",
            "harmonic_13_percent",
            "weighted_distortion_percent",
            "third_harmonic_percent",
        )
    }
    # Table 3 at 33: the 13th harmonic has the smallest limit, 2 %; sqrt(40) x 2 % is under 22 %.
    low = {**unstated, "station.current_distortion_percent": 1.99, **ratio(33)}
    high = {**unstated, "station.current_distortion_percent": 2.01, **ratio(33)}
    assert found(HARMONICS.name, "", SINGLE, low).outcome is Outcome.PASS
    doubtful = found(HARMONICS.name, "", SINGLE, high)
    assert doubtful.outcome is Outcome.CAUTION
    assert doubtful.facts == ("station.harmonic_13_percent",)


def test_one_stated_harmonic_above_its_limit_answers_whatever_else_is_unknown() -> None:
    changes = {
        "station.current_distortion_percent": GONE,
        "station.harmonic_7_percent": GONE,
        "station.harmonic_5_percent": 25,
        **ratio(66),
    }
    finding = found(HARMONICS.name, "", SINGLE, changes)
    assert (finding.outcome, finding.value, finding.limit) == (Outcome.CAUTION, 25, 14)


def test_a_step_that_nobody_knows_is_the_whole_current() -> None:
    changes: Changes = {"station.largest_step_a": GONE, "station.ramp_s": GONE}
    requested = quick(SINGLE, changes).requested_current_a
    assert requested is not None
    finding = found("voltage-change", "", SINGLE, changes)
    assert step_result(finding, "dI") == pytest.approx(requested)
    assert finding.value == pytest.approx(100 * requested * 1.1 / 5200)


@pytest.mark.parametrize(
    ("ramp", "sudden_a"), [(GONE, 50), (0.99, 50), (1.0, 37.947), ({"low": 0.5, "high": 3}, 50)]
)
def test_only_a_step_that_is_known_to_be_slow_is_not_sudden(ramp: object, sudden_a: float) -> None:
    # Inrush of 60 A peak over 8 ms: 60 / sqrt(2) x sqrt(0.8) = 37.95 A.
    changes = {
        "station.largest_step_a": 50,
        "station.nameplate_current_a": 63,
        "station.ramp_s": ramp,
    }
    finding = found("inrush-voltage", "", SINGLE, changes)
    assert step_result(finding, "dIm") == pytest.approx(sudden_a, rel=1e-4)


def test_an_inrush_of_unknown_length_lasts_half_a_period() -> None:
    finding = found("inrush-voltage", "", SINGLE, {"station.inrush_duration_ms": GONE})
    assert step_result(finding, "Ihp") == pytest.approx(60 / sqrt(2))


def test_half_a_period_of_50_hz_is_10_ms() -> None:
    finding = found("inrush-voltage", "", SINGLE, {"station.inrush_duration_ms": GONE})
    (pulse,) = [step for step in finding.working if step.symbol == "Ihp"]
    assert [one.value for one in pulse.inputs if one.symbol == "t"] == [10.0]


def test_a_smaller_earth_loop_of_a_separate_conductor_does_not_count() -> None:
    loop = {"supply.earthing_system": "TN-S", "supply.external_loop_impedance_ohm": 0.02}
    finding = found("voltage-change", "", KIOSK, loop)
    assert "Zs" not in [step.symbol for step in finding.working]


@pytest.mark.parametrize(
    ("check", "inside", "outside"),
    [
        (RATIO.name, {"station.declared_short_circuit_ratio": 33}, ratio(32)),
        (
            "supply-impedance",
            {"station.permitted_supply_impedance_ohm": 0.1},
            {"station.permitted_supply_impedance_ohm": 0.01},
        ),
        (
            "service-current",
            {"station.declared_service_current_a": 50},
            {"station.declared_service_current_a": 100},
        ),
    ],
)
def test_the_sentence_names_both_figures_and_asks_where_they_do_not_fit(
    check: str, inside: Changes, outside: Changes
) -> None:
    for changes, asks in ((inside, False), (outside, True)):
        finding = found(check, "", SINGLE, inside, changes)
        reason = finding.reason.template
        assert "{value}" in reason
        assert "{limit}" in reason
        assert ("ask the network operator" in reason) is asks


def test_a_service_setting_that_may_vary_counts_at_its_lower_end() -> None:
    device = {
        "kind": "IEC 60947-2 circuit-breaker",
        "rating_a": 63,
        "setting_a": {"low": 45, "high": 63},
        "magnetic_setting_a": 400,
        "breaking_capacity_ka": 25,
    }
    finding = found(
        "service-current",
        "",
        SINGLE,
        {"supply.service_device": device, "station.declared_service_current_a": 50},
    )
    assert (finding.outcome, finding.value) == (Outcome.CAUTION, 45)


def test_a_measured_loop_that_is_larger_than_line_and_neutral_counts() -> None:
    loop = {"supply.earthing_system": "TN-S", "supply.external_loop_impedance_ohm": 0.5}
    finding = found("voltage-change", "", KIOSK, loop)
    assert step_result(finding, "Zs") == 0.5


@pytest.mark.parametrize("check", [one.name for one in QUALITY])
def test_none_of_it_binds_or_changes_the_verdict(check: str) -> None:
    # The limits bound what a load does to the network; nothing on the feed path is in danger.
    weak: Changes = {
        "supply.short_circuit_power_kva": 400,
        **ALL_DECLARED,
        "station.largest_step_a": 30,
        "station.declared_service_current_a": 100,
    }
    plain, worse = quick(BAKERY), quick(BAKERY, weak)
    assert check not in outcomes(worse, Outcome.FAIL) | outcomes(worse, Outcome.OPEN)
    assert worse.verdict is plain.verdict is Verdict.CARRIES
    assert worse.carryable_current_a == plain.carryable_current_a
    assert worse.advised_current_a == plain.advised_current_a
    assert {"short-circuit-ratio", "harmonic-current", "voltage-change"} <= outcomes(
        worse, Outcome.CAUTION
    )


def test_a_national_limit_on_unbalance_counts_where_the_code_basis_has_one() -> None:
    # 4.6 kVA is the value of a national connection rule; 13 A x 230.9 V = 3.0 kVA.
    for value, expected in ((4.6, Outcome.PASS), (2.9, Outcome.CAUTION)):
        installation = build_installation(site(KIOSK))
        basis = installation.basis
        limit = replace(basis.limit("national_unbalance_kva"), value=value, unit="kVA")
        limits = MappingProxyType({**basis.limits, "national_unbalance_kva": limit})
        changed = replace(installation, basis=replace(basis, limits=limits))
        (one,) = run_catalogue(changed, (power_quality.UNBALANCE,)).judged
        assert one.unfavourable.outcome is expected
    (plain,) = asked(power_quality.UNBALANCE.name, KIOSK)
    assert "ask the network operator" in message_text(plain.unfavourable.reason)


def test_the_neutral_of_a_shared_cable_says_that_other_harmonics_are_not_counted() -> None:
    main = found(CURRENT.name, "Main cable: cable 1", BAKERY)
    own = found(CURRENT.name, "Yard outlet: cable 1", BAKERY)
    assert "not counted" in message_text(main.reason)
    assert "not counted" not in message_text(own.reason)
    # 21 A of the worst phase, 350 W / 207.8 V, and 3 x 3 % of 24.48 A.
    assert main.value == pytest.approx(21 + 350 / (360 / sqrt(3)) + 0.09 * 24.48, rel=1e-3)


def test_a_data_sheet_ampacity_of_the_lines_is_not_that_of_a_smaller_neutral() -> None:
    changes = {
        "circuit[0].cable[0].section_mm2": 25,
        "circuit[0].cable[0].neutral_section_mm2": 16,
        "circuit[0].cable[0].ampacity_a": 200,
    }
    # Table B.52.4, method C, 16 mm2: 76 A.
    assert found(CURRENT.name, "Main cable: cable 1", BAKERY, changes).limit == 76


def test_a_third_harmonic_of_unknown_size_takes_the_worst_share_of_its_range() -> None:
    # 45 % needs 1.35 / 0.86 of the line current, 50 % only 1.5: Table E.52.1 is not monotonic.
    ranged = found(
        CURRENT.name, "Yard outlet: cable 1", SINGLE, third_harmonic({"low": 40, "high": 50})
    )
    assert ranged.limit == pytest.approx(41 * 0.86)
    assert ranged.value == pytest.approx(1.35 * 24.48 + 350 / (360 / sqrt(3)), rel=1e-3)


def test_a_neutral_that_nothing_uses_is_not_asked_about() -> None:
    nothing = {"station.needs_neutral": False, "circuit[0].cable[0].neutral_section_mm2": 0}
    links = [one.unfavourable.link for one in asked(CURRENT.name, SINGLE, nothing)]
    assert "Yard outlet: cable 1" not in links


def test_a_neutral_may_be_reduced_at_15_percent_exactly() -> None:
    # IEC 60364-5-52:2009, 524.2.3: third harmonics up to 15 %.
    changes = {
        "circuit[0].cable[0].section_mm2": 25,
        "circuit[0].cable[0].neutral_section_mm2": 16,
        **third_harmonic(15),
    }
    assert found("neutral-section", "", SINGLE, changes).outcome is Outcome.PASS


def test_no_neutral_is_left_open_while_nobody_knows_whether_the_station_needs_one() -> None:
    changes = {"circuit[0].cable[0].neutral_section_mm2": 0, "station.needs_neutral": "unknown"}
    finding = found("neutral-section", "", SINGLE, changes)
    assert finding.outcome is Outcome.OPEN
    assert "station.needs_neutral" in finding.facts


def test_a_service_of_exactly_the_declared_current_is_enough() -> None:
    declared = {"station.declared_service_current_a": 63}
    assert found("service-current", "", SINGLE, declared).outcome is Outcome.PASS


def test_a_load_where_a_cable_begins_does_not_use_its_neutral() -> None:
    elsewhere = {"station.needs_neutral": False, "supply.demand": {"maximum_a": 5}}
    links = [one.unfavourable.link for one in asked(CURRENT.name, SINGLE, elsewhere)]
    assert "Yard outlet: cable 1" not in links


def test_the_smallest_fault_current_counts_before_the_largest() -> None:
    # Weakest network, 2016 edition of IEC 60909-0: Z = 0.90 x 400 V / (sqrt(3) x 4 kA).
    finding = found(RATIO.name, "", SINGLE, {"supply.smallest_fault_current_ka": 4})
    assert finding.value == pytest.approx(4000 / 0.9 / 32)


@pytest.mark.parametrize(
    ("changes", "loop_ohm"),
    [
        ({"supply.external_line_neutral_loop_ohm": 0.3}, 0.3),
        (
            {
                "supply.earthing_system": "TN-C-S",
                "supply.external_loop_impedance_ohm": 0.2,
                "supply.electrode_resistance_ohm": GONE,
            },
            0.2,
        ),
    ],
)
def test_a_line_neutral_loop_that_is_known_counts(changes: Changes, loop_ohm: float) -> None:
    finding = found("voltage-change", "", KIOSK, changes)
    assert finding.value == pytest.approx(100 * 4 * loop_ohm / (400 / sqrt(3)))
