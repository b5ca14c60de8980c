"""A weather file beside a run whose days it does not tell of."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import pytest

from controller.core.plan import Site
from controller.core.units import DAY_MS, HOUR_MS, day_number
from controller.dry_run.air import air_of
from controller.weather.air_source import air_source
from controller.weather.air_words import assumption_sentences
from controller.weather.hours import hours_of_air
from controller.weather.weather import Weather

SITE = Site(latitude=47.1, longitude=8.3, timezone="Europe/Zurich", elevation_m=450)
FIRST = date(2026, 7, 1)
AHEAD = "Weather from spell.csv, which tells of Wed 1 Jul 2026 to Sun 5 Jul 2026 and "


def spell(*, days: int = 5, is_typical_year: bool = False) -> Weather:
    """Whole hours of these days from 1 July 2026 on, local standard time."""
    rows = 24 * days
    midnight = day_number(FIRST) * DAY_MS - HOUR_MS
    return Weather(
        source="spell.csv",
        is_typical_year=is_typical_year,
        stamps=tuple(midnight + hour * HOUR_MS for hour in range(1, rows + 1)),
        air_temperature_c=(30.0,) * rows,
        humidity_pct=(40.0,) * rows,
        wind_m_s=(1.0,) * rows,
        global_radiation_w_m2=(0.0,) * rows,
        pressure_kpa=(96.0,) * rows,
        latitude=None,
        longitude=None,
        elevation_m=None,
        utc_offset_h=1.0,
        wind_height_m=2.0,
        missing=(),
    )


def note(start: date, days: int, weather: Weather | None = None) -> str:
    """What heads the report of a run of these days."""
    last = start + timedelta(days=days - 1)
    return air_of(SITE, weather or spell(), first=start, last=last).note


def assumed(start: date, days: int) -> Sequence[str]:
    """What is said to stand in, with the run's days as the clocks of the summer have them."""
    source = air_source(SITE, spell())
    begin = day_number(start) * DAY_MS - 2 * HOUR_MS
    hours = hours_of_air(source, first=begin, before=begin + days * DAY_MS)
    within = [one for one in hours if begin < one.end and one.start < begin + days * DAY_MS]
    return assumption_sentences(source, within)


@pytest.mark.parametrize(
    ("start", "days", "told"),
    [
        pytest.param(date(2025, 7, 1), 5,
                     "of none of this run's 5 days: the assumed day stands in.", id="last year"),
        pytest.param(date(2026, 8, 1), 1,
                     "not of this run's day: the assumed day stands in.", id="a day"),
        pytest.param(date(2026, 7, 4), 4,
                     "of 2 of this run's 4 days: for the others its nearest days stand in.",
                     id="beyond its end"),
        pytest.param(date(2026, 6, 30), 7,
                     "of 5 of this run's 7 days: for the others its nearest days stand in.",
                     id="at both ends"),
        pytest.param(date(2026, 7, 6), 4,
                     "of none of this run's 4 days: its nearest days stand in, and the assumed day "
                     "where they are over 3 days away.", id="near and far"),
    ],
)  # fmt: skip
def test_a_report_is_headed_by_the_days_of_the_file_and_what_stands_in(
    start: date, days: int, told: str
) -> None:
    """Nobody takes a run for one in the file's weather that was in other air."""
    assert note(start, days) == AHEAD + told


def test_a_file_of_the_run_s_days_is_just_named() -> None:
    """All its days, some of them, and a typical year, which stands for any."""
    assert note(FIRST, 5) == note(date(2026, 7, 3), 1) == "Weather from spell.csv."
    whole = spell(days=365, is_typical_year=True)
    assert note(date(2030, 1, 1), 3, whole) == whole.describe()


def test_a_file_of_one_day_is_told_by_its_date() -> None:
    """And not as from a day to the same."""
    assert ", which tells of Wed 1 Jul 2026 and of 1 " in note(FIRST, 2, spell(days=1))


@pytest.mark.parametrize(
    ("start", "days"), [(date(2026, 7, 2), 3), (date(2026, 7, 2), 9), (date(2026, 8, 1), 3)]
)
def test_what_heads_the_report_is_not_told_again(start: date, days: int) -> None:
    """The temperature of days that are not in the file is told there."""
    assert not [one for one in assumed(start, days) if "emperature not known" in one]


def test_an_hour_that_the_clocks_of_the_summer_put_before_the_file_is_told() -> None:
    """The run's first day begins at 23:00 standard time; the file, which has that day, an hour
    later."""
    assert assumed(FIRST, 5)[0] == (
        "Temperature not known: taken from the same time of the nearest days that have it (1.0 of "
        "120 h)."
    )
