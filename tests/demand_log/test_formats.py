"""The same figures in every format that is accepted, and what pandas makes of them."""

from __future__ import annotations

import datetime as dt
import io
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from feasibility.demand_log.reading import read_demand_log
from feasibility.demand_log.record import DemandLog, LogProblems

from .example_log import example_log
from .files import (
    COLUMNS,
    STAMPS,
    Form,
    described,
    figure,
    only,
    read,
    small,
    text_of,
    times,
    workbook,
)

ROWS = [[10.5 + n % 7, 8.25 + n % 5, 9.125 + n % 3] for n in range(96)]
MAXIMA = {"L1": 16.5, "L2": 12.25, "L3": 11.125}


def maxima_of(log: DemandLog) -> dict[str, float]:
    return {one.name: one.maximum for one in log.values}  # noqa: PD011


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize("stamp", STAMPS)
def test_every_format_gives_the_same(
    tmp_path: Path, separator: str, decimal: str, stamp: str
) -> None:
    form = Form(
        separator=separator, decimal=decimal, stamp=STAMPS[stamp], quoted=separator == decimal
    )
    log = read(tmp_path, text_of(times(96), ROWS, form))
    assert maxima_of(log) == MAXIMA
    assert (log.samples, log.gap_count) == (96, 0)
    assert log.start == dt.datetime(2026, 1, 12, 23, tzinfo=dt.UTC)
    assert log.end == log.start + dt.timedelta(seconds=95 * 900)
    assert log.covered_days == 1


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le-with-mark", "cp1252"]
)
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_every_encoding_gives_the_same(tmp_path: Path, encoding: str, line_end: str) -> None:
    marked = encoding.endswith("with-mark")
    form = Form(
        encoding="utf-16-le" if marked else encoding,
        line_end=line_end,
        preamble=("Messgerät Nr. 7", "", "größte Werte; 1,5"),
    )
    content = text_of(times(96), ROWS, form)
    log = read(tmp_path, b"\xff\xfe" + content if marked else content)
    assert maxima_of(log) == MAXIMA


@pytest.mark.parametrize("interval_s", [1, 10, 60, 300, 900, 1800, 3600])
def test_every_interval_gives_the_same(tmp_path: Path, interval_s: int) -> None:
    form = Form(stamp="%Y-%m-%d %H:%M:%S")
    log = read(tmp_path, text_of(times(96, interval_s), ROWS, form), interval_s=interval_s)
    assert maxima_of(log) == MAXIMA
    assert log.covered_days == pytest.approx(96 * interval_s / 86_400)


@pytest.mark.parametrize("at", [(0, 0), (4, 2)])
def test_a_workbook_gives_the_same(tmp_path: Path, at: tuple[int, int]) -> None:
    path = workbook(tmp_path / "log.xlsx", times(96), ROWS, at=at)
    log = read_demand_log(path, described())
    assert maxima_of(log) == MAXIMA
    assert log.start == dt.datetime(2026, 1, 12, 23, tzinfo=dt.UTC)
    assert (log.samples, log.formulas) == (96, 0)


def test_of_a_formula_the_last_calculated_value_counts_and_is_counted(tmp_path: Path) -> None:
    rows = [[("=2*3", 6.0), 1.0 + n, 2.0] for n in range(96)]
    log = read_demand_log(workbook(tmp_path / "log.xlsx", times(96), rows), described())
    assert maxima_of(log) == {"L1": 6.0, "L2": 96.0, "L3": 2.0}
    assert log.formulas == 96


def test_formulas_that_nobody_calculated_are_named_with_the_reason(tmp_path: Path) -> None:
    path = workbook(tmp_path / "log.xlsx", times(9), [["=NOW()", 1.0, 2.0]] * 9)
    with pytest.raises(LogProblems, match=r"9 formulas.*calculated and saved"):
        read_demand_log(path, described())


def test_the_sheet_is_named_where_there_are_several(tmp_path: Path) -> None:
    sheets = {"Notes": False, "Log": True}
    path = workbook(tmp_path / "log.xlsx", times(96), ROWS, sheets=sheets)
    assert maxima_of(read_demand_log(path, described(sheet="Log"))) == MAXIMA
    with pytest.raises(LogProblems, match=r'the sheet.s name.*"Notes", "Log"'):
        read_demand_log(path, described())
    with pytest.raises(LogProblems, match="one of the workbook's sheets"):
        read_demand_log(path, described(sheet="Data"))


def test_generation_is_added_in_full_to_each_column(tmp_path: Path) -> None:
    rows = [[5.0, 6.0, 7.0, 2.5], [4.0, 3.0, 2.0, 9.0], [1.0, 1.0, 1.0, -0.01]]
    content = text_of(times(3), rows, Form(), (*COLUMNS, "PV"))
    log = read(tmp_path, content, generation_column="PV")
    assert maxima_of(log) == {"L1": 13.0, "L2": 12.0, "L3": 11.0}
    assert log.generation_added


def test_the_shipped_log_is_what_its_maker_writes_and_pandas_finds_the_same() -> None:
    from feasibility.examples import example_companions, example_path

    content = example_companions("market-hall")["market-hall-demand.csv"]
    assert content == example_log()
    assert len(content) < 200_000
    frame = pd.read_csv(io.BytesIO(content), sep=";", decimal=",", skiprows=2, encoding="utf-8-sig")
    columns = {"L1": "I L1 (A)", "L2": "I L2 (A)", "L3": "I L3 (A)"}
    path = example_path("market-hall").with_name("market-hall-demand.csv")
    log = read_demand_log(
        path, described(time_column="Time", value_columns=columns, time_zone="Europe/Vienna")
    )
    clock = pd.to_datetime(frame["Time"], format="%d.%m.%Y %H:%M").dt.tz_localize("Europe/Vienna")
    assert log.samples == len(frame)
    assert log.start == clock.iloc[0]
    assert log.end == clock.iloc[-1]
    for one in log.values:  # noqa: PD011
        values = frame[columns[one.name]]
        assert one.maximum == values.max()
        assert one.mean == pytest.approx(values.mean(), rel=1e-12)
        assert one.maximum_at == clock.iloc[int(values.argmax())]
    steps = clock.diff().dt.total_seconds().dropna()
    gaps = steps[steps > 900]
    assert (log.gap_count, log.longest_gap_s) == (len(gaps), gaps.max() - 900)


forms = st.builds(
    Form,
    separator=st.sampled_from([",", ";", "\t"]),
    decimal=st.sampled_from([".", ","]),
    stamp=st.sampled_from(sorted(STAMPS.values())),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    line_end=st.sampled_from(["\n", "\r\n"]),
    preamble=st.sampled_from([(), ("logger",), ("a;b,c", "")]),
    quoted=st.just(True),
)
values = st.floats(0, 99).map(lambda value: round(value, 2))
tables = st.lists(st.tuples(values, values, values), min_size=2, max_size=30)


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(form=forms, table=tables, data=st.data())
def test_a_written_log_is_read_as_it_was_and_a_higher_sample_never_lowers_it(
    tmp_path: Path, form: Form, table: list[tuple[float, float, float]], data: st.DataObject
) -> None:
    log = read(tmp_path, text_of(times(len(table)), table, form))
    frame = pd.DataFrame(table, columns=list(COLUMNS))
    assert maxima_of(log) == frame.max().to_dict()
    row = data.draw(st.integers(0, len(table) - 1), label="row")
    place = data.draw(st.integers(0, 2), label="phase")
    more = data.draw(st.floats(0.01, 500).map(lambda value: round(value, 2)), label="more")
    higher = [list(one) for one in table]
    higher[row][place] = round(higher[row][place] + more, 2)
    raised = read(tmp_path, text_of(times(len(table)), higher, form))
    for before, after in zip(log.values, raised.values, strict=True):
        assert after.maximum >= before.maximum
        assert after.mean >= before.mean - 1e-9
    assert raised.of(COLUMNS[place]).maximum >= higher[row][place]  # type: ignore[union-attr]


def test_marks_that_may_stand_between_thousands_are_refused(tmp_path: Path) -> None:
    content = small("2026-01-13 00:00;998;1;1", "2026-01-13 00:15;1,002;2;1")
    found = only(tmp_path, content)
    assert (found.row, found.column, found.value) == (3, "L1", "1,002")
    assert "thousands" in found.expected


def test_figures_are_written_as_the_form_says() -> None:
    assert figure(1.5, Form(decimal=",", quoted=True)) == '"1,5"'
