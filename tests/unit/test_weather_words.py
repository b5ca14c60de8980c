"""What a report prints about where the air comes from."""

from __future__ import annotations

from datetime import date

import pytest

from controller.weather.place import label
from controller.weather.weather import MissingRows, Weather
from tests.typical_airs import assumed_air, stated_air


def test_a_stated_day_is_told_as_the_plan_states_it() -> None:
    """The two temperatures of the plan are in the sentence."""
    air = stated_air(coolest_c=13.0, warmest_c=23.0, longitude=8.3)
    assert air.describe(first=date(2026, 7, 1), last=date(2026, 7, 7)) == (
        "No weather file: air between 13 °C (near sunrise) and 23 °C (mid-afternoon) every day, "
        "as the plan states."
    )


@pytest.mark.parametrize(
    ("first", "last", "told"),
    [
        (date(2026, 7, 3), date(2026, 7, 3), "in July;"),  # one day
        (date(2026, 6, 30), date(2026, 7, 1), "from June to July;"),  # over a month's end
        (date(2026, 12, 1), date(2027, 2, 28), "from December to February;"),  # over a year's end
        (date(2026, 7, 1), date(2027, 7, 1), "all the year;"),  # a year and a day
        (date(2028, 2, 29), date(2028, 2, 29), "in February;"),  # the leap day
    ],
)
def test_the_months_of_an_assumption_are_named(first: date, last: date, told: str) -> None:
    """The season is told by the months that the dry run touches."""
    air = assumed_air(latitude=-37.8, longitude=145.0, elevation_m=None)
    text = air.describe(first=first, last=last)
    assert f"for 37.8° S {told}" in text


def test_a_year_has_the_coolest_and_the_warmest_of_its_days() -> None:
    """At the equator there is no season, so a year is as one day: 28.9 °C, 5 either side."""
    air = assumed_air(latitude=0.0, longitude=0.0, elevation_m=0.0)
    whole = air.describe(first=date(2026, 1, 1), last=date(2199, 1, 1))
    assert "between 24 °C (near sunrise) and 34 °C (mid-afternoon) for 0.0° N all" in whole


def weather(*, is_typical_year: bool, missing: tuple[MissingRows, ...]) -> Weather:
    """One row of weather."""
    return Weather(
        source="porch.csv",
        is_typical_year=is_typical_year,
        stamps=(0,),
        air_temperature_c=(20.0,),
        humidity_pct=(50.0,),
        wind_m_s=(1.0,),
        global_radiation_w_m2=(0.0,),
        pressure_kpa=(96.0,),
        latitude=None,
        longitude=None,
        elevation_m=None,
        utc_offset_h=None,
        wind_height_m=10.0,
        missing=missing,
    )


def test_a_typical_year_is_called_one() -> None:
    """Nobody takes a typical year for a forecast or for last year."""
    assert weather(is_typical_year=True, missing=()).describe() == (
        "Weather from porch.csv, a typical year that stands for any calendar year."
    )


def test_missing_rows_are_counted() -> None:
    """Filled, partly filled and absent columns each have their words."""
    missing = (
        MissingRows("wind_m_s", 1, 1, is_absent=False),
        MissingRows("humidity_pct", 5, 2, is_absent=False),
        MissingRows("pressure_kpa", 9, 0, is_absent=True),
    )
    assert weather(is_typical_year=False, missing=missing).describe() == (
        "Weather from porch.csv; wind missing in 1 row, filled from the neighbours; "
        "humidity missing in 5 rows, 2 filled from the neighbours; pressure is not in the file."
    )


def test_a_station_name_is_one_short_printable_line() -> None:
    """Control characters and endless names of a foreign file do not reach a terminal."""
    assert label(" A\tB ", "", "\x1b[31mC") == "A B, ?[31mC"
    assert label("x" * 1000) == "x" * 60 + "…"
