"""Impedances of pieces and the network that is solved, by hand.

Resistances at 20 °C: IEC 60228:2004, class 2 (16 mm2: 1.15 ohm/km of copper, 1.91 of aluminium; 6
mm2: 3.08). Reactance 0.08 ohm/km: IEC 60364-5-52, Annex G. Temperature coefficients
0.00393 (copper) and 0.00403 (aluminium) per kelvin: IEC 60287-1-1.
"""

from __future__ import annotations

import math

import pytest

from feasibility.checks import impedance
from feasibility.checks.fault_conductors import FaultKind
from feasibility.checks.fault_path import end_of, largest_at, smallest_at
from feasibility.checks.fault_sources import voltage_factors
from feasibility.checks.impedance import Impedance
from feasibility.checks.power_factor import factor_of_drop
from feasibility.checks.question import Run
from feasibility.installation.build import build_installation
from feasibility.installation.facts import Ends, Fact, NotKnown
from feasibility.installation.model import LinkKind
from feasibility.tables import NotTabulated

from ..demand_log.logs import logs_of
from ..formulas import faults_of
from .cases_of_demand_log import HALL
from .cases_of_protection import FIXED
from .cases_of_transformer import own
from .sites import GONE, SINGLE, Changes, asked, drawing, found, merged, site, site_data
from .test_demand_log import in_kilowatts

CABLE = "circuit[0].cable[0]"
KIOSK = "camp-site-kiosk"
YARD_CABLES = site_data(SINGLE)["circuit"][0]["cable"]
PHASE_V = 400 / 3**0.5


def run_over(name: str, *changes: Changes) -> Run:
    return Run.over(build_installation(site(name, *changes)), favourable=False)


def of_cable(kind: str, **fields: object) -> Impedance:
    run = run_over(SINGLE, {f"{CABLE}.{field}": value for field, value in fields.items()})
    (cable,) = run.installation.links_of(LinkKind.CABLE)
    found_impedance: Impedance = getattr(impedance, kind)(cable, run.ends)
    return found_impedance


@pytest.mark.parametrize(
    ("parallel", "formula"), [(1, "r * L / 1000"), (2, "r * L / 1000 / n"), (3, "r * L / 1000 / n")]
)
def test_equal_cables_in_parallel_share_alike(parallel: int, formula: str) -> None:
    line = of_cable("line_impedance", in_parallel=parallel)
    assert line.resistance_20c_ohm == pytest.approx(3.08 * 0.022 / parallel)
    assert line.reactance_ohm == pytest.approx(0.08 * 0.022 / parallel)
    (step,) = line.steps
    assert (step.symbol, step.formula) == ("R20", formula)


@pytest.mark.parametrize(
    ("field", "low", "high", "unit"),
    [
        ("length_m", 11, 22, 3.08 / 1000),
        ("resistance_ohm_per_km", 3, 4, 0.022),
        ("reactance_ohm_per_km", 0.07, 0.1, 0.022),
    ],
)
def test_a_range_is_taken_at_the_end_that_is_asked_for(
    field: str, low: float, high: float, unit: float
) -> None:
    part = "reactance_ohm" if field.startswith("reactance") else "resistance_20c_ohm"
    ranged = {field: {"low": low, "high": high}}
    longest, shortest = (
        getattr(of_cable(kind, **ranged), part)
        for kind in ("line_impedance", "shortest_line_impedance")
    )
    assert longest == pytest.approx(high * unit)
    assert shortest == pytest.approx(low * unit)


def test_the_metal_decides_resistance_and_coefficient() -> None:
    aluminium = of_cable("line_impedance", section_mm2=16, conductor="aluminium")
    assert aluminium.resistance_20c_ohm == pytest.approx(1.91 * 0.022)
    assert aluminium.coefficient_per_k == pytest.approx(0.00403)
    own = {"section_mm2": 16, "resistance_ohm_per_km": 2.0}
    assert of_cable("line_impedance", **own).coefficient_per_k == pytest.approx(0.00393)
    stated = of_cable("line_impedance", **own, conductor="aluminium")
    assert stated.coefficient_per_k == pytest.approx(0.00403)


@pytest.mark.parametrize(
    ("kind", "section", "per_km"),
    [
        ("line_impedance", 16, 1.91),
        ("shortest_line_impedance", 16, 1.15),
        # 10 mm2 is the smallest that is tabulated for aluminium: 3.08 ohm/km; 1.83 of copper.
        ("line_impedance", 10, 3.08),
        ("shortest_line_impedance", 10, 1.83),
    ],
)
def test_an_unknown_metal_is_the_worse_one(kind: str, section: float, per_km: float) -> None:
    unknown = of_cable(kind, section_mm2=section, conductor=GONE)
    assert unknown.resistance_20c_ohm == pytest.approx(per_km * 0.022)


def test_a_conductor_that_is_not_there_has_no_impedance() -> None:
    with pytest.raises(NotKnown):
        of_cable("protective_impedance", protective_section_mm2=0)
    with pytest.raises(NotTabulated):
        of_cable("protective_impedance", protective_section_mm2=1)
    with pytest.raises(NotKnown):
        of_cable("line_impedance", section_mm2=6, conductor=GONE)


def test_cables_of_one_circuit_add_up_in_its_branch() -> None:
    def branch(*cables: dict[str, object]) -> tuple[float, ...]:
        first = {"circuit[0].cable": [*YARD_CABLES, *cables]}
        one = run_over(SINGLE, first).operation.network(10.0).branches[0]
        return (
            one.resistance_ohm,
            one.reactance_ohm,
            one.neutral_resistance_ohm,
            one.neutral_reactance_ohm,
        )

    alone, both = branch(), branch(*YARD_CABLES)
    assert both == pytest.approx([2 * value for value in alone])
    warm = 1 + 0.00393 * (30 - 20)
    assert alone == pytest.approx([3.08 * 0.022 * warm, 0.08 * 0.022] * 2)


def test_the_network_has_the_frequency_of_the_supply() -> None:
    assert run_over(SINGLE).operation.network(10.0).frequency_hz == 50


@pytest.mark.parametrize(("phase", "expected"), [("L1", 0), ("L2", 1), ("L3", 2)])
def test_a_station_of_one_phase_loads_that_phase(phase: str, expected: int) -> None:
    run = run_over(KIOSK, {"station.phases": phase})
    (station,) = [one for one in run.operation.network(10.0).loads if one.name == "station"]
    powers = [0.0, 0.0, 0.0]
    powers[expected] = 10 * PHASE_V * 0.99
    assert list(station.active_w) == pytest.approx(powers, abs=1e-9)
    assert station.kind == "current"
    by_sine = 10 * PHASE_V * (1 - 0.99**2) ** 0.5
    assert station.reactive_var[expected] == pytest.approx(by_sine)


@pytest.mark.parametrize(
    ("demand", "watts", "kind"),
    [
        (
            {"maximum_l1_a": 10, "maximum_l2_a": 20, "maximum_l3_a": 30, "power_factor": 0.9},
            [PHASE_V * 0.9 * amperes for amperes in (10, 20, 30)],
            "current",
        ),
        ({"maximum_kw": 12, "power_factor": 0.9}, [4000.0] * 3, "power"),
    ],
)
def test_what_the_site_draws_by_hand(
    demand: dict[str, float], watts: list[float], kind: str
) -> None:
    run = run_over("bakery-yard", {"board[0].demand": demand})
    (other,) = [one for one in run.operation.network(10.0).loads if one.name != "station"]
    assert list(other.active_w) == pytest.approx(watts)
    assert other.kind == kind
    tangent = (1 / 0.9**2 - 1) ** 0.5
    assert list(other.reactive_var) == pytest.approx([one * tangent for one in watts])


@pytest.mark.parametrize(
    "conductors",
    [{}, *({f"{CABLE}.reactance_ohm_per_km": reactance} for reactance in (1.23, 1.69, 2.46, 9.0))],
)
def test_a_power_factor_that_may_vary_counts_where_more_voltage_drops(conductors: Changes) -> None:
    def drop(value: object) -> float:
        changes = merged(conductors, {"station.power_factor": value})
        (judged,) = asked("voltage-drop", SINGLE, changes)
        assert judged.unfavourable.value is not None
        return judged.unfavourable.value

    # R cos + X sin (IEC 60364-5-52, Annex G) can be largest between the ends.
    steps = [drop(0.7 + 0.3 * step / 30) for step in range(31)]
    assert drop({"low": 0.7, "high": 1.0}) == pytest.approx(max(steps), rel=2e-3)


@pytest.mark.parametrize("factor", [GONE, "unknown", {"low": 0.8, "high": 1.0}], ids=str)
@pytest.mark.parametrize(("loss_kw", "at_worst_ohm"), [(1.75, 0.05693), (3.9, 0.064)])
def test_a_demand_of_unknown_power_factor_drops_what_the_worst_one_drops(
    factor: object, loss_kw: float, at_worst_ohm: float
) -> None:
    """By hand: 64 mOhm of a transformer lose R cos + X sin for each ampere.

    With 28 + j57.55 mOhm that is most at 0.8, with 62.4 + j14.2 between the ends: all 64 mOhm.
    """
    demand = {"supply.demand": {"maximum_a": 100}, "supply.demand.power_factor": factor}
    plate = own(load_loss_kw=loss_kw)
    run = run_over(SINGLE, plate, demand, {"station.power_factor": 1.0}, drawing(32))
    lost = 380 - run.operation.origin_voltage_v(32.0)
    expected = math.sqrt(3) * (0.016 * loss_kw * 32 + at_worst_ohm * 100)
    assert lost == pytest.approx(expected, rel=0.02)
    assert "supply.demand.power_factor" in run.ends.used


@pytest.mark.parametrize(
    ("options", "line", "most", "least"),
    [
        ((), 0.028 + 0.096j, 0.28, 0.28),
        ((), 0j, 1.0, 1.0),
        ((0.8, 1.0), 0j, 0.8, 0.8),
        ((0.8, 1.0), 0.7 + 2.4j, 0.8, 1.0),
        # 0.98 and 1.01 ohm at 0.8, 1 ohm at 1.0.
        ((0.8, 1.0), 1 + 0.3j, 1 / math.hypot(1, 0.3), 0.8),
        ((0.8, 1.0), 1 + 0.35j, 1 / math.hypot(1, 0.35), 1.0),
    ],
)
def test_the_power_factor_that_drops_most_and_least(
    options: tuple[float, ...], line: complex, most: float, least: float
) -> None:
    """R cos + X sin (IEC 60364-5-52, Annex G), by hand; 7, 24, 25 are sides of a triangle."""
    fact = Fact(path="f", label="power factor", unit="", options=options)
    assert factor_of_drop(fact, Ends(favourable=False), line) == pytest.approx(most)
    assert factor_of_drop(fact, Ends(favourable=True), line) == pytest.approx(least)


def test_a_load_at_the_end_of_a_circuit_flows_through_it() -> None:
    changes: Changes = {"board[0].demand": {"maximum_a": 20}}
    main = found("device-rating", "service device", "bakery-yard", changes)
    outlet = found("device-rating", "Yard outlet: device", "bakery-yard", changes)
    assert main.value == pytest.approx(44.48, rel=0.01)
    assert outlet.value == pytest.approx(24.48)


def test_without_a_cord_the_last_cable_ends_at_the_station() -> None:
    network = run_over(SINGLE, FIXED).operation.network(10.0)
    assert [(one.from_node, one.to_node) for one in network.branches][-1][1] == "station"
    two = run_over("bakery-yard", FIXED).operation.network(10.0)
    assert [one.to_node for one in two.branches] == ["node 1", "station"]


@pytest.mark.parametrize(("percent", "factor"), [(5, 1.05), (6, 1.05), (6.1, 1.10), (10, 1.10)])
def test_the_voltage_factor_of_a_tolerance(percent: float, factor: float) -> None:
    # IEC 60909-0:2016, Table 1: 1.05 for a tolerance of 6 %, 1.10 for 10 %.
    run = run_over(SINGLE, {"supply.tolerance_high_percent": percent})
    assert voltage_factors(run)[0].value == factor


@pytest.mark.parametrize("kind", [FaultKind.THREE_PHASE, FaultKind.LINE_LINE])
def test_the_formula_of_a_live_fault_is_that_of_its_kind(kind: FaultKind) -> None:
    # IEC 60909-0:2016, 7.2 and 7.3: Ik3 = c Un / (sqrt(3) Z), Ik2 = c Un / (2 Z).
    run = run_over(SINGLE, {"supply.smallest_fault_current_ka": 4})
    for fault in (largest_at(run, 1, kind), smallest_at(run, 1, kind)):
        assert [one for step in fault.steps for one in faults_of(step)] == []
        root = "sqrt(3)" if kind is FaultKind.THREE_PHASE else "2"
        assert f"({root} * " in fault.steps[-1].formula


def test_a_circuit_ends_at_the_next_node_and_the_last_one_at_the_station() -> None:
    installation = build_installation(site("bakery-yard"))
    assert [end_of(circuit) for circuit in installation.circuits] == [1, 3]


def test_a_measured_demand_in_kilowatts_by_hand() -> None:
    # NFPA 70:2023, 220.87: 125 % of the largest quarter-hour mean of a year.
    survey = site(HALL, in_kilowatts(L1=3.0, L2=2.0, L3=1.0), {"supply.tolerance_low_percent": 0})
    run = Run.over(build_installation(survey, logs_of(survey)), favourable=False)
    (other,) = [one for one in run.operation.network(10.0).loads if one.name != "station"]
    assert list(other.active_w) == pytest.approx([3750, 2500, 1250])


def test_a_cord_by_its_own_data_sheet() -> None:
    run = run_over(SINGLE, {"cord.resistance_ohm_per_km": 3.5})
    (cord,) = run.installation.links_of(LinkKind.CORD)
    line = impedance.line_impedance(cord, run.ends)
    assert line.resistance_20c_ohm == pytest.approx(0.008 * 3.5)
    assert line.coefficient_per_k == pytest.approx(0.00393)


def test_a_neutral_that_is_not_there_counts_as_the_line_and_a_long_one_as_long() -> None:
    absent = of_cable("neutral_impedance", neutral_section_mm2=0)
    assert absent.resistance_20c_ohm == pytest.approx(3.08 * 0.022)
    smaller = of_cable("neutral_impedance", neutral_section_mm2=4, length_m={"low": 11, "high": 22})
    assert smaller.resistance_20c_ohm == pytest.approx(4.61 * 0.022)
