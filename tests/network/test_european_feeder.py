"""The European low-voltage test feeder against OpenDSS: 906 nodes, 55 single-phase loads.

Where the data and the voltages come from stands in european_feeder/README.md. Two traps: the
published supply has no source impedance in its zero sequence (delta winding), which a branch cannot
say, so that drops from the transformer's terminals are compared to millivolts and the voltages
themselves to the tenth of a volt that this makes; and three lines have R0 below R1, which no
four-wire cable has, so that their loop of line and neutral is kept and their neutral is zero.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from feasibility.network.load_flow import Solver, solve
from feasibility.network.pandapower_model import solve_pandapower
from feasibility.network.records import Branch, Load, Network, PhaseValues
from feasibility.network.solution import ComplexArray, Solution, compare
from feasibility.units import FloatArray
from tests.network.four_wires import deviation, sweep

DATA = Path(__file__).parent / "european_feeder"
TERMINALS = "1"
VAR_PER_WATT = math.tan(math.acos(0.95))


def rows(name: str) -> Iterator[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


def supply() -> Branch:
    """11 kV network of 3000 A and the transformer: 800 kVA, 4 %, resistance 0.4 %, seen at 416 V.

    Of the network R : X is 1 : 4 (what OpenDSS takes where nothing is stated).
    """
    network_ohm = 416**2 / (math.sqrt(3) * 11_000 * 3000) * complex(1, 4) / abs(complex(1, 4))
    transformer_ohm = 416**2 / 800e3 * complex(0.004, 0.04)
    return _branch("supply", "source", TERMINALS, network_ohm + transformer_ohm, 0j)


def feeder(minute: int) -> Network:
    codes = {row["code"]: row for row in rows("line_codes.csv")}
    branches = [supply()]
    for number, row in enumerate(rows("lines.csv"), start=1):
        code, length_km = codes[row["code"]], float(row["length_m"]) / 1000
        first, zero = (
            length_km
            * complex(float(code[f"r{one}_ohm_per_km"]), float(code[f"x{one}_ohm_per_km"]))
            for one in (1, 0)
        )
        if zero.real < first.real:
            first = zero = (2 * first + zero) / 3
        neutral = (zero - first) / 3
        branches.append(_branch(f"line {number}", row["from_node"], row["to_node"], first, neutral))
    return Network(
        nominal_voltage_v=416.0,
        source_node="source",
        source_voltage_v=1.05 * 416,
        branches=tuple(branches),
        loads=tuple(_load(row, minute) for row in rows("loads.csv")),
        frequency_hz=50.0,
    )


def _branch(name: str, near: str, far: str, line_ohm: complex, neutral_ohm: complex) -> Branch:
    return Branch(
        name=name,
        from_node=near,
        to_node=far,
        resistance_ohm=line_ohm.real,
        reactance_ohm=line_ohm.imag,
        neutral_resistance_ohm=neutral_ohm.real,
        neutral_reactance_ohm=neutral_ohm.imag,
        has_neutral=True,
    )


def _load(row: dict[str, str], minute: int) -> Load:
    power_w = float(row[f"minute_{minute}_w"])
    first, second, third = (
        power_w if conductor == row["line_conductor"] else 0.0 for conductor in ("L1", "L2", "L3")
    )
    active_w: PhaseValues = (first, second, third)
    return Load(
        name=f"load at {row['node']}",
        node=row["node"],
        active_w=active_w,
        reactive_var=(first * VAR_PER_WATT, second * VAR_PER_WATT, third * VAR_PER_WATT),
        kind="power",
    )


def constant_impedance_above(network: Network, limit_v: float) -> Solution:
    """Solve with loads that keep their impedance at ``limit_v`` wherever the voltage is higher."""
    solver = Solver(network)
    power_va: ComplexArray = np.array(
        [np.array(load.active_w) * complex(1, VAR_PER_WATT) for load in network.loads]
    )
    ratio = np.ones(power_va.shape)
    for _ in range(10):
        drawn_va = power_va * ratio
        solution = solver.solve(active_w=drawn_va.real, reactive_var=drawn_va.imag)
        voltages_v = np.array([solution.voltage_v(load.node) for load in network.loads])
        ratio = np.maximum(voltages_v / limit_v, 1.0) ** 2
    return solution


def expected_v(minute: int) -> dict[str, FloatArray]:
    return {
        row["node"]: np.array([float(row[f"l{phase}_v"]) for phase in (1, 2, 3)])
        for row in rows(f"voltages_minute_{minute}.csv")
    }


def gaps_v(solution: Solution, expected: dict[str, FloatArray]) -> tuple[float, float]:
    """Largest gap of the voltages, and of the drops from the transformer's terminals."""
    gaps = {node: solution.voltage_v(node) - voltages_v for node, voltages_v in expected.items()}
    all_gaps = np.array(list(gaps.values()))
    return float(np.abs(all_gaps).max()), float(np.abs(all_gaps - gaps[TERMINALS]).max())


@pytest.fixture(scope="module")
def peak() -> Network:
    return feeder(566)


def test_data_are_those_of_the_published_feeder(peak: Network) -> None:
    # Published: 906 nodes, 55 loads (21 on L1, 19 on L2, 15 on L3).
    assert len(peak.nodes) == 907
    counts = {"L1": 0, "L2": 0, "L3": 0}
    for row in rows("loads.csv"):
        counts[row["line_conductor"]] += 1
    assert counts == {"L1": 21, "L2": 19, "L3": 15}
    assert len({row["code"] for row in rows("lines.csv")}) == 10


def test_last_minute_as_exported_from_another_program() -> None:
    # The export prints millivolts, of which a difference of two can lose one.
    expected = expected_v(1440)
    assert len(expected) == 36
    voltages_gap_v, drops_gap_v = gaps_v(constant_impedance_above(feeder(1440), 241.5), expected)
    assert drops_gap_v < 0.002
    assert voltages_gap_v < 0.008
    drops_v = expected[TERMINALS] - np.array(list(expected.values()))
    assert drops_v.max() > 1.1


def test_highest_minute_as_another_program_has_it(peak: Network) -> None:
    expected = expected_v(566)
    assert len(expected) == 56
    voltages_gap_v, drops_gap_v = gaps_v(solve(peak), expected)
    assert drops_gap_v < 0.003
    assert voltages_gap_v < 0.11
    drops_v = expected[TERMINALS] - np.array(list(expected.values()))
    assert drops_v.max() > 13
    assert drops_v.min() < -2  # the neutral's drop raises the voltage of the weakest phase


def test_the_comparison_notices_reactive_powers_that_are_lost(peak: Network) -> None:
    # The slip of the copy that comes with pandapower: without them the drops are off by volts.
    solver = Solver(peak)
    without = solver.solve(reactive_var=np.zeros((len(peak.loads), 3)))
    assert gaps_v(without, expected_v(566))[1] > 0.3


def test_four_wires_agree_on_the_whole_feeder(peak: Network) -> None:
    solution = solve(peak)
    assert deviation(solution, sweep(peak)) < 1e-9
    assert solution.neutral_current_a("supply") > 100


@pytest.mark.campaign
def test_pandapower_agrees_on_the_whole_feeder(peak: Network) -> None:
    # Ten seconds: lines of centimetres keep its iteration from reaching its own tolerance.
    assert compare(solve(peak), solve_pandapower(peak)) < 1e-6
