"""Figures as text. Expected texts are worked out by hand from the rules in the module."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.citation import Citation
from feasibility.render import numbers
from feasibility.result import Finding, Message, Outcome, Quantity, Sense, Step

T = numbers.THIN_SPACE


def read_back(text: str) -> float:
    plain = text.replace(T, "").replace(numbers.MINUS, "-")
    base, _, power = plain.partition("·10")
    exponent = power.translate(str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789"))
    return float(f"{base}e{exponent or 0}")


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (24.48, 3, "24.5"),
        (24.48, 4, "24.48"),
        (63.0, 3, "63"),
        (100.80000000000001, 3, "101"),
        (100.80000000000001, 4, "100.8"),
        (4838.541, 3, "4839"),
        (15706.806, 4, f"15{T}707"),
        (0.016099999999999996, 3, "0.0161"),
        (1.3413487e-09, 3, "1.34·10⁻⁹"),
        (2.5e8, 3, "2.5·10⁸"),
        (-0.5, 3, "−0.5"),
        (0.0, 3, "0"),
        (-0.0, 3, "0"),
        (None, 3, "–"),
        (math.nan, 3, "not determined"),
        (math.inf, 3, "∞"),
        (-math.inf, 3, "−∞"),
    ],
)
def test_figures(value: float | None, digits: int, text: str) -> None:
    assert numbers.number_text(value, digits) == text


@given(st.floats(-1e300, 1e300), st.integers(3, 6))
def test_a_figure_reads_back_within_its_digits(value: float, digits: int) -> None:
    back = read_back(numbers.number_text(value, digits))
    assert back == pytest.approx(value, rel=0.6 * 10.0 ** (1 - digits), abs=0)


def test_a_unit_is_behind_a_narrow_space_and_in_the_trades_sign() -> None:
    assert numbers.amount_text(32, "A") == f"32{T}A"
    assert numbers.amount_text(16, "mm2") == f"16{T}mm²"
    assert numbers.amount_text(1.15, "ohm/km") == f"1.15{T}Ω/km"
    assert numbers.amount_text(0.005, "1/K") == f"0.005{T}1/K"
    assert numbers.amount_text(0.8, "") == "0.8"
    assert numbers.amount_text(None, "A") == "–"
    assert numbers.amount_text(math.nan, "A") == "not determined"


def test_a_breach_is_not_rounded_away() -> None:
    assert numbers.distinct_numbers((32.04, 32.0)) == ("32.04", "32")
    assert numbers.distinct_numbers((32.0000004, 32.0)) == ("32.0000004", "32")
    assert numbers.distinct_numbers((32.0, 32.0)) == ("32", "32")
    assert numbers.distinct_numbers((None, 32.0)) == ("–", "32")
    assert numbers.distinct_numbers((math.nan, 32.0)) == ("not determined", "32")


@given(st.floats(1, 6300), st.floats(1, 6300))
def test_different_values_always_look_different(one: float, other: float) -> None:
    shown = numbers.distinct_numbers((one, other))
    assert (shown[0] == shown[1]) == (one == other)


@pytest.mark.parametrize(
    ("current_a", "text"),
    [
        (42.48878, "42.4"),
        (29.473893533091278, "29.4"),
        (29.399999999999999, "29.4"),
        (32.0, "32"),
        (219.9, "219"),
        (9.999, "9.99"),
        (0.0, "0"),
        (None, "–"),
    ],
)
def test_a_carried_current_is_rounded_down(current_a: float | None, text: str) -> None:
    assert numbers.carried_number(current_a) == text


@given(st.floats(0.1, 6300))
def test_a_carried_current_is_never_rounded_up(current_a: float) -> None:
    shown = read_back(numbers.carried_number(current_a))
    assert shown <= current_a * (1 + 1e-11)
    assert shown == pytest.approx(current_a, rel=0.011)


@pytest.mark.parametrize(
    ("requested_a", "carried_a", "requested", "carried"),
    [
        (24.48, 24.484, "24.48", "24.48"),
        (24.48, 24.48, "24.48", "24.48"),
        (24.48, 24.4799, "24.48", "24.4"),
        (24.48, 42.48878, "24.48", "42.4"),
        (57.17232, 57.1724, "57.17", "57.17"),
        (57.17, 57.1699999, "57.17", "57.1"),
        (1000.5, 1000.49, "1000.5", "1000"),
        (None, 42.48878, "–", "42.4"),
        (math.nan, 5.0, "not determined", "5"),
        (24.48, None, "24.48", "–"),
        (24.48, 0.0, "24.48", "0"),
    ],
)
def test_a_carried_current_is_seen_to_reach_the_requested_one(
    requested_a: float | None, carried_a: float | None, requested: str, carried: str
) -> None:
    shown = numbers.CurrentsBeside(requested_a, [carried_a])
    assert (shown.requested, shown.carried(carried_a)) == (requested, carried)


@given(st.floats(1, 6300), st.lists(st.floats(0.9999, 1.0001), max_size=5))
def test_the_order_of_carried_and_requested_current_is_printed(
    requested_a: float, shares: list[float]
) -> None:
    carried_a = [requested_a * share for share in shares if abs(share - 1) > 1e-9 or share == 1]
    shown = numbers.CurrentsBeside(requested_a, carried_a)
    requested = read_back(shown.requested)
    for one in carried_a:
        carried = read_back(shown.carried(one))
        assert (carried >= requested) == (one >= requested_a)
        assert carried <= max(one * (1 + 1e-11), requested if one == requested_a else 0)


def test_a_message_is_filled_with_figures_that_differ() -> None:
    message = Message(
        template="{link}: {value} exceeds {limit}; {unknown} {0} {{x}}",
        values={
            "value": Quantity(value=32.04, unit="A"),
            "limit": Quantity(value=32, unit="A"),
            "link": "Zuleitung {value.__class__} <b>",
        },
    )
    assert numbers.message_text(message) == (
        f"Zuleitung {{value.__class__}} <b>: 32.04{T}A exceeds 32{T}A; {{unknown}} {{0}} {{{{x}}}}"
    )


def test_units_written_differently_are_still_told_apart() -> None:
    message = Message(
        template="{a} or {b}",
        values={
            "a": Quantity(value=16.01, unit="mm²"),
            "b": Quantity(value=16, unit="mm2"),
        },
    )
    assert numbers.message_text(message) == f"16.01{T}mm² or 16{T}mm²"


def test_value_limit_and_margin_of_a_breach() -> None:
    finding = Finding(
        check="ampacity",
        question="",
        outcome=Outcome.FAIL,
        reason=Message(template=""),
        value=32.04,
        limit=32,
        unit="A",
    )
    assert numbers.value_and_limit(finding) == (f"32.04{T}A", f"32{T}A", f"−0.04{T}A")
    loop = Finding(
        check="disconnection",
        question="",
        outcome=Outcome.PASS,
        reason=Message(template=""),
        value=383.6,
        limit=160,
        unit="A",
        sense=Sense.AT_LEAST,
    )
    assert numbers.value_and_limit(loop) == (f"384{T}A", f"160{T}A", f"224{T}A")
    empty = Finding(check="a", question="", outcome=Outcome.OPEN, reason=Message(template=""))
    assert numbers.value_and_limit(empty) == ("–", "–", "–")


@pytest.mark.parametrize(
    ("options", "unit", "text"),
    [
        ((8.0, 12.0), "m", f"8–12{T}m"),
        ((12.0, 8.0), "m", f"8–12{T}m"),
        ((1, 6), "", "1–6"),
        (("B", "C", "D"), "", "B, C or D"),
        ((True, False), "", "yes or no"),
        ((70.0,), "°C", f"70{T}°C"),
        ((4.0, 6.0, 10.0), "mm²", f"4{T}mm², 6{T}mm² or 10{T}mm²"),
        ((), "A", ""),
    ],
)
def test_what_a_value_may_be(options: tuple[float | str | bool, ...], unit: str, text: str) -> None:
    assert numbers.options_text(options, unit) == text


def step(formula: str, inputs: dict[str, tuple[float, str]], result: float, unit: str) -> Step:
    return Step(
        symbol="Ib",
        meaning="",
        formula=formula,
        inputs=tuple(Quantity(value=v, unit=u, symbol=s) for s, (v, u) in inputs.items()),
        result=result,
        unit=unit,
    )


def test_a_formula_is_written_by_hand_signs() -> None:
    line = step(
        "sqrt((R1 + R2) ** 2 + (X1 - X2)**2) * max(eta, 0) / cosphi",
        {"R1": (1.5, "Ω"), "R2": (2, "Ω"), "X1": (-1, "Ω"), "X2": (0.25, "Ω"), "eta": (0.955, "")},
        3.5,
        "Ω",
    )
    assert numbers.formula_text(line) == "√((R1 + R2)² + (X1 − X2)²) · max(η; 0) / cos φ"
    assert numbers.substituted_text(line) == (
        f"√((1.5{T}Ω + 2{T}Ω)² + ((−1{T}Ω) − 0.25{T}Ω)²) · max(0.955; 0) / cos φ"
    )


def test_a_power_that_is_not_a_plain_number_keeps_its_brackets() -> None:
    line = step("Ir * k10 ** (T / 10)", {"Ir": (32, "A"), "k10": (0.94, "")}, 30, "A")
    assert numbers.formula_text(line) == "Ir · k10^(T / 10)"


def test_a_figure_with_a_unit_is_raised_as_a_whole() -> None:
    line = step("R ** 2 + n ** 2", {"R": (0.5, "Ω"), "n": (3, "")}, 9.25, "Ω²")
    assert numbers.substituted_text(line) == f"(0.5{T}Ω)² + 3²"


def test_every_symbol_is_replaced_by_its_own_figure() -> None:
    line = step("I * I0 * I01", {"I": (1, "A"), "I0": (2, "A"), "I01": (3, "A")}, 6, "A³")
    assert numbers.substituted_text(line) == f"1{T}A · 2{T}A · 3{T}A"


def test_a_line_of_a_working_repeats_nothing() -> None:
    line = step("Is + Ie", {"Is": (24.48, "A"), "Ie": (20.61, "A")}, 45.09, "A")
    shown = f"Ib = Is + Ie = 24.48{T}A + 20.61{T}A = 45.09{T}A"
    assert numbers.working_text(line) == shown
    plain = step("Ib", {"Ib": (32, "A")}, 32, "A")
    assert numbers.working_text(plain) == f"Ib = 32{T}A"


def test_a_printed_working_can_be_recalculated_from_the_paper() -> None:
    line = step(
        "cmax * Un / (sqrt(3) * 1000 * Ikq)",
        {"cmax": (1.1, ""), "Un": (400, "V"), "Ikq": (5.2, "kA")},
        0.048852715085276034,
        "Ω",
    )
    printed = numbers.substituted_text(line)
    assert printed == f"1.1 · 400{T}V / (√(3) · 1000 · 5.2{T}kA)"
    plain = re.sub(f"{T}\\w+", "", printed).replace("·", "*").replace("√", "math.sqrt")
    assert eval(plain) == pytest.approx(read_back(numbers.number_text(line.result, 4)), rel=1e-3)  # noqa: S307


SOURCES = {
    "common-practice": "Common practice of the trade, no source, ",
    "IEC60364-4-43:2008": "Low-voltage electrical installations, part 4-43, 2008",
}


@pytest.mark.parametrize(
    ("citation", "text"),
    [
        (Citation(source="IEC60364-4-43:2008", clause="433.1"), "IEC 60364-4-43:2008, 433.1"),
        (
            Citation(source="IEC60364-6:2016", clause="Annex D", note="from memory"),
            "IEC 60364-6:2016, Annex D (from memory)",
        ),
        (Citation(source="BS7671:2018"), "BS 7671:2018"),
        (Citation(source="HD60364-5-52:2011"), "HD 60364-5-52:2011"),
        (Citation(source="EN50160:2010"), "EN 50160:2010"),
        (Citation(source="DIN-VDE-0298-4:2013-06"), "DIN VDE 0298-4:2013-06"),
        (
            Citation(source="common-practice", note="from memory"),
            "Common practice of the trade, no source (from memory)",
        ),
        (Citation(source="not-listed", clause="page 3"), "not-listed, page 3"),
    ],
)
def test_citations(citation: Citation, text: str) -> None:
    assert numbers.citation_text(citation, SOURCES) == text


def test_a_citation_is_named_once() -> None:
    one = Citation(source="IEC60364-4-43:2008", clause="433.1")
    two = Citation(source="BS7671:2018")
    shown = numbers.citations_text((one, two, one), SOURCES)
    assert shown == "IEC 60364-4-43:2008, 433.1; BS 7671:2018"
