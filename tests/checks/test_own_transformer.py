"""An own transformer: where its data enter, and what counts where the survey says two things.

Expected figures by hand from IEC 60909-0:2016, 6.3 (from memory), unless a test says otherwise.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest

from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_path import FaultCurrent, largest_at, smallest_at
from feasibility.checks.feed_network import NO_LOAD
from feasibility.checks.own_transformer import described, winding_facts, windings
from feasibility.checks.question import Run
from feasibility.clauses.transformer import transformer_reactance_ohm
from feasibility.installation.build import build_installation
from feasibility.installation.facts import NotKnown
from feasibility.result import Outcome
from feasibility.units import OutOfRange

from ..formulas import faults_of
from .cases_of_transformer import LARGEST_LOOP_OHM, loop, own, stated
from .sites import GONE, SINGLE, Changes, drawing, found, merged, quick, site, step_result

SQRT3 = math.sqrt(3)
QUARRY = "quarry-workshop"
EVERY_KIND = tuple(FaultKind)


def run_over(*changes: Changes, favourable: bool = False, name: str = SINGLE) -> Run:
    return Run.over(build_installation(site(name, *changes)), favourable=favourable)


def at_origin(*changes: Changes, kind: FaultKind, largest: bool) -> FaultCurrent:
    return (largest_at if largest else smallest_at)(run_over(*changes), 0, kind)


def test_the_shipped_site_by_hand() -> None:
    # 160 kVA, 4 %, 2.35 kW, 400 V, Dyn5; 350 MVA at most; X0 from 0.8 X1 on.
    whole = 0.04 * 400**2 / 160e3
    resistance = 2350 * (400 / 160e3) ** 2
    reactance = math.sqrt(whole**2 - resistance**2)
    factor = 0.95 * 1.1 / (1 + 0.6 * reactance * 160e3 / 400**2)
    before = 1.1 * 400**2 / 350e6
    line = min(
        math.hypot(factor * resistance + before, factor * reactance),
        math.hypot(factor * resistance, factor * reactance + before),
    )
    run = run_over(name=QUARRY)
    found = largest_at(run, 0, FaultKind.THREE_PHASE)
    assert found.value_a == pytest.approx(1.1 * 400 / SQRT3 / line, rel=1e-12)
    loop = min(
        math.hypot(
            factor * resistance + (2 * one) / 3,
            factor * (2 + 0.8) / 3 * reactance + (2 * other) / 3,
        )
        for one, other in ((before, 0), (0, before))
    )
    found = largest_at(run, 0, FaultKind.LINE_EARTH)
    assert found.value_a == pytest.approx(1.1 * 400 / SQRT3 / loop, rel=1e-12)
    # The smallest: no correction factor, 90 MVA, X0 = X1, magnitudes added.
    weak = whole + 2 * 400**2 / 90e6 / 3
    found = smallest_at(run, 0, FaultKind.LINE_NEUTRAL)
    assert found.value_a == pytest.approx(0.9 * 400 / SQRT3 / weak, rel=1e-12)


@pytest.mark.parametrize("name", [SINGLE, QUARRY])
@pytest.mark.parametrize("group", ["Dyn11", "Yzn5", "Yyn0"])
def test_every_working_can_be_re_derived(name: str, group: str) -> None:
    changes: Changes = {} if name == QUARRY else own(load_loss_kw="unknown")
    zero = {"supply.transformer.zero_sequence_impedance_ohm": 0.4} if group == "Yyn0" else {}
    group_changes = merged({"supply.transformer.vector_group": group}, zero)
    run = run_over(changes, group_changes, name=name)
    for node in range(len(run.installation.circuits) + 1):
        for kind in EVERY_KIND:
            for of in (largest_at, smallest_at):
                steps = of(run, node, kind).steps
                assert [fault for step in steps for fault in faults_of(step)] == []
                of_largest = {"xt", "KT"} if of is largest_at else set()
                assert {"Zt", "Rt", "Xt", "Zmv"} | of_largest <= {step.symbol for step in steps}
    # Of a vector group the range is ours, not the surveyor's.
    zero_sequence = run.ends.used.get("supply.transformer.zero_sequence_impedance_ohm")
    assert group == "Yyn0" or (zero_sequence is not None and zero_sequence.filled)


@pytest.mark.parametrize(
    ("group", "low", "high"),
    [("Dyn5", 0.8, 1.0), ("Dyn11", 0.8, 1.0), ("Yzn5", 0.1, 0.6), ("Dzn0", 0.1, 0.6)],
)
def test_the_vector_group_bounds_the_loop(group: str, low: float, high: float) -> None:
    # (2 + X0/X1) / 3 of the windings, seen where the loss is next to nothing.
    plate = own(vector_group=group, load_loss_kw=0.001, largest_upstream_fault_mva=20_000)
    loops = [
        at_origin(plate, kind=FaultKind.LINE_NEUTRAL, largest=largest).impedance_ohm
        for largest in (True, False)
    ]
    factor = 0.95 * 1.1 / (1 + 0.6 * 0.04)
    assert loops[0] == pytest.approx(0.064 * factor * (2 + low) / 3, rel=1e-3)
    assert loops[1] == pytest.approx(0.064 * (2 + high) / 3 + 2 * 0.00032 / 3, rel=1e-3)


@pytest.mark.parametrize("group", ["Yyn0", "YNyn0", "Yyn6", "Dy5", "Yd5"])
def test_no_vector_group_without_known_zero_sequence_is_guessed(group: str) -> None:
    for kind in (FaultKind.LINE_NEUTRAL, FaultKind.LINE_EARTH):
        with pytest.raises(NotKnown) as missing:
            at_origin(own(vector_group=group), kind=kind, largest=False)
        paths = [fact.path for fact in missing.value.facts]
        assert paths == ["supply.transformer.zero_sequence_impedance_ohm"]
    # Lines alone know no zero sequence.
    assert at_origin(own(vector_group=group), kind=FaultKind.THREE_PHASE, largest=False).value_a > 0


def test_the_zero_sequence_of_a_test_report_counts_at_any_angle() -> None:
    report = own(vector_group="Yyn0", zero_sequence_impedance_ohm=0.9)
    loop = at_origin(report, kind=FaultKind.LINE_NEUTRAL, largest=False).impedance_ohm
    assert loop == pytest.approx((2 * (0.064 + 0.00032) + 0.9) / 3, rel=1e-12)
    largest = at_origin(report, kind=FaultKind.LINE_NEUTRAL, largest=True).impedance_ohm
    # No angle of the two parts makes less than the difference, none more than the sum.
    assert (0.9 - 2 * 0.065) / 3 < largest < loop * 1.03


@pytest.mark.parametrize(
    ("kind", "field"),
    [
        (FaultKind.THREE_PHASE, "supply.prospective_fault_current_ka"),
        (FaultKind.LINE_NEUTRAL, "supply.external_line_neutral_loop_ohm"),
        (FaultKind.LINE_EARTH, "supply.external_loop_impedance_ohm"),
    ],
)
def test_the_worse_of_statement_and_transformer_counts(kind: FaultKind, field: str) -> None:
    alone = at_origin(own(), kind=kind, largest=True)
    for share in (0.5, 2.0):
        value: float = alone.impedance_ohm * share
        if kind is FaultKind.THREE_PHASE:
            value = alone.value_a / share / 1000
        together = at_origin(own(), {field: value}, kind=kind, largest=True)
        worse = alone.value_a * max(1, 1 / share)
        assert together.value_a == pytest.approx(worse, rel=1e-9)


def test_the_larger_loop_counts_for_disconnection() -> None:
    field = "supply.external_loop_impedance_ohm"
    kind = FaultKind.LINE_EARTH
    alone = at_origin(own(), kind=kind, largest=False).impedance_ohm
    for ohm in (alone / 2, alone * 2):
        together = at_origin(own(), {field: ohm}, kind=kind, largest=False).impedance_ohm
        assert together == pytest.approx(max(ohm, alone), rel=1e-12)


def test_a_statement_stands_alone_where_the_plate_is_not_known() -> None:
    stated = {"supply.prospective_fault_current_ka": 5}
    plate = own(rated_power_kva="unknown")
    found = at_origin(plate, stated, kind=FaultKind.THREE_PHASE, largest=True)
    assert found.value_a == pytest.approx(5000, rel=1e-12)
    with pytest.raises(NotKnown, match="rated power of the transformer"):
        at_origin(plate, kind=FaultKind.THREE_PHASE, largest=True)


def test_the_earth_fault_of_a_tt_system_runs_through_the_ground_and_not_to_the_star_point() -> None:
    tt = {"supply.earthing_system": "TT"}
    with pytest.raises(NotKnown, match="external earth-fault loop impedance"):
        at_origin(own(), tt, kind=FaultKind.LINE_EARTH, largest=False)


def test_a_loss_that_is_not_known_leaves_the_fault_current_of_three_phases_alone() -> None:
    # 0.5 to 3 % of the rated power; the magnitude is that of the short-circuit voltage.
    for plate in (own(), own(load_loss_kw="unknown")):
        found = at_origin(plate, kind=FaultKind.THREE_PHASE, largest=False)
        assert found.impedance_ohm == pytest.approx(0.064 + 0.00032, rel=1e-12)


@pytest.mark.parametrize("percent", [1.3, 2.0, 3.1, 3.3])  # 1.3 rounds upward
def test_no_share_of_loss_lies_above_the_short_circuit_voltage(percent: float) -> None:
    plate = own(load_loss_kw="unknown", short_circuit_voltage_percent=percent)
    described_as = described(build_installation(site(SINGLE, plate)))
    assert described_as is not None
    *known, losses = winding_facts(described_as)
    assert max(losses.options) == percent
    worst = windings(described_as, (*(fact.options[0] for fact in known), percent))
    assert worst.resistance_ohm == worst.impedance_ohm
    assert worst.reactance_ohm == 0


@pytest.mark.parametrize("resistance_ohm", [1.01e-3, 0.5])
def test_no_resistance_lies_above_the_impedance(resistance_ohm: float) -> None:
    assert transformer_reactance_ohm(impedance_ohm=1e-3, resistance_ohm=1e-3) == 0
    with pytest.raises(OutOfRange):
        transformer_reactance_ohm(impedance_ohm=1e-3, resistance_ohm=resistance_ohm)


def test_a_loss_in_percent_is_one_of_the_rated_power() -> None:
    """3.6 % (as 900 W at 25 kVA, Regulation 548/2014) of 250 kVA: by P U^2 / S^2 23.04 mOhm."""
    plate = own(
        rated_power_kva=250, load_loss_kw="unknown", short_circuit_voltage_percent=4, tap_percent=0
    )
    unknown = run_over(plate).operation.transformer_branch()
    stated = run_over(
        merged(
            plate,
            {
                "supply.transformer": {
                    **plate["supply.transformer"],
                    "load_loss_kw": 8.9999,
                }
            },
        )
    ).operation.transformer_branch()
    assert unknown is not None
    assert stated is not None
    assert unknown.resistance_ohm == pytest.approx(0.02304, rel=1e-9)
    assert stated.resistance_ohm == pytest.approx(0.02304, rel=1e-4)


@pytest.mark.parametrize(
    ("plate", "low", "high"),
    [
        ({}, 380, 420),
        ({"tap_percent": -2.5}, 400 / 0.975 * 0.95, 400 / 0.975 * 1.05),
        ({"tap_percent": 5}, 400 / 1.05 * 0.95, 400 / 1.05 * 1.05),
        ({"tap_percent": GONE, "no_load_voltage_v": 412}, 412 * 0.95, 412 * 1.05),
        # Unknown: EN 50160, 10 % of the agreed medium voltage.
        ({"upstream_tolerance_low_percent": "unknown"}, 360, 420),
        ({"upstream_tolerance_high_percent": "unknown"}, 380, 440),
        # Unknown: twice 2.5 % on either side.
        ({"tap_percent": "unknown"}, 400 / 1.05 * 0.95, 400 / 0.95 * 1.05),
    ],
)
def test_the_voltage_without_load(plate: dict[str, Any], low: float, high: float) -> None:
    fields = {key: value for key, value in plate.items() if value is not GONE}
    changes = own(**fields)
    for key in plate.keys() - fields.keys():
        del changes["supply.transformer"][key]
    operation = run_over(changes).operation
    network = operation.network(16.0)
    assert network.source_node == NO_LOAD
    assert network.source_voltage_v == pytest.approx(low, rel=1e-12)
    highest, lowest = (
        found(name, "", SINGLE, changes) for name in ("highest-voltage", "minimum-voltage")
    )
    assert highest.value == pytest.approx(high, rel=1e-12)
    for finding, figure in ((highest, high), (lowest, low)):
        assert step_result(finding, "U0t") == pytest.approx(figure, rel=1e-12)
        assert [fault for one in finding.working for fault in faults_of(one)] == []


def test_the_drop_in_the_windings_comes_before_the_origin() -> None:
    # By hand: 100 kVA with 28 + j57.55 mOhm; 32 A of unity power factor and 100 A of the site at
    # 0.9 lose sqrt(3) (R I cos phi + X I sin phi), up to second order.
    demand = {"supply.demand": {"maximum_a": 100, "power_factor": 0.9}}
    unity = {"station.power_factor": 1.0}
    operation = run_over(own(), demand, unity, drawing(32)).operation
    expected = SQRT3 * (0.028 * (32 + 90) + 0.05755 * 100 * math.sin(math.acos(0.9)))
    lost = 380 - operation.origin_voltage_v(32.0)
    assert lost == pytest.approx(expected, rel=0.02)
    # The voltage drop of the installation begins at the origin.
    share = found("voltage-drop", "", SINGLE, own(), demand, unity, drawing(32))
    state = operation.state(32.0)
    assert state is not None
    inside = operation.origin_voltage_v(32.0) - operation.station_voltage_v(32.0)
    assert share.value == pytest.approx(100 * inside / 400, rel=1e-6)


def test_a_measured_band_counts_beside_a_stated_tolerance_of_the_medium_voltage() -> None:
    measured = {"supply.lowest_voltage_v": 385, "supply.highest_voltage_v": 415}
    stated = run_over(own(), measured)
    assert stated.operation.network(16.0).source_voltage_v == pytest.approx(380)
    highest = found("highest-voltage", "", SINGLE, own(), measured)
    assert highest.value == pytest.approx(420)
    unknown = own(
        upstream_tolerance_low_percent="unknown", upstream_tolerance_high_percent="unknown"
    )
    assert run_over(unknown, measured).operation.network(16.0).source_voltage_v == 385
    assert found("highest-voltage", "", SINGLE, unknown, measured).value == 415


@pytest.mark.parametrize("field", ["rated_power_kva", "short_circuit_voltage_percent"])
def test_without_its_plate_only_a_measured_voltage_helps(field: str) -> None:
    plate = own(**{field: "unknown"})
    finding = found("minimum-voltage", "", SINGLE, plate)
    assert finding.outcome is Outcome.OPEN
    assert f"supply.transformer.{field}" in finding.facts
    measured = {"supply.lowest_voltage_v": 385}
    assert found("minimum-voltage", "", SINGLE, plate, measured).outcome is Outcome.PASS


def test_unequal_loads_need_the_vector_group_and_equal_ones_do_not() -> None:
    plate = own(vector_group="unknown")
    equal = {"supply.demand": {"maximum_a": 40}}
    assert found("minimum-voltage", "", SINGLE, plate, equal).outcome is Outcome.PASS
    unequal = {"supply.demand": {"maximum_l1_a": 40, "maximum_l2_a": 0, "maximum_l3_a": 0}}
    finding = found("minimum-voltage", "", SINGLE, plate, unequal)
    assert (finding.outcome, finding.facts) == (
        Outcome.OPEN,
        ("supply.transformer.vector_group",),
    )


def test_a_star_star_transformer_lets_the_loaded_phase_sag_further() -> None:
    unequal = {
        "supply.demand": {"maximum_l1_a": 60, "maximum_l2_a": 0, "maximum_l3_a": 0},
        "station.phases": "L1",
        "outlet.poles": "2P+E",
        "cord.plug_poles": "2P+E",
    }
    lowest = [
        run_over(own(**plate), unequal).operation.origin_voltage_v(16.0)
        for plate in (
            {"vector_group": "Yzn5"},
            {"vector_group": "Dyn5"},
            {"vector_group": "Yyn0", "zero_sequence_impedance_ohm": 0.6},
        )
    ]
    assert lowest[0] == lowest[1] > lowest[2]


def test_a_known_zero_sequence_stands_in_the_network_for_states_with_unequal_loads_too() -> None:
    equal = {"supply.demand": {"maximum_a": 40}}
    report = own(vector_group="Yyn0", zero_sequence_impedance_ohm=0.6)
    branch = run_over(report, equal).operation.transformer_branch()
    assert branch is not None
    beyond = complex(branch.neutral_resistance_ohm, branch.neutral_reactance_ohm)
    # (Z0 - Z1) / 3 at the angle of the windings: Z1 is 64 mOhm, 28 of them resistance.
    assert abs(beyond) == pytest.approx((0.6 - 0.064) / 3, rel=1e-9)
    assert beyond.real / abs(beyond) == pytest.approx(0.028 / 0.064, rel=1e-9)


def test_what_else_hangs_on_an_own_transformer_has_to_be_said() -> None:
    finding = found("transformer-loading", "", QUARRY, {"supply.demand": GONE})
    assert finding.outcome is Outcome.OPEN
    assert finding.facts == ("supply.demand.maximum_a",)


def test_the_transformer_can_be_the_weakest_link() -> None:
    small = {"supply.transformer.rated_power_kva": 65, "supply.transformer.load_loss_kw": 1.1}
    assessment = quick(QUARRY, small)
    assert assessment.weakest_link == "transformer"
    (link,) = [one for one in assessment.chain if one.name == "transformer"]
    assert link.kind == "transformer"
    # 65 kVA at 400 V carry 93.82 A; the site draws 57 + 20 A in the worst phase, with a lagging
    # power factor, so that a little more than the rest is left.
    assert link.carries_a is not None
    assert 65e3 / SQRT3 / 400 - 77 < link.carries_a < 65e3 / SQRT3 / 400 - 67


def test_a_public_network_has_no_such_link() -> None:
    assert "transformer" not in [one.name for one in quick("bakery-yard").chain]


@pytest.mark.parametrize(
    ("field", "values", "voltage", "fault"),
    [
        ("rated_power_kva", (50, 100, 250), 1, 1),
        ("short_circuit_voltage_percent", (4, 5, 6), -1, -1),
        ("load_loss_kw", (1.0, 1.75, 2.5), -1, -1),  # less reactance, larger factor KT
        ("tap_percent", (-2.5, 0, 2.5), -1, 0),
        ("upstream_tolerance_low_percent", (2, 5, 8), -1, 0),
        ("largest_upstream_fault_mva", (500, 700, 900), 0, 1),
    ],
)
def test_voltage_and_largest_fault_current_follow_the_plate(
    field: str, values: tuple[float, ...], voltage: int, fault: int
) -> None:
    demand = {"supply.demand": {"maximum_a": 60, "power_factor": 0.9}}
    volts, amperes = [], []
    for value in values:
        run = run_over(own(**{field: value}), demand)
        volts.append(run.operation.origin_voltage_v(24.0))
        amperes.append(largest_at(run, 0, FaultKind.THREE_PHASE).value_a)
    for along, sense in ((volts, voltage), (amperes, fault)):
        if sense == 0:
            assert along == pytest.approx([along[0]] * len(along), rel=3e-3)
        else:
            assert all((after - before) * sense > 0 for before, after in pairwise(along))


@pytest.mark.parametrize(("level", "loop_ohm", "what"), [(1.5, 1.1, "current"), (1.1, 1.5, "loop")])
def test_what_deviates_most_from_the_transformer_is_shown(
    level: float, loop_ohm: float, what: str
) -> None:
    largest = at_origin(own(), kind=FaultKind.THREE_PHASE, largest=True).value_a
    both = {**stated(level * largest), **loop(loop_ohm * LARGEST_LOOP_OHM)}
    finding = found("transformer-agreement", "", SINGLE, own(), both)
    assert finding.value == pytest.approx(50, rel=1e-3)
    assert what in finding.reason.template
    assert "more than the usual" in finding.reason.template
    steps = {one.symbol: one for one in finding.working}
    low, high = ("Ikmin", "Ikmax") if what == "current" else ("Zlo", "Zhi")
    assert steps[low].meaning.startswith("smallest")
    assert steps[high].meaning.startswith("largest")
    assert steps[low].result < steps[high].result
    within = found("transformer-agreement", "", SINGLE, own(), stated(1.1 * largest))
    assert "within the usual" in within.reason.template
