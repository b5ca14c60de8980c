"""When the sun rises and sets: a time for every half-day, or a named absence.

A solar day runs from one solar midnight over solar noon to the next; in its morning
half the sun rises at most once, in its evening half it sets at most once. So the search
is bracketed, no event of any day is lost, and none depends on how the date changes
somewhere: days are counted at the site's own meridian. The sun's place comes from
astral's formulae (Meeus, *Astronomical Algorithms*, as published by NOAA's solar
calculator); astral's own date handling is not used, since it loses the event that falls
at 00:00 UTC.

The horizon is level (elevation 0): a mast on a mountain sees the sun earlier, plants in
a valley see it later, and neither is knowable from a height above the sea.
"""

from __future__ import annotations

from enum import Enum
from functools import lru_cache
from math import acos, cos, pi, radians, sin
from typing import NamedTuple

from astral.sun import eq_of_time, sun_declination

from controller.core.anchor import SunEvent
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, SECOND_MS, Instant


class Absence(Enum):
    """Why an event does not happen in a solar day."""

    SUN_STAYS_UP = "the sun stays up"
    SUN_STAYS_DOWN = "the sun stays down"


class SunTime(NamedTuple):
    """When an event happens, or the moment that stands for it by continuity.

    Without the event (`absence` says why) the moment is the one that it tends to as the
    season approaches this day: solar midnight while the sun stays up, solar noon while
    it stays down.
    """

    instant: Instant
    absence: Absence | None = None


# Altitude of the sun's centre at the event, in degrees. Rise and set: 34' of refraction
# and 16' of radius below the horizon (U.S. Naval Observatory and NOAA definition); civil
# twilight: 6 degrees below (the same).
_ALTITUDE = {
    SunEvent.SUNRISE: -0.8333,
    SunEvent.SUNSET: -0.8333,
    SunEvent.DAWN: -6.0,
    SunEvent.DUSK: -6.0,
}
_SIN_ALTITUDE = {event: sin(radians(altitude)) for event, altitude in _ALTITUDE.items()}
_IN_THE_MORNING = {SunEvent.SUNRISE, SunEvent.DAWN}

_J2000 = 946_728_000_000  # 2000-01-01T12:00:00Z, the epoch of the formulae
_CENTURY_MS = 36_525 * DAY_MS
_MS_PER_DEGREE = DAY_MS / 360.0
_CLOSE_ENOUGH_MS = 50.0
_ANGLE_MIN = 1e-6  # 14 ms from a culmination; at it the cosine has no slope to go by
_STEPS_MAX = 60  # halving alone would need 20; usually it is two or three


def _century(instant: float) -> float:
    return (instant - _J2000) / _CENTURY_MS


@lru_cache(maxsize=2048)
def solar_noon(number: int, longitude: float) -> Instant:
    """When the sun crosses the meridian on the solar day of that number.

    The number is the UTC day number of the day's mean solar noon at longitude 0, so that
    days count alike everywhere; `longitude` in degrees, east positive.
    """
    return _culmination(number * DAY_MS + 12 * HOUR_MS, longitude)


@lru_cache(maxsize=2048)
def solar_midnight(number: int, longitude: float) -> Instant:
    """When the solar day of that number ends and the next begins."""
    return _culmination((number + 1) * DAY_MS, longitude)


def _culmination(mean_instant: int, longitude: float) -> Instant:
    mean = mean_instant - longitude * _MS_PER_DEGREE
    # The equation of time drifts by at most 30 s a day, so one correction is exact to 0.4 s
    # and the second to a few ms.
    guess = mean - eq_of_time(_century(mean)) * MINUTE_MS
    return round(mean - eq_of_time(_century(guess)) * MINUTE_MS)


def _height(instant: float, latitude: float, longitude: float) -> float:
    """Sine of the altitude of the sun's centre, without refraction.

    Source: spherical astronomy, sin h = sin p sin d + cos p cos d cos H (Meeus, eq. 13.6).
    """
    century = _century(instant)
    declination = radians(sun_declination(century))
    of_day_ms = instant % DAY_MS + eq_of_time(century) * MINUTE_MS
    hour_angle = (of_day_ms / _MS_PER_DEGREE + longitude) * pi / 180 - pi
    place = radians(latitude)
    return sin(place) * sin(declination) + cos(place) * cos(declination) * cos(hour_angle)


def sun_time(event: SunEvent, number: int, *, latitude: float, longitude: float) -> SunTime:
    """When the event happens in the solar day of that number; to the whole second.

    Degrees, north and east positive. Within 10 s of an independent ephemeris below 60
    degrees of latitude (tests/published/test_sun_sweep.py), where nothing stands in front
    of the horizon and refraction is the usual one.
    """
    noon = solar_noon(number, longitude)
    midnight = solar_midnight(number - (event in _IN_THE_MORNING), longitude)
    wanted = _SIN_ALTITUDE[event]
    at_noon = _height(noon, latitude, longitude) - wanted
    at_midnight = _height(midnight, latitude, longitude) - wanted
    if at_midnight >= 0:
        return SunTime(_whole_second(midnight), Absence.SUN_STAYS_UP)
    if at_noon <= 0:
        return SunTime(_whole_second(noon), Absence.SUN_STAYS_DOWN)
    # Between its culminations the height goes nearly like a cosine; the angle runs from 0 at
    # noon to pi at midnight. Newton's steps by that cosine's slope, and halving of the
    # bracket where one would leave it.
    middle, swing = (at_noon + at_midnight) / 2, (at_noon - at_midnight) / 2
    ms_per_radian = (midnight - noon) / pi
    nearer, farther = 0.0, pi
    angle = min(max(acos(-middle / swing), _ANGLE_MIN), pi - _ANGLE_MIN)
    for _ in range(_STEPS_MAX):
        height = _height(noon + angle * ms_per_radian, latitude, longitude) - wanted
        nearer, farther = (angle, farther) if height > 0 else (nearer, angle)
        step = height / (swing * sin(angle))
        if not nearer <= angle + step <= farther:
            step = (nearer + farther) / 2 - angle
        angle += step
        if abs(step * ms_per_radian) < _CLOSE_ENOUGH_MS:
            break
    return SunTime(_whole_second(round(noon + angle * ms_per_radian)))


def _whole_second(instant: Instant) -> Instant:
    return (instant + SECOND_MS // 2) // SECOND_MS * SECOND_MS
