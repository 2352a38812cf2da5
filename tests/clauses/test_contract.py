"""What every clause function promises: named units, keywords only, arrays like numbers, refusal.

No outside figures here: these are the house rules of the functions, the figures stand in
``tests/published`` and in the modules beside this one.
"""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
import re
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest

import feasibility.clauses
from feasibility.units import UNIT_SUFFIXES, OutOfRange

from . import infeed_inputs, power_quality_inputs, sun_inputs, transformer_inputs

DIMENSIONLESS = {
    "power_factor",
    "efficiency",
    "third_harmonic_ratio",
    "distortion_ratio",
    "ambient_factor",
    "grouping_factor",
    "soil_factor",
    "harmonic_factor",
    "other_factor",
    "shares",
    "multiple",
    "conventional_multiple",
    "conductor_count_factor",
    "voltage_factor",
    "voltage_fraction",
    "reading_factor",
    "diversity_factors",
    "ratio",
    "lower_ratio",
    "upper_ratio",
    "peak_factor",
    "direct_current_share",
    "day_of_year",
}
NAMED_BY_THE_TRADE = {
    "k": "A s^0.5 / mm2, so called in IEC 60364-4-43 and -5-54",
    "a_coefficient": "of A S^m in A, so called in IEC 60364-5-52, Annex D",
    "m_exponent": "likewise",
    "b_coefficient": "likewise",
    "n_exponent": "likewise",
    "demands": "any one unit, the sum has the same",
}

EXAMPLES: dict[str, dict[str, float]] = {
    "load_current.apparent_power_va": {"active_w": 20e3, "power_factor": 0.98},
    "load_current.three_phase_current_a": {"apparent_va": 22e3, "line_voltage_v": 400},
    "load_current.single_phase_current_a": {"apparent_va": 3e3, "voltage_v": 230},
    "load_current.input_active_power_w": {
        "dc_power_w": 20e3,
        "efficiency": 0.95,
        "auxiliaries_w": 500,
    },
    "load_current.power_at_current_w": {
        "current_a": 32,
        "line_voltage_v": 400,
        "power_factor": 0.98,
        "efficiency": 0.95,
        "auxiliaries_w": 500,
    },
    "load_current.phasor_sum_a": {
        "current_1_a": 20,
        "power_factor_1": 0.98,
        "current_2_a": 12,
        "power_factor_2": 0.7,
    },
    "load_current.neutral_third_harmonic_a": {"line_current_a": 32, "third_harmonic_ratio": 0.2},
    "load_current.rms_line_current_a": {"fundamental_a": 32, "distortion_ratio": 0.2},
    "conductor_temperature.resistance_at_ohm": {
        "resistance_20c_ohm": 0.05,
        "temperature_coefficient_per_k": 0.00393,
        "temperature_c": 70,
    },
    "conductor_temperature.conductor_temperature_c": {
        "current_a": 30,
        "ampacity_a": 40,
        "ambient_c": 30,
        "maximum_c": 70,
    },
    "ampacity.corrected_ampacity_a": {
        "tabulated_a": 57,
        "ambient_factor": 0.87,
        "grouping_factor": 0.8,
        "soil_factor": 1.18,
        "harmonic_factor": 0.86,
        "other_factor": 0.9,
    },
    "ampacity.annex_d_ampacity_a": {
        "section_mm2": 16,
        "a_coefficient": 13.5,
        "m_exponent": 0.625,
        "b_coefficient": 0.01,
        "n_exponent": 1.2,
    },
    "overload.conventional_current_a": {"rating_a": 32, "multiple": 1.45},
    "overload.greatest_rating_for_cable_a": {"ampacity_a": 40, "conventional_multiple": 1.6},
    "voltage_drop.phase_drop_v": {
        "current_a": 32,
        "power_factor": 0.95,
        "resistance_ohm": 0.1,
        "reactance_ohm": 0.004,
    },
    "voltage_drop.current_for_drop_a": {
        "drop_v": 9.2,
        "power_factor": 0.95,
        "resistance_ohm": 0.1,
        "reactance_ohm": 0.004,
    },
    "voltage_drop.drop_percent": {"drop_v": 5, "nominal_v": 230},
    "voltage_drop.annex_g_drop_v": {
        "conductor_count_factor": 1,
        "resistivity_ohm_mm2_per_m": 0.0225,
        "reactance_ohm_per_m": 0.00008,
        "length_m": 50,
        "section_mm2": 10,
        "power_factor": 0.95,
        "current_a": 32,
    },
    "joint.series_resistance_ohm": {"drop_v": 1.2, "current_a": 24, "power_factor": 0.99},
    "joint.joint_loss_w": {"resistance_ohm": 0.06, "current_a": 24},
    "joint.rise_at_current_k": {"rise_k": 25, "measured_a": 16, "current_a": 24},
    "voltage_drop.drop_allowance_percent": {"length_m": 150},
    "fault_current.three_phase_fault_a": {
        "voltage_factor": 1.1,
        "line_voltage_v": 400,
        "impedance_ohm": 0.03,
    },
    "fault_current.line_line_fault_a": {
        "voltage_factor": 0.95,
        "line_voltage_v": 400,
        "impedance_ohm": 0.03,
    },
    "fault_current.line_earth_fault_a": {
        "voltage_factor": 0.95,
        "voltage_to_earth_v": 230,
        "loop_impedance_ohm": 0.6,
    },
    "fault_current.source_impedance_ohm": {
        "voltage_factor": 1.1,
        "line_voltage_v": 400,
        "fault_current_a": 6000,
    },
    "fault_current.source_loop_impedance_ohm": {
        "voltage_factor": 1,
        "voltage_to_earth_v": 230,
        "fault_current_a": 1000,
    },
    "fault_current.impedance_ohm": {"resistance_ohm": 0.3, "reactance_ohm": 0.4},
    "fault_current.least_sum_ohm": {
        "source_ohm": 0.1,
        "resistance_ohm": 0.3,
        "reactance_ohm": 0.04,
    },
    "fault_current.greatest_sum_ohm": {
        "source_ohm": 0.1,
        "resistance_ohm": 0.3,
        "reactance_ohm": 0.04,
    },
    "fault_current.loop_resistance_ohm": {
        "line_resistance_ohm": 0.1,
        "protective_resistance_ohm": 0.2,
    },
    "fault_current.transformer_impedance_ohm": {
        "rated_va": 400e3,
        "line_voltage_v": 420,
        "impedance_percent": 4,
    },
    "fault_current.transformer_fault_a": {
        "rated_va": 400e3,
        "line_voltage_v": 420,
        "impedance_percent": 4,
        "upstream_va": 250e6,
    },
    "fault_current.simplified_fault_a": {
        "voltage_to_earth_v": 230,
        "resistance_ohm": 0.06,
        "voltage_fraction": 0.8,
    },
    "fault_current.longest_circuit_m": {
        "voltage_to_earth_v": 230,
        "section_mm2": 6,
        "protective_section_mm2": 6,
        "resistivity_ohm_mm2_per_m": 0.023,
        "operating_current_a": 320,
        "voltage_fraction": 0.8,
    },
    "disconnection.greatest_loop_impedance_ohm": {
        "voltage_to_earth_v": 230,
        "operating_current_a": 160,
        "voltage_factor": 0.95,
    },
    "disconnection.greatest_measured_loop_ohm": {
        "voltage_to_earth_v": 230,
        "operating_current_a": 160,
        "voltage_factor": 1,
        "reading_factor": 2 / 3,
    },
    "disconnection.warmed_loop_ohm": {
        "reading_ohm": 0.6,
        "outside_ohm": 0.2,
        "temperature_coefficient_per_k": 0.00393,
        "temperature_c": 70,
    },
    "disconnection.greatest_electrode_resistance_ohm": {
        "residual_current_a": 0.03,
        "touch_voltage_v": 50,
    },
    "disconnection.touch_voltage_v": {
        "voltage_to_earth_v": 230,
        "line_resistance_ohm": 0.5,
        "protective_resistance_ohm": 1,
        "voltage_fraction": 0.8,
    },
    "adiabatic.fault_energy_a2s": {"fault_current_a": 500, "time_s": 0.4},
    "adiabatic.direct_current_share": {"time_s": 0.05, "peak_factor": 1.8, "frequency_hz": 50},
    "adiabatic.asymmetrical_energy_a2s": {
        "fault_current_a": 500,
        "time_s": 0.05,
        "direct_current_share": 0.8,
    },
    "adiabatic.least_section_for_let_through_mm2": {"let_through_a2s": 35e3, "k": 115},
    "adiabatic.permitted_let_through_a2s": {"k": 115, "section_mm2": 6},
    **power_quality_inputs.EXAMPLES,
    **transformer_inputs.EXAMPLES,
    **infeed_inputs.EXAMPLES,
    **sun_inputs.EXAMPLES,
    "demand.remaining_current_a": {"rating_a": 63, "existing_a": 40},
}
SEVERAL_AT_ONCE: dict[str, dict[str, Any]] = {
    "ampacity.parallel_share": {"impedances_ohm": [0.01 + 0.001j, 0.012 + 0.001j]},
    "ampacity.parallel_ampacity_a": {"ampacities_a": [200, 200], "shares": [0.55, 0.45]},
    "demand.diversified_sum": {"demands": [10, 20], "diversity_factors": [0.6, 1]},
}
"""Functions that take a whole set of conductors or loads and give one answer for it."""

NOT_NUMBERS = (math.nan, math.inf, -math.inf, -1.0)


def _clause_functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    for module_info in pkgutil.iter_modules(feasibility.clauses.__path__):
        module = importlib.import_module(f"feasibility.clauses.{module_info.name}")
        for name, function in inspect.getmembers(module, inspect.isfunction):
            hidden = name.startswith("_") or "__" in name  # the latter: copies of a mutation tester
            if function.__module__ == module.__name__ and not hidden:
                yield f"{module_info.name}.{name}", function


FUNCTIONS = dict(_clause_functions())


def _inputs(name: str) -> dict[str, Any]:
    return dict(EXAMPLES.get(name) or SEVERAL_AT_ONCE[name])


def test_every_clause_function_is_covered_here() -> None:
    assert set(FUNCTIONS) == set(EXAMPLES) | set(SEVERAL_AT_ONCE)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_parameter_says_its_unit(name: str) -> None:
    for parameter in inspect.signature(FUNCTIONS[name]).parameters.values():
        assert parameter.kind is inspect.Parameter.KEYWORD_ONLY
        bare = re.sub(r"_\d$", "", parameter.name)
        known = bare in DIMENSIONLESS or bare in NAMED_BY_THE_TRADE
        assert known or bare.endswith(UNIT_SUFFIXES), f"{name}: {parameter.name} has no unit"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_function_documents_formula_and_error(name: str) -> None:
    text = inspect.getdoc(FUNCTIONS[name]) or ""
    assert "Raises OutOfRange" in " ".join(text.split())
    assert re.search(r"=|sum of", text), f"{name} shows no formula"


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_array_gives_what_its_numbers_give(name: str) -> None:
    function, inputs = FUNCTIONS[name], EXAMPLES[name]
    scales = (1.0, 0.98, 0.95)
    one_by_one = [function(**{key: v * scale for key, v in inputs.items()}) for scale in scales]
    at_once = function(**{key: v * np.array(scales) for key, v in inputs.items()})
    assert isinstance(at_once, np.ndarray)
    assert at_once.shape == (len(scales),)
    np.testing.assert_allclose(at_once, one_by_one, rtol=1e-14)
    for answer in one_by_one:
        assert isinstance(answer, float)


@pytest.mark.parametrize("name", EXAMPLES)
def test_one_array_among_numbers_is_enough(name: str) -> None:
    function, inputs = FUNCTIONS[name], EXAMPLES[name]
    expected = function(**inputs)
    for key, value in inputs.items():
        answers = function(**(inputs | {key: np.full(4, value)}))
        np.testing.assert_allclose(answers, np.full(4, expected), rtol=1e-14)


@pytest.mark.parametrize("bad", NOT_NUMBERS)
@pytest.mark.parametrize("name", FUNCTIONS)
def test_what_is_no_magnitude_is_refused(name: str, bad: float) -> None:
    function = FUNCTIONS[name]
    for key, value in _inputs(name).items():
        may_be_negative = key.endswith(("_c", "_deg")) or key == "tap_percent"
        if bad == -1.0 and may_be_negative:
            continue
        for wrong in (bad, np.array([bad]), _first_replaced(value, bad)):
            with pytest.raises(OutOfRange) as refusal:
                function(**(_inputs(name) | {key: wrong}))
            assert key in refusal.value.parameter.split()
            assert not 0 < refusal.value.value < math.inf


BOUNDS: list[tuple[str, str, float, float]] = [
    *(
        (name, key, 1.0, 1.001)
        for name, inputs in EXAMPLES.items()
        for key in inputs
        if re.sub(r"_\d$", "", key)
        in {
            "power_factor",
            "efficiency",
            "third_harmonic_ratio",
            "grouping_factor",
            "harmonic_factor",
            "voltage_fraction",
            "reading_factor",
        }
    ),
    *(
        ("ampacity.corrected_ampacity_a", f"{name}_factor", 2.0, 2.001)
        for name in ("ambient", "soil", "other")
    ),
    *(
        (f"fault_current.{name}", "voltage_factor", 1.2, 1.201)
        for name in (
            "three_phase_fault_a",
            "line_line_fault_a",
            "line_earth_fault_a",
            "source_impedance_ohm",
            "source_loop_impedance_ohm",
        )
    ),
    ("fault_current.transformer_impedance_ohm", "impedance_percent", 100, 100.1),
    *transformer_inputs.BOUNDS,
    *sun_inputs.BOUNDS,
    ("disconnection.greatest_loop_impedance_ohm", "voltage_factor", 1.0, 1.001),
    ("overload.conventional_current_a", "multiple", 3.0, 3.001),
    ("overload.conventional_current_a", "multiple", 1.0, 0.999),
    ("overload.greatest_rating_for_cable_a", "conventional_multiple", 3.0, 3.001),
    ("overload.greatest_rating_for_cable_a", "conventional_multiple", 1.0, 0.999),
    ("voltage_drop.annex_g_drop_v", "conductor_count_factor", 2.0, 2.001),
    ("conductor_temperature.resistance_at_ohm", "temperature_c", -60, -60.1),
    ("conductor_temperature.resistance_at_ohm", "temperature_c", 300, 300.1),
    ("conductor_temperature.resistance_at_ohm", "temperature_coefficient_per_k", 0, -0.001),
    ("conductor_temperature.resistance_at_ohm", "temperature_coefficient_per_k", 1, 1.001),
    ("conductor_temperature.conductor_temperature_c", "ambient_c", -60, -60.1),
    ("conductor_temperature.conductor_temperature_c", "maximum_c", 300, 300.1),
    ("adiabatic.fault_energy_a2s", "time_s", 0.1, 0.0999),
    ("adiabatic.fault_energy_a2s", "time_s", 5, 5.001),
    ("adiabatic.asymmetrical_energy_a2s", "time_s", 0.1, 0.1001),
    ("adiabatic.asymmetrical_energy_a2s", "direct_current_share", 2.0, 2.001),
    ("adiabatic.least_section_for_let_through_mm2", "k", 300, 300.1),
    ("adiabatic.permitted_let_through_a2s", "k", 300, 300.1),
    ("ampacity.parallel_ampacity_a", "shares", 1.0, 1.001),
    ("demand.diversified_sum", "diversity_factors", 1.0, 1.001),
]
"""Function, parameter, the last value inside the range its docstring gives, and one outside."""


@pytest.mark.parametrize(("name", "key", "inside", "outside"), BOUNDS)
def test_the_range_ends_where_the_docstring_says(
    name: str, key: str, inside: float, outside: float
) -> None:
    FUNCTIONS[name](**(_inputs(name) | {key: inside}))
    with pytest.raises(OutOfRange) as refusal:
        FUNCTIONS[name](**(_inputs(name) | {key: outside}))
    assert refusal.value.parameter == key
    assert refusal.value.value == pytest.approx(outside)
    assert inside in {refusal.value.lower, refusal.value.upper}


def _first_replaced(value: Any, bad: float) -> Any:
    numbers = np.asarray(value)
    many = np.array(np.broadcast_to(numbers, (2,)), dtype=np.result_type(numbers, 1.0))
    many[0] = bad
    return many
