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
from math import cos, pi, radians, sin
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
_STEPS_MAX = 60  # bisection alone would need 20


def _century(instant: float) -> float:
    return (instant - _J2000) / _CENTURY_MS


def solar_noon(number: int, longitude: float) -> Instant:
    """When the sun crosses the meridian on the solar day of that number.

    The number is the UTC day number of the day's mean solar noon at longitude 0, so that
    days count alike everywhere; `longitude` in degrees, east positive.
    """
    return _culmination(number * DAY_MS + 12 * HOUR_MS, longitude)


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
    degrees of latitude (tests/published/test_sun_times.py), where nothing stands in front
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
    low, high, at_low, at_high = float(midnight), float(noon), at_midnight, at_noon
    side = 0
    for _ in range(_STEPS_MAX):
        # False position, halving the end that stays (the "Illinois" rule): as quick as
        # Newton's method here, and it cannot leave the half-day.
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        at_middle = _height(middle, latitude, longitude) - wanted
        if at_middle < 0:
            moved = abs(middle - low)
            low, at_low = middle, at_middle
            at_high = at_high / 2 if side < 0 else at_high
            side = -1
        else:
            moved = abs(middle - high)
            high, at_high = middle, at_middle
            at_low = at_low / 2 if side > 0 else at_low
            side = 1
        if moved < _CLOSE_ENOUGH_MS:
            break
    return SunTime(_whole_second(round(middle)))


def _whole_second(instant: Instant) -> Instant:
    return (instant + SECOND_MS // 2) // SECOND_MS * SECOND_MS
