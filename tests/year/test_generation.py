"""Second sources over the year: by hand, and held to a year of real photovoltaic output."""

from __future__ import annotations

import datetime as dt
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from feasibility.checks.run import run_catalogue
from feasibility.demand_log.quarters import QUARTER_MS
from feasibility.demand_log.record import Unit
from feasibility.installation.build import build_installation
from feasibility.units import FloatArray
from feasibility.year.generation import generation_study
from feasibility.year.generation_record import (
    GenerationStudy,
    OutputBy,
    OverTheYear,
    RaisedVoltage,
)
from feasibility.year.outputs import SOLAR_TIME, clear_sky_shares
from feasibility.year.series import Calendar

from ..checks.cases_of_infeed import BAKERY, at_origin, on_board, photovoltaic
from ..checks.cases_of_infeed_voltage import TWO_PERCENT_A, below_the_band, far_board
from ..checks.sites import GONE, Changes, Data, found, merged, quick, site
from ..demand_log.logs import logs_of, made_up
from .sites import START, quarters_of

RISE, PLACE, STATION = (
    "infeed-voltage-rise",
    "infeed-highest-voltage",
    "infeed-voltage-at-station",
)
JOINERY = "joinery-hall"
SKY = {"output_profile": "clear sky"}
DAY = 96


def study_of(*changes: Changes, name: str = BAKERY) -> GenerationStudy:
    survey = site(name, *changes)
    judgement = run_catalogue(build_installation(survey, logs_of(survey)), ())
    study = generation_study(judgement)
    assert study is not None
    return study


def over_of(*changes: Changes, name: str = BAKERY) -> OverTheYear:
    study = study_of(*changes, name=name)
    assert study.over_year is not None
    assert study.missing == ()
    return study.over_year


def raised(over: OverTheYear, check: str, link: str = "") -> RaisedVoltage:
    (one,) = [one for one in over.voltages if one.check == check and one.link.endswith(link)]
    return one


def logged(
    file: str, figures: FloatArray, unit: Unit = "A", start: dt.datetime = START
) -> dict[str, Any]:
    """Return the field of a source with a log of these quarter-hours."""
    made_up(
        file,
        days=len(figures) / DAY,
        maxima={"output": float(np.nanmax(figures))},
        unit=unit,
        start=start,
        quarter_hours=quarters_of({"output": figures}, start),
    )
    columns = {"time_column": "time", "output_column": "out", "time_zone": "+00:00"}
    return {"output": {"file": file, "unit": unit, "interval_s": 900, **columns}}


def a_day(*figures: float) -> FloatArray:
    """Return a day on which a source gives these figures in as many quarter-hours, else nothing."""
    return np.array([*figures, *[0.0] * (DAY - len(figures))])


def test_hours_above_the_advised_rise_by_hand() -> None:
    # 140 m of 16 mm²: 2 % are reached at 23.98 A (see the cases of the finding).
    output = a_day(20, 0.99 * TWO_PERCENT_A, 1.01 * TWO_PERCENT_A, 30, 30)
    over = over_of(far_board(30, **logged("steps.csv", output)))
    rise = raised(over, RISE)
    assert rise.hours_exceeded == 3 / 4
    assert rise.highest == pytest.approx(2.0 * 30 / TWO_PERCENT_A, rel=1e-3)
    assert rise.highest_at == START + dt.timedelta(minutes=45)
    assert (over.hours, over.whole_year, over.largest_a, over.largest_on) == (24, False, 30, "L1")
    # 30 A in three phases at 400 V are 20.78 kW.
    assert over.sources[0].energy_kwh == pytest.approx(output.sum() / 4 * 0.4 * 3**0.5)
    assert raised(over, STATION, "station").hours_exceeded == 0


def test_hours_above_what_equipment_takes_and_the_voltage_that_leaves_room() -> None:
    # The supply reaches 432 V, 108 %: 2 % are left, again up to 23.98 A.
    output = a_day(*[0.99 * TWO_PERCENT_A] * 9, *[1.01 * TWO_PERCENT_A] * 8)
    changes = merged(below_the_band(30), far_board(30, **logged("band.csv", output)))
    place = raised(over_of(changes), PLACE)
    assert place.hours_exceeded == 8 / 4
    assert place.origin_up_to_v == pytest.approx(432 - 0.01 * 2.0 * 400 / 100, abs=0.01)


def test_kilowatts_count_as_their_current_at_nominal_voltage() -> None:
    output = a_day(6.928, 3.464)  # 10 A and 5 A in three phases at 400 V
    log = logged("kilowatts.csv", output, "kW")
    over = over_of(far_board(rated_current_a=GONE, rated_power_kw=10, **log))
    assert over.largest_a == pytest.approx(10, rel=1e-3)
    assert over.sources[0].energy_kwh == pytest.approx((6.928 + 3.464) / 4)
    assert raised(over, RISE).highest == pytest.approx(2.0 * 10 / TWO_PERCENT_A, rel=1e-3)


def test_the_energy_of_a_current_is_that_of_its_phases_at_nominal_voltage() -> None:
    output = a_day(10, 10)
    over = over_of(far_board(10, phases="L2", **logged("one-phase.csv", output)))
    # Half an hour of 10 A at 400 V over the square root of three, by hand.
    assert over.sources[0].energy_kwh == pytest.approx(0.5 * 10 * 0.230940, rel=1e-5)


def test_of_a_rating_within_bounds_a_clear_sky_counts_the_most() -> None:
    def energy_kwh(power: object) -> float:
        source = photovoltaic(rated_current_a=GONE, rated_power_kw=power, **SKY)
        found = over_of(on_board(source), {"site.latitude_deg": 48}).sources[0].energy_kwh
        assert found
        return found

    assert energy_kwh({"low": 8, "high": 10}) == energy_kwh(10)


def test_kilowatts_of_a_rating_within_bounds_are_the_most_amperes_they_may_be() -> None:
    # 16 A and perhaps 8 kW: then 4 kW are 8 A, however little that is at nominal voltage.
    log = logged("within-bounds.csv", a_day(4), "kW")
    source = photovoltaic(16, rated_power_kw={"low": 8, "high": 10}, **log)
    (one,) = over_of(on_board(source)).sources
    assert one.highest_a == pytest.approx(8)
    assert one.energy_kwh == pytest.approx(1)


def test_shares_add_up_by_phase() -> None:
    first, second = a_day(10, 0, 10, 0), a_day(0, 10, 10, 0)

    def largest(phase: str) -> float:
        sources: list[Data] = [
            photovoltaic(10, name="one", phases="L2", **logged("one.csv", first)),
            photovoltaic(10, name="two", phases=phase, **logged("second-source.csv", second)),
        ]
        return over_of(on_board(*sources)).largest_a

    assert largest("L2") == 20
    assert largest("L3") == 10  # a source on another phase never relieves


UNDER_THE_SKY = {"site.latitude_deg": 48, "board[0].other_sources_none": GONE}


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        (JOINERY, {}),
        ("quarry-workshop", {"board[0].source": [photovoltaic(30, **SKY)]}),  # own transformer
        ("camp-site-kiosk", {"board[0].source": [photovoltaic(10, phases="L1", **SKY)]}),
    ],
)
def test_a_clear_sky_reaches_what_full_infeed_was_judged_by(name: str, changes: Changes) -> None:
    changes = merged(UNDER_THE_SKY, {"board[0].demand.net_of_generation": False}, changes)
    over = over_of(changes, name=name)
    for check in (RISE, PLACE, STATION):
        finding = found(check, "", name, changes)
        assert finding.value
        assert raised(over, check).highest == pytest.approx(finding.value)


def test_a_supply_that_uses_its_whole_band_leaves_no_room_while_it_is_day() -> None:
    over = over_of(name=JOINERY)
    # The supply's own tolerance takes all of the band: any output exceeds it, as long as it is day,
    # and the sun of a year is up for half of all hours.
    assert raised(over, PLACE).hours_exceeded == pytest.approx(8760 / 2, rel=0.03)
    assert (over.hours, over.whole_year, over.time_zone) == (8760, True, SOLAR_TIME)
    assert over.largest_at.month == 6
    assert len(over.sources[0].months) == 12


def test_generation_over_the_year_is_no_relief() -> None:
    states = {"board[0].source[0].output_profile": GONE, "site.latitude_deg": GONE}
    with_it, without = quick(JOINERY), quick(JOINERY, states)
    assert without.generation is None
    assert with_it.generation is not None
    assert with_it.findings == without.findings
    assert with_it.verdict == without.verdict


def test_what_is_not_known_is_named_and_nothing_is_put_in_its_place() -> None:
    no_latitude = study_of({"site.latitude_deg": GONE}, name=JOINERY)
    assert no_latitude.over_year is None
    assert no_latitude.missing == ("the latitude of the site, for 'roof photovoltaics'",)
    no_phases = study_of(far_board(phases="unknown", **SKY), {"site.latitude_deg": 48})
    assert no_phases.over_year is None
    assert no_phases.missing == ("phases of second source 'roof'",)
    unknown_cable = {"circuit[0].cable[0].section_mm2": "unknown", "site.latitude_deg": 48}
    no_section = study_of(far_board(**SKY), unknown_cable)
    assert no_section.missing == ("section of cable 1 of 'Main cable'",)
    assert no_section.over_year is not None
    assert no_section.over_year.voltages == ()
    survey = site(BAKERY, far_board(**logged("kept.csv", a_day(1))))
    no_file = generation_study(run_catalogue(build_installation(survey, {}), ()))
    assert study_of(far_board(**logged("nothing.csv", a_day(0)))).missing == (
        "logs from the same time in which something is delivered",
    )
    assert no_file == GenerationStudy(missing=("the log of what 'roof' delivered",), over_year=None)


def test_a_source_of_which_nothing_is_said_counts_at_its_rating_at_every_moment() -> None:
    battery = photovoltaic(7, name="battery", kind="battery")
    changes = on_board(photovoltaic(10, **logged("beside.csv", a_day(10))), battery)
    over = over_of(changes)
    assert over.largest_a == 17
    assert [one.by for one in over.sources] == [OutputBy.LOG, OutputBy.RATING]
    assert over.sources[1].energy_kwh is None


def test_beside_a_log_the_sun_may_stand_higher_than_the_clock_says() -> None:
    log = photovoltaic(10, name="logged", **logged("beside the sun.csv", a_day(1)))
    over = over_of(on_board(photovoltaic(10, **SKY), log), {"site.latitude_deg": 48})
    one = next(one for one in over.sources if one.by is OutputBy.CLEAR_SKY)
    # 1 January at 48 degrees: the sun is highest at 19 degrees (90 - 48 - 23) and counts so from
    # half past ten; in summer it reaches 65.4.
    assert one.highest_at.hour == 10
    assert (over.first, over.hours) == (START, 24)
    assert one.highest_a == pytest.approx(10 * light(19) / light(65.4), rel=0.02)


def light(height: float) -> float:
    """Meinel's formula with the simple sine for the air that is passed."""
    return float(0.7 ** ((1 / np.sin(np.radians(height))) ** 0.678))


def test_only_hours_with_figures_of_all_logs_are_studied() -> None:
    gap = a_day(10, 10)
    gap[40:44] = np.nan
    half_a_day_later = START + dt.timedelta(hours=12)
    sources = [
        photovoltaic(10, name="one", **logged("gap.csv", gap)),
        photovoltaic(10, name="two", **logged("later.csv", a_day(4), start=half_a_day_later)),
    ]
    assert over_of(on_board(sources[0])).hours_left_out == 1
    both = over_of(on_board(*sources))
    assert (both.first, both.hours, both.largest_a) == (half_a_day_later, 12, 4)
    far = photovoltaic(10, name="far", **logged("far.csv", a_day(4), start=START.replace(month=6)))
    apart = study_of(on_board(sources[0], far))
    assert apart == GenerationStudy(
        missing=("logs of all second sources from the same time",), over_year=None
    )


def test_at_the_origin_nothing_rises_and_behind_a_changeover_switch_nothing_is_studied() -> None:
    day = {"site.latitude_deg": 48}
    over = over_of(at_origin(photovoltaic(**SKY)), day)
    assert raised(over, RISE).highest == 0
    assert not [one for one in over.voltages if one.check == STATION]
    switched = site(BAKERY, on_board(photovoltaic(changeover=True, **SKY)), day)
    assert generation_study(run_catalogue(build_installation(switched, {}), ())) is None


NAMES = [f"PV{number}" for number in range(1, 9)]
QUARTERS_OF_2016 = 366 * DAY
FIRST = dt.datetime(2015, 12, 31, 23, tzinfo=dt.UTC)
LEVELS = np.arange(0.1, 1.0, 0.1)


@pytest.fixture(scope="module")
def measured() -> FloatArray:
    """Photovoltaic output of 2016 from open data: quarter-hour, generator; shares of the largest.

    SimBench, version 1.6.3 (Open Database License 1.0), after measurements in Germany.
    """
    spec = find_spec("simbench")
    assert spec is not None, "the package simbench is part of the extra 'dev'"
    assert spec.origin is not None
    folder = Path(spec.origin).parent / "networks" / "1-complete_data-mixed-all-0-sw"
    with (folder / "RESProfile.csv").open(encoding="utf-8") as file:
        assert file.readline().split(";")[1:9] == NAMES
        rows = np.array([line.split(";", 9)[1:9] for line in file], dtype=np.float64)
    largest: FloatArray = rows.max(axis=0)
    return rows / largest


def shares(zone: dt.tzinfo, name: str, later: int = 0) -> tuple[FloatArray, Calendar]:
    """Return the clear sky of Germany's middle over these quarter-hours on such a clock."""
    first = round(FIRST.timestamp() * 1000) // QUARTER_MS + later
    calendar = Calendar(first=first, count=QUARTERS_OF_2016, zone=zone, zone_name=name)
    return clear_sky_shares(calendar, 51.0), calendar


def test_a_clear_sky_bounds_for_how_long_real_generators_feed_in(measured: FloatArray) -> None:
    sky, calendar = shares(dt.UTC, SOLAR_TIME, later=3)  # 11 degrees east of Greenwich
    for level in LEVELS:
        hours = (measured > level).sum(axis=0)
        assert ((sky > level).sum() > 1.45 * hours).all(), level
    # At single moments too, though neither their longitude nor the equation of time is in it.
    months = calendar.days.astype("datetime64[D]").astype("datetime64[M]").astype(int) % 12 + 1
    summer = (months >= 4) & (months <= 9) & (sky > 0)
    below = (measured[summer] <= sky[summer, np.newaxis]).mean(axis=0)
    assert below.min() > 0.94
    assert np.median(below) > 0.98


def test_on_the_clock_of_a_log_hardly_a_moment_lies_above(measured: FloatArray) -> None:
    sky, _ = shares(ZoneInfo("Europe/Berlin"), "Europe/Berlin")
    assert ((measured <= sky[:, np.newaxis]).mean(axis=0) > 0.999).all()


def test_a_year_of_a_real_generator_by_its_log(measured: FloatArray) -> None:
    output = 25 * measured[:, 0]
    over = over_of(far_board(25, **logged("real.csv", output, start=FIRST)))
    assert over.whole_year
    assert raised(over, RISE).hours_exceeded == (output > TWO_PERCENT_A).sum() / 4
    kw_of_each_a = 0.4 * 3**0.5
    assert over.sources[0].energy_kwh == pytest.approx(output.sum() / 4 * kw_of_each_a)
    months = {one.month: one.energy_kwh for one in over.sources[0].months}
    assert months[7] > 3 * months[1]
