"""The air of a site without a weather file: a day that the plan states, or an assumption.

The course of the day is common practice, no source: coolest at 05:00 and warmest at 15:00
solar time, half a cosine up and half a cosine down. Solar time is the mean one (longitude
only; the sun itself is up to 16 minutes before or behind it). Only temperature is assumed:
humidity, wind and radiation stay unknown.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from math import cos, pi, radians, sin

from controller.core.units import HOUR_MS, date_of_number, day_number
from controller.weather.air_series import AirSeries, YearSeries
from controller.weather.typical_year import DAYS_OF_MONTH, HOURS_OF_YEAR

COOLEST_AT_H = 5.0
WARMEST_AT_H = 15.0

# Yearly mean at sea level over a circle of latitude: T0 + T2 * P2(sin latitude), P2 the second
# Legendre polynomial. Source: two-mode energy-balance climate, North, Cahalan and Coakley,
# Reviews of Geophysics 19 (1981) 91-121; from memory.
MEAN_C = 14.9
MEAN_SECOND_MODE_C = -28.0
# ICAO standard atmosphere (ISO 2533); from memory.
LAPSE_C_PER_KM = 6.5
# Our assumptions, no source. Half of the difference between the warmest and the coldest day,
# at the pole; it falls with the sine of latitude to none at the equator. The south has less,
# because sea covers most of it.
NORTHERN_SWING_C = 16.0
SOUTHERN_SWING_C = 10.0
# Air follows the sun by about a month: 30 days after 21 June and 21 December.
NORTHERN_WARMEST_DAY = 202  # of the year: 21 July
SOUTHERN_WARMEST_DAY = 20
DAILY_HALF_RANGE_C = 5.0

_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


@dataclass(frozen=True, slots=True)
class Season:
    """How the mean of a day goes through the year, °C; a swing of 0 is every day alike."""

    mean_c: float
    swing_c: float
    warmest_day: int  # of a common year, 1 January being 1

    def mean_of_day_c(self, day_of_year: float) -> float:
        """The mean of that day, counted from 1; fractions are times of day."""
        return self.mean_c + self.swing_c * cos(2 * pi * (day_of_year - self.warmest_day) / 365)


@dataclass(frozen=True, slots=True)
class TypicalAir:
    """Air temperature for dry runs without a weather file, and where it comes from."""

    season: Season
    half_range_c: float  # from the mean of a day to its warmest and its coolest
    longitude: float
    place: str | None = None  # None where the plan states the day

    def series(self) -> AirSeries:
        """The temperature in °C: hourly points in mean solar time, any year."""
        return _series(self)

    def describe(self, *, first: date, last: date) -> str:
        """What a report says about the air from the first to the last date, both included."""
        means_c = [self.season.mean_of_day_c(day) for day in _days_of_year(first, last)]
        coolest_c, warmest_c = min(means_c) - self.half_range_c, max(means_c) + self.half_range_c
        between = f"{coolest_c:.0f} °C (near sunrise) and {warmest_c:.0f} °C (mid-afternoon)"
        if self.place is None:
            return f"No weather file: air between {between} every day, as the plan states."
        return (
            f"No weather file: air assumed between {between} for {self.place} "
            f"{_months(first, last)}; an assumption, not a forecast."
        )


@lru_cache(maxsize=2)
def _series(air: TypicalAir) -> AirSeries:
    """A year of hours takes longer to make than a day of a plan to carry out."""
    values = [
        air.season.mean_of_day_c(1 + hour / 24) + air.half_range_c * (2 * _warmth(hour % 24) - 1)
        for hour in range(1, HOURS_OF_YEAR + 1)
    ]
    return YearSeries(values, utc_offset_ms=round(air.longitude / 15 * HOUR_MS))


def stated_air(*, coolest_c: float, warmest_c: float, longitude: float) -> TypicalAir:
    """The air of a place where every day is as the plan's `[site.typical_day]` states it."""
    mean_c, half_range_c = (coolest_c + warmest_c) / 2, (warmest_c - coolest_c) / 2
    return TypicalAir(Season(mean_c, 0.0, NORTHERN_WARMEST_DAY), half_range_c, longitude)


def assumed_air(*, latitude: float, longitude: float, elevation_m: float | None) -> TypicalAir:
    """The air that latitude, season and elevation alone suggest; sea level where not stated.

    It knows no sea, desert, valley or greenhouse: it can be more than ten degrees off.
    """
    sine = sin(radians(latitude))
    mean_c = MEAN_C + MEAN_SECOND_MODE_C * (3 * sine * sine - 1) / 2
    mean_c -= LAPSE_C_PER_KM * (elevation_m or 0.0) / 1000
    if latitude >= 0:
        season = Season(mean_c, NORTHERN_SWING_C * sine, NORTHERN_WARMEST_DAY)
    else:
        season = Season(mean_c, SOUTHERN_SWING_C * -sine, SOUTHERN_WARMEST_DAY)
    place = f"{abs(latitude):.1f}° {'N' if latitude >= 0 else 'S'}"
    if elevation_m:
        place += f" at {elevation_m:.0f} m"
    return TypicalAir(season, DAILY_HALF_RANGE_C, longitude, place)


def _warmth(hour: float) -> float:
    """0 at the coolest hour of the day, 1 at the warmest, smooth between."""
    rise_h = WARMEST_AT_H - COOLEST_AT_H
    if COOLEST_AT_H <= hour <= WARMEST_AT_H:
        return (1 - cos(pi * (hour - COOLEST_AT_H) / rise_h)) / 2
    return (1 + cos(pi * ((hour - WARMEST_AT_H) % 24) / (24 - rise_h))) / 2


def _days_of_year(first: date, last: date) -> set[int]:
    """The days of a common year, from 1, between the two dates; 29 February is the 28th."""
    ends = range(day_number(first), min(day_number(last), day_number(first) + 366) + 1)
    return {_day_of_year(date_of_number(number)) for number in ends}


def _day_of_year(day: date) -> int:
    return sum(DAYS_OF_MONTH[: day.month - 1]) + min(day.day, DAYS_OF_MONTH[day.month - 1])


def _months(first: date, last: date) -> str:
    if (first.year, first.month) == (last.year, last.month):
        return f"in {_MONTHS[first.month - 1]}"
    if (last - first).days >= 365:
        return "all the year"
    return f"from {_MONTHS[first.month - 1]} to {_MONTHS[last.month - 1]}"
