"""The air of a site that nobody measured: a day that the plan states, or an assumption.

The course of the day is common practice, no source: coolest at 05:00 and warmest at 15:00
solar time, half a cosine up and half a cosine down. Solar time is the mean one (longitude
only; the sun itself is up to 16 minutes before or behind it). Humidity follows from it as FAO-56
has it where nobody measured it: the coolest of the day is the dew point. Wind and radiation stay
unknown.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians, sin
from typing import TYPE_CHECKING

from controller.core.units import DAY_MS, HOUR_MS, date_of_number
from controller.core.water.missing_inputs import humidity_from_coolest_pct

if TYPE_CHECKING:
    from controller.core.plan import Site
    from controller.core.units import Instant

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
class AirCourse:
    """How warm the air is taken to be through days and seasons.

    `half_range_c` is the way from the mean of a day to its warmest and its coolest;
    `longitude` tells solar time.
    """

    season: Season
    half_range_c: float
    longitude: float

    def in_hour_c(self, *, day_of_year: float, hour: float) -> float:
        """Temperature at that hour of mean solar time, 0 to 24, °C."""
        mean_c = self.season.mean_of_day_c(day_of_year)
        return mean_c + self.half_range_c * (2 * warmth(hour) - 1)

    def humidity_in_hour_pct(self, *, day_of_year: int, hour: float) -> float:
        """Relative humidity at that hour of mean solar time, %, with the same vapour all day.

        Source: FAO-56, eq. 10 and 48.
        """
        return humidity_from_coolest_pct(
            temperature_c=self.in_hour_c(day_of_year=day_of_year + hour / 24, hour=hour),
            coolest_c=self._coolest_of_day_c(day_of_year),
        )

    def at_c(self, instant: Instant) -> float:
        """Temperature at an instant, °C."""
        day, hour = self._solar(instant)
        return self.in_hour_c(day_of_year=day + hour / 24, hour=hour)

    def coolest_c(self, instant: Instant) -> float:
        """The coolest of the day around an instant, °C."""
        day, _ = self._solar(instant)
        return self._coolest_of_day_c(day)

    def _coolest_of_day_c(self, day_of_year: int) -> float:
        return self.in_hour_c(day_of_year=day_of_year + COOLEST_AT_H / 24, hour=COOLEST_AT_H)

    def solar_day(self, instant: Instant) -> int:
        """The number of the day, in mean solar time, that an instant lies in."""
        return self._solar_ms(instant) // DAY_MS

    def _solar(self, instant: Instant) -> tuple[int, float]:
        """The day of the year, from 1, and the hour of it, in mean solar time."""
        number, within_ms = divmod(self._solar_ms(instant), DAY_MS)
        return date_of_number(number).timetuple().tm_yday, within_ms / HOUR_MS

    def _solar_ms(self, instant: Instant) -> int:
        return instant + round(self.longitude / 15 * HOUR_MS)


def course_of(site: Site) -> AirCourse:
    """The air of a site: every day as its plan states it, else as its place suggests."""
    stated = site.typical_day
    if stated is None:
        return _assumed(site.latitude, site.longitude, site.elevation_m or 0.0)
    mean_c = (stated.coolest_c + stated.warmest_c) / 2
    half_range_c = (stated.warmest_c - stated.coolest_c) / 2
    return AirCourse(Season(mean_c, 0.0, NORTHERN_WARMEST_DAY), half_range_c, site.longitude)


def _assumed(latitude: float, longitude: float, elevation_m: float) -> AirCourse:
    """The air that latitude, season and elevation alone suggest.

    It knows no sea, desert, valley or greenhouse: it can be more than ten degrees off.
    """
    sine = sin(radians(latitude))
    mean_c = MEAN_C + MEAN_SECOND_MODE_C * (3 * sine * sine - 1) / 2
    mean_c -= LAPSE_C_PER_KM * elevation_m / 1000
    if latitude >= 0:
        season = Season(mean_c, NORTHERN_SWING_C * sine, NORTHERN_WARMEST_DAY)
    else:
        season = Season(mean_c, SOUTHERN_SWING_C * -sine, SOUTHERN_WARMEST_DAY)
    return AirCourse(season, DAILY_HALF_RANGE_C, longitude)


def warmth(hour: float) -> float:
    """0 at the coolest hour of the day, 1 at the warmest, smooth between."""
    rise_h = WARMEST_AT_H - COOLEST_AT_H
    if COOLEST_AT_H <= hour <= WARMEST_AT_H:
        return (1 - cos(pi * (hour - COOLEST_AT_H) / rise_h)) / 2
    return (1 + cos(pi * ((hour - WARMEST_AT_H) % 24) / (24 - rise_h))) / 2
