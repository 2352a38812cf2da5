"""A price list, and every mistake in it by its line."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from feasibility.cli import main
from feasibility.examples import example_path
from feasibility.remedies.record import Kind
from feasibility.survey_io.prices import LARGEST_PRICE_LIST_BYTES, read_prices
from feasibility.survey_io.problems import SurveyProblems, describe


def problems_of(path: Path, content: str | bytes) -> list[str]:
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    with pytest.raises(SurveyProblems) as refused:
        read_prices(path)
    return [describe(one) for one in refused.value.problems]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "prices.toml"


def test_every_kind_can_have_a_price(path: Path) -> None:
    tables = [f'[price.{kind}]\nprice = {n}\nunit = "{kind.unit}"' for n, kind in enumerate(Kind)]
    path.write_text("\n".join(['currency = "EUR"', *tables]), encoding="utf-8")
    prices = read_prices(path)
    assert prices.currency == "EUR"
    assert prices.by_kind == {kind: float(number) for number, kind in enumerate(Kind)}


def test_a_price_without_a_currency_is_a_figure(path: Path) -> None:
    path.write_text('[price.other-device]\nprice = 80.5\nunit = "each"\n', encoding="utf-8")
    prices = read_prices(path)
    assert (prices.currency, prices.by_kind) == ("", {Kind.OTHER_DEVICE: 80.5})


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("", "price: expected at least one table [price.KIND]"),
        ("price = 3", "line 1: price: expected at least one table [price.KIND]"),
        ("currency = 3\n[price]\n", "line 1: currency = 3: expected a text of at most 10"),
        (
            '[price.larger-cabel]\nprice = 3\nunit = "m"',
            "line 1: price, larger-cabel: expected a kind of remedy; the nearest is larger-cable",
        ),
        ("[price]\nother-cord = 3", "line 2: price, other-cord = 3: expected a table"),
        (
            '[price.other-cord]\nprice = "3"\nunit = "m"',
            'line 2: price, other-cord, price = "3": expected a number from 0 to',
        ),
        (
            '[price.other-cord]\nprice = -1\nunit = "m"',
            "line 2: price, other-cord, price = -1: expected a number from 0 to",
        ),
        (
            '[price.other-cord]\nprice = nan\nunit = "m"',
            "line 2: price, other-cord, price = nan: expected a number from 0 to",
        ),
        (
            '[price.other-cord]\nprice = 1\nunit = "each"',
            'line 3: price, other-cord, unit = "each": expected "m"',
        ),
        ("[price.other-cord]\nprice = 1", 'line 1: price, other-cord, unit: expected "m"'),
        (
            '[price.other-cord]\nprice = 1\nunit = "m"\ncolour = 1',
            "line 4: price, other-cord, colour: expected price or unit",
        ),
        (
            'prices = 1\n[price.other-cord]\nprice = 1\nunit = "m"',
            "line 1: prices: expected currency or a table [price.KIND]",
        ),
        ("[price.other-cord]\nprice = 1,5", "expected a decimal point in place of the comma"),
        (b"\xff\xfe", "expected text saved as UTF-8"),
        (b"#" * (LARGEST_PRICE_LIST_BYTES + 1), "expected at most 100 kB"),
    ],
)
def test_a_mistake_is_named_with_its_line(path: Path, content: str | bytes, expected: str) -> None:
    assert any(expected in one for one in problems_of(path, content))


def test_a_file_that_is_not_there_is_refused(path: Path) -> None:
    for place in (path, path.parent):
        with pytest.raises(SurveyProblems) as refused:
            read_prices(place)
        assert "price list that can be read" in describe(refused.value.problems[0])


def test_the_command_line_names_a_faulty_price_list_and_what_does_not_go_together(
    path: Path,
) -> None:
    path.write_text("price = 3\n", encoding="utf-8")
    survey = str(example_path("bakery-yard"))
    refused = CliRunner().invoke(main, ["check", survey, "--prices", str(path)])
    assert refused.exit_code == 2
    assert "line 1: price: expected at least one table [price.KIND]" in refused.stderr
    for other in (["--json"], ["--prices", str(path)]):
        together = CliRunner().invoke(main, ["check", survey, "--set", "cord.length_m=9", *other])
        assert together.exit_code == 2
        assert f"give either {other[0]} or --set" in together.stderr
