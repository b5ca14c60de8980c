"""The assumed air against its sources and against two measured places."""

from __future__ import annotations

from datetime import date
from math import asin, degrees
from pathlib import Path
from statistics import fmean

import pvlib
import pytest

from controller.core.units import DAY_MS, HOUR_MS, parse_rfc3339
from controller.core.water.air import vapour_kpa
from controller.shell.weather_file import read_weather
from controller.weather.typical_day import TypicalAir
from controller.weather.typical_year import DAYS_OF_MONTH
from tests.typical_airs import assumed_air, stated_air

DATA = Path(pvlib.__file__).parent / "data"


def at_sea(latitude: float) -> TypicalAir:
    """The assumed air at sea level on the zero meridian."""
    return assumed_air(latitude=latitude, longitude=0.0, elevation_m=None)


@pytest.mark.parametrize(
    ("latitude", "mean_c"),
    [
        (0.0, 28.9),  # P2(0) = -1/2: 14.9 + 14
        (90.0, -13.1),  # P2(1) = 1: 14.9 - 28
        (-90.0, -13.1),  # the fit is the same on both sides
        (35.264389682754654, 14.9),  # where P2 is 0: sin² = 1/3
    ],
)
def test_the_yearly_mean_is_that_of_the_two_mode_climate(latitude: float, mean_c: float) -> None:
    """T = 14.9 - 28 P2(sin latitude) °C. Source: North et al. 1981, from memory."""
    assert at_sea(latitude).course.season.mean_c == pytest.approx(mean_c, abs=1e-9)


def test_the_mean_over_the_globe_is_the_first_mode() -> None:
    """P2 is orthogonal to 1 (Legendre polynomials), so bands of equal area average to 14.9 °C."""
    sines = [(2 * band + 1) / 2000 - 1 for band in range(2000)]
    means = [at_sea(degrees(asin(sine))).course.season.mean_c for sine in sines]
    assert fmean(means) == pytest.approx(14.9, abs=0.01)


def test_air_cools_by_6_5_degrees_a_kilometre() -> None:
    """ICAO standard atmosphere: 15 °C at sea level, 2 °C at 2000 m. From memory."""
    high = assumed_air(latitude=46.0, longitude=0.0, elevation_m=2000.0)
    assert at_sea(46.0).course.season.mean_c - high.course.season.mean_c == pytest.approx(13.0)


@pytest.mark.parametrize(
    ("file", "off_c"),
    [
        ("723170TYA.CSV", 4.5),  # Greensboro: inland at 36° N, what the assumption is made for
        ("703165TY.csv", 13.5),  # Sand Point: an island in a mild sea, where it is far off
    ],
)
def test_monthly_means_come_near_measured_ones(file: str, off_c: float) -> None:
    """Every month is within a stated distance of NREL's TMY3 year of the place."""
    weather = read_weather(DATA / file)
    assert weather.latitude is not None
    assert weather.longitude is not None
    air = assumed_air(
        latitude=weather.latitude, longitude=weather.longitude, elevation_m=weather.elevation_m
    )
    first_day = 0
    for days in DAYS_OF_MONTH:
        hours = weather.air_temperature_c[first_day * 24 : (first_day + days) * 24]
        measured_c = fmean(value for value in hours if value is not None)
        season = air.course.season
        assumed_c = fmean(
            season.mean_of_day_c(day) for day in range(first_day + 1, first_day + days + 1)
        )
        assert abs(assumed_c - measured_c) < off_c
        first_day += days


@pytest.mark.parametrize(
    ("coolest_c", "warmest_c", "coolest_kpa", "warmest_kpa"),
    [
        (15.0, 24.5, 1.705, 3.075),  # FAO-56, example 3
        (20.0, 35.0, 2.338, 5.623),  # FAO-56, eq. 11, as its annex tabulates it
    ],
)
def test_the_coolest_hour_is_saturated_and_the_warmest_has_its_vapour(
    coolest_c: float, warmest_c: float, coolest_kpa: float, warmest_kpa: float
) -> None:
    """The actual vapour pressure is that of saturation at the coolest (FAO-56, eq. 48), and the
    humidity its share of what the air could hold (eq. 10)."""
    air = stated_air(coolest_c=coolest_c, warmest_c=warmest_c, longitude=0.0).humidity_series()
    warmest = parse_rfc3339("2026-07-01T15:00:00Z")
    assert air.value_at(warmest - 10 * HOUR_MS) == pytest.approx(100.0)
    assert air.value_at(warmest) == pytest.approx(100 * coolest_kpa / warmest_kpa, abs=0.05)


def test_lyon_in_july_is_as_damp_as_fao_has_it() -> None:
    """FAO-56, example 20: 14.8 to 26.6 °C, and of the humidity only that: 1.68 kPa of vapour."""
    air = stated_air(coolest_c=14.8, warmest_c=26.6, longitude=0.0)
    warmest = parse_rfc3339("2026-07-15T15:00:00Z")
    damp_pct = air.humidity_series().value_at(warmest)
    assert damp_pct is not None
    told_kpa = vapour_kpa(temperature_c=26.6, humidity_pct=damp_pct)
    assert told_kpa == pytest.approx(1.68, abs=0.005)


@pytest.mark.parametrize(
    ("file", "off_pct"),
    [
        ("723170TYA.CSV", 12.0),  # Greensboro: 62 to 78 % a month
        ("703165TY.csv", 14.0),  # Sand Point, in the sea: 66 to 82 %
    ],
)
def test_monthly_humidity_comes_near_the_measured_one(file: str, off_pct: float) -> None:
    """Every month is within a stated distance of NREL's TMY3 year of the place, in % relative."""
    weather = read_weather(DATA / file)
    assert weather.latitude is not None
    assert weather.longitude is not None
    course = assumed_air(
        latitude=weather.latitude, longitude=weather.longitude, elevation_m=weather.elevation_m
    ).course
    first_day = 0
    for days in DAYS_OF_MONTH:
        hours = weather.humidity_pct[first_day * 24 : (first_day + days) * 24]
        measured_pct = fmean(value for value in hours if value is not None)
        assumed_pct = fmean(
            course.humidity_in_hour_pct(day_of_year=day, hour=hour)
            for day in range(first_day + 1, first_day + days + 1)
            for hour in range(24)
        )
        assert abs(assumed_pct - measured_pct) < off_pct
        first_day += days


@pytest.mark.parametrize(
    ("longitude", "warmest_utc"),
    [
        (0.0, "2026-07-01T15:00:00Z"),  # solar time is UTC on the zero meridian
        (15.0, "2026-07-01T14:00:00Z"),  # 15° an hour
        (-79.95, "2026-07-01T20:19:48Z"),  # 5 h 19 min 48 s behind
        (180.0, "2026-07-01T03:00:00Z"),  # the date line, half a day ahead
    ],
)
def test_the_day_is_warmest_at_three_by_the_sun(longitude: float, warmest_utc: str) -> None:
    """The earth turns 15° an hour, so 15:00 mean solar time is 15:00 UTC less longitude / 15."""
    series = stated_air(coolest_c=13.0, warmest_c=23.0, longitude=longitude).series()
    warmest = parse_rfc3339(warmest_utc)
    coolest = warmest - 10 * HOUR_MS
    assert series.value_at(warmest) == pytest.approx(23.0)
    assert series.value_at(coolest) == pytest.approx(13.0)
    day = [series.value_at(coolest + minute * 60_000) for minute in range(24 * 60)]
    known = [value for value in day if value is not None]
    assert len(known) == 24 * 60
    assert min(known) == pytest.approx(13.0)
    assert max(known) == pytest.approx(23.0)


@pytest.mark.parametrize(
    ("latitude", "warmest", "coldest"),
    [
        (47.1, "2026-07-21T00:00:00Z", "2026-01-20T00:00:00Z"),  # 30 days after the solstices
        (-37.8, "2026-01-20T00:00:00Z", "2026-07-21T00:00:00Z"),  # the other way round
    ],
)
def test_seasons_follow_the_solstices_by_a_month(
    latitude: float, warmest: str, coldest: str
) -> None:
    """Solstices fall on 21 June and 21 December (almanac); the day after is within 0.1 °C."""
    series = at_sea(latitude).series()
    noon = 12 * HOUR_MS

    def day_c(start: str, days: int) -> float:
        value = series.value_at(parse_rfc3339(start) + noon + days * DAY_MS)
        assert value is not None
        return value

    assert day_c(warmest, 0) > max(day_c(warmest, -60), day_c(warmest, 60))
    assert day_c(coldest, 0) < min(day_c(coldest, -60 + 365), day_c(coldest, 60))
    assert day_c(warmest, 1) == pytest.approx(day_c(warmest, -1), abs=0.1)


def test_the_report_names_the_assumption() -> None:
    """The sentence says between what, for where, when, and that it is an assumption.

    By hand for 47.1° N at 450 m: 14.9 - 28 * 0.3049 - 2.925 = 3.4 a year, 16 sin 47.1° = 11.7
    more on 21 July and cos(20/365 of a turn) = 0.94 of that on 1 July, 5 either side.
    """
    air = assumed_air(latitude=47.1, longitude=8.3, elevation_m=450.0)
    july = air.describe(first=date(2026, 7, 1), last=date(2026, 7, 31))
    assert july == (
        "No weather file: air assumed between 9 °C (near sunrise) and 20 °C (mid-afternoon) "
        "for 47.1° N at 450 m in July; an assumption, not a forecast."
    )
