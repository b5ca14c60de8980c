"""The assumed air of a site as a series, and what a report says about it.

Temperature and humidity are assumed (`controller.core.typical_air`).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING

from controller.core.typical_air import AirCourse, course_of
from controller.core.units import HOUR_MS, date_of_number, day_number
from controller.weather.air_series import AirSeries, YearSeries
from controller.weather.typical_year import DAYS_OF_MONTH, HOURS_OF_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.plan import Site

_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


@dataclass(frozen=True, slots=True)
class TypicalAir:
    """The air of dry runs without a weather file, and where it comes from."""

    course: AirCourse
    place: str | None = None  # None where the plan states the day

    def series(self) -> AirSeries:
        """The temperature in °C: hourly points in mean solar time, any year."""
        return _temperature(self.course)

    def humidity_series(self) -> AirSeries:
        """The relative humidity in %: hourly points in mean solar time, any year."""
        return _humidity(self.course)

    def describe(self, *, first: date, last: date) -> str:
        """What a report says about the air from the first to the last date, both included."""
        season, half_range_c = self.course.season, self.course.half_range_c
        means_c = [season.mean_of_day_c(day) for day in _days_of_year(first, last)]
        coolest_c, warmest_c = min(means_c) - half_range_c, max(means_c) + half_range_c
        between = f"{coolest_c:z.0f} °C (near sunrise) and {warmest_c:z.0f} °C (mid-afternoon)"
        if self.place is None:
            return f"No weather file: air between {between} every day, as the plan states."
        return (
            f"No weather file: air assumed between {between} for {self.place} "
            f"{_months(first, last)}; an assumption, not a forecast."
        )


# A year of hours takes longer to make than a day of a plan to carry out: so both are remembered.
@lru_cache(maxsize=2)
def _temperature(course: AirCourse) -> AirSeries:
    return _year(
        course,
        [
            course.in_hour_c(day_of_year=1 + hour / 24, hour=hour % 24)
            for hour in range(1, HOURS_OF_YEAR + 1)
        ],
    )


@lru_cache(maxsize=2)
def _humidity(course: AirCourse) -> AirSeries:
    return _year(
        course,
        [
            course.humidity_in_hour_pct(day_of_year=1 + hour // 24, hour=hour % 24)
            for hour in range(1, HOURS_OF_YEAR + 1)
        ],
    )


def _year(course: AirCourse, values: Sequence[float]) -> AirSeries:
    return YearSeries(values, utc_offset_ms=round(course.longitude / 15 * HOUR_MS))


def typical_air_of(site: Site) -> TypicalAir:
    """The air of a site: as its plan states it, else as latitude, season and elevation suggest;
    sea level where not stated."""
    place = None
    if site.typical_day is None:
        place = f"{abs(site.latitude):.1f}° {'N' if site.latitude >= 0 else 'S'}"
        if site.elevation_m:
            place += f" at {site.elevation_m:.0f} m"
    return TypicalAir(course_of(site), place)


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
