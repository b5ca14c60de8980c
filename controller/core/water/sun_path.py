"""How the sun moves over a place, as evapotranspiration needs it: simple, daily constants.

`controller.core.sun` tells sunrise to the second; the equations here are the ones that the
standards of evapotranspiration are built with, and their results must be theirs. Angles in
radians, north and east positive; days of the year count from 1 on 1 January.

Source: FAO-56 (Allen et al. 1998), chapter 3, "eq." below; ASCE-EWRI 2005 has the same
(its eq. 21 to 27 and 48 to 62).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import acos, asin, cos, pi, radians, sin

SOLAR_CONSTANT_MJ_PER_M2_MIN = 0.0820  # eq. 21
_MJ_PER_M2_H = 60.0 * SOLAR_CONSTANT_MJ_PER_M2_MIN
_RAD_PER_H = pi / 12


def declination_rad(day_of_year: float) -> float:
    """How far north of the equator the sun stands (eq. 24)."""
    return 0.409 * sin(2 * pi * day_of_year / 365 - 1.39)


def inverse_distance(day_of_year: float) -> float:
    """The inverse relative distance to the sun, squared as it acts on radiation (eq. 23)."""
    return 1.0 + 0.033 * cos(2 * pi * day_of_year / 365)


def solar_time_ahead_h(day_of_year: float) -> float:
    """How far the sun is ahead of mean solar time, h (eq. 32, 33)."""
    angle = 2 * pi * (day_of_year - 81) / 364
    return 0.1645 * sin(2 * angle) - 0.1255 * cos(angle) - 0.025 * sin(angle)


@dataclass(frozen=True, slots=True)
class SunPath:
    """The sun's way over one place on one day.

    `rising` is sin φ sin δ and `swinging` cos φ cos δ: the sine of the sun's height is
    `rising` + `swinging` × cos ω, with ω the time from solar noon as an angle. `sunset_rad`
    is ω at sunset, 0 where the sun stays down and π where it stays up; `power_mj_per_m2_h`
    is what a surface that faces the sun receives above the air; `ahead_h` how far the sun is
    ahead of UTC, the place's longitude and the season taken together.
    """

    rising: float
    swinging: float
    sunset_rad: float
    power_mj_per_m2_h: float
    ahead_h: float

    @property
    def daylight_hours(self) -> float:
        """Hours from sunrise to sunset, 0 to 24 (eq. 34)."""
        return 24 / pi * self.sunset_rad

    def day_mj_per_m2(self) -> float:
        """Radiation above the air on level ground, MJ/m² in the day; never below 0 (eq. 21)."""
        return self._between(-self.sunset_rad, self.sunset_rad)

    def hour_angle_rad(self, utc_h: float) -> float:
        """Time from solar noon as an angle, -π to π, at that hour of UTC (eq. 31)."""
        return (utc_h + self.ahead_h) % 24 * _RAD_PER_H - pi

    def height_sine(self, hour_angle_rad: float) -> float:
        """The sine of the sun's height above the horizon (annex 3 and ASCE-EWRI, eq. 62)."""
        return self.rising + self.swinging * cos(hour_angle_rad)

    def height_rad(self, hour_angle_rad: float) -> float:
        """The sun's height above the horizon; below 0 where it is under it."""
        return asin(min(1.0, max(-1.0, self.height_sine(hour_angle_rad))))

    def period_mj_per_m2(self, hour_angle_rad: float, *, length_h: float) -> float:
        """Radiation above the air in a time around that angle, MJ/m²; never below 0.

        Up to 24 hours. Only what falls between sunrise and sunset counts, also where the
        time reaches over solar midnight.

        Source: eq. 28 to 30; limits at sunrise and sunset by ASCE-EWRI 2005, eq. 56.
        """
        half = length_h * _RAD_PER_H / 2
        start, end = hour_angle_rad - half, hour_angle_rad + half
        sunset = self.sunset_rad
        total = self._between(max(start, -sunset), min(end, sunset))
        if end > pi:
            total += self._between(-sunset, min(end - 2 * pi, sunset))
        if start < -pi:
            total += self._between(max(start + 2 * pi, -sunset), sunset)
        return total

    def _between(self, start: float, end: float) -> float:
        if end <= start:
            return 0.0
        lit = (end - start) * self.rising + self.swinging * (sin(end) - sin(start))
        return max(0.0, self.power_mj_per_m2_h / _RAD_PER_H * lit)


@lru_cache(maxsize=4)  # a pace on demand asks for the same day again and again
def sun_path(*, latitude: float, longitude: float, day_of_year: float) -> SunPath:
    """The sun's way over a place on a day; degrees, north and east positive.

    At the poles too: where the sun neither rises nor sets, the cosine of eq. 25 is taken to
    its nearest possible value.
    """
    assert -90 <= latitude <= 90
    place, declination = radians(latitude), declination_rad(day_of_year)
    rising, swinging = sin(place) * sin(declination), cos(place) * cos(declination)
    return SunPath(
        rising=rising,
        swinging=swinging,
        sunset_rad=acos(min(1.0, max(-1.0, -rising / swinging))),
        power_mj_per_m2_h=_MJ_PER_M2_H * inverse_distance(day_of_year),
        ahead_h=longitude / 15 + solar_time_ahead_h(day_of_year),
    )
