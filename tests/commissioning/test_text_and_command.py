"""What the terminal shows of a comparison, and with which exit code it ends."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from feasibility.cli import main
from feasibility.examples import example_companions, example_path
from feasibility.render.commissioning_text import commissioning_text

from .records import Data, compared, read_at_the_bakery, shipped

SURVEY = str(example_path("bakery-yard"))
RECORD = example_companions("bakery-yard")["bakery-yard-record.toml"].decode()


def run(tmp_path: Path, text: str) -> Result:
    place = tmp_path / "record.toml"
    place.write_text(text, encoding="utf-8")
    return CliRunner().invoke(main, ["compare", SURVEY, str(place)])


def test_the_shipped_record_ends_with_the_code_for_a_difference(tmp_path: Path) -> None:
    result = run(tmp_path, RECORD)
    assert result.exit_code == 40, result.output
    assert "1. outlet (L2-N): about 61 mΩ too much, 36 W of heat" in result.stdout


def test_a_record_that_agrees_ends_with_0(tmp_path: Path) -> None:
    text = RECORD.replace("l2_n_v = 226.13", "l2_n_v = 227.49").replace("= 58\n", "= 35\n")
    result = run(tmp_path, text)
    assert result.exit_code == 0, result.output
    assert "WITHIN WHAT WAS EXPECTED" in result.stdout


def test_a_coarse_instrument_ends_with_30(tmp_path: Path) -> None:
    text = RECORD.replace("l2_n_v = 226.13", "l2_n_v = 227.49").replace("= 58\n", "= 35\n")
    result = run(tmp_path, text.replace("resolution_v = 0.01", "resolution_v = 0.1"))
    assert result.exit_code == 30, result.output


def test_a_faulty_record_ends_with_2_and_its_problems(tmp_path: Path) -> None:
    result = run(tmp_path, RECORD.replace("l1_a = 24.2", 'l1_a = "24,2"'))
    assert result.exit_code == 2
    assert "record.toml: 1 problem" in result.stderr
    assert "with a decimal point and without quotation marks" in result.stderr


def anything() -> list[Data]:
    nothing = shipped() | {"node": [], "temperature": []}
    nothing.pop("load")
    shorter = read_at_the_bakery({1: {f"L{phase}": -0.05 for phase in (1, 2, 3)}})
    loops = shipped()
    loops["node"][1]["loop_l1_ohm"] = 0.7
    loops["node"][2]["loop_l1_ohm"] = 0.95
    hot = shipped()
    hot["temperature"][0]["temperature_c"] = 120
    return [shipped(), nothing, shorter, loops, hot]


@pytest.mark.parametrize("number", range(5))
def test_the_text_fits_a_terminal_and_promises_nothing(number: int) -> None:
    text = commissioning_text(compared(anything()[number]))
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "safe" not in text.lower()
    assert "nan" not in text


def test_the_text_says_what_kind_of_difference_it_is() -> None:
    _, nothing, shorter, loops, hot = (commissioning_text(compared(one)) for one in anything())
    assert nothing.startswith("CANNOT TELL")
    assert "NOT COMPARED" in nothing
    assert "less than expected" in shorter
    assert "WHERE A RESISTANCE" not in shorter
    assert "exceeds the permitted 0.65" in loops
    assert "Yard outlet: device (L1)" in hot
