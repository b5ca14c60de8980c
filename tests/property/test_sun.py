"""Sun times anywhere and at any date, against a plain bisection of the sun's height."""

from __future__ import annotations

from math import degrees, radians

from astral.sun import sun_declination
from hypothesis import given
from hypothesis import strategies as st

from controller.core import sun
from controller.core.anchor import SunEvent
from controller.core.sun import Absence, solar_midnight, solar_noon, sun_time
from tests.strategies import DAY_MS, examples

MORNING = {SunEvent.SUNRISE, SunEvent.DAWN}
NUMBERS = st.integers(400, 83_900)  # solar days of 1971 to 2199


@st.composite
def half_days(draw: st.DrawFn) -> tuple[SunEvent, int, float, float]:
    """An event, a day and a place; often one where the sun only grazes the altitude."""
    event, number = draw(st.sampled_from(SunEvent)), draw(NUMBERS)
    latitude, longitude = draw(st.floats(-90, 90)), draw(st.floats(-180, 180))
    if draw(st.booleans()):
        declination = sun_declination(sun._century(number * DAY_MS))
        altitude = sun._ALTITUDE[event]
        graze = draw(st.sampled_from([90 + altitude, 90 - altitude])) - abs(declination)
        side = draw(st.sampled_from([-1, 1]))
        off = draw(st.sampled_from([-1, 1])) * 10 ** draw(st.floats(-8, 0))
        latitude = max(-90.0, min(90.0, side * (graze + off)))
    return event, number, latitude, longitude


@examples(90)
@given(half_days())
def test_an_event_is_where_bisection_finds_it(half: tuple[SunEvent, int, float, float]) -> None:
    """To the second, however flat the sun's path; absent where the half-day has none."""
    event, number, latitude, longitude = half
    noon = solar_noon(number, longitude)
    midnight = solar_midnight(number - (event in MORNING), longitude)
    wanted = sun._SIN_ALTITUDE[event]

    def is_above(instant: int) -> bool:
        return sun._height(instant, latitude, longitude) >= wanted

    found = sun_time(event, number, latitude=latitude, longitude=longitude)
    if is_above(midnight):
        assert (found.absence, abs(found.instant - midnight) <= 500) == (Absence.SUN_STAYS_UP, True)
    elif not is_above(noon):
        assert (found.absence, abs(found.instant - noon) <= 500) == (Absence.SUN_STAYS_DOWN, True)
    else:
        below, above = midnight, noon
        while abs(above - below) > 1:
            middle = (below + above) // 2
            below, above = (below, middle) if is_above(middle) else (middle, above)
        assert found.absence is None
        assert found.instant % 1000 == 0
        assert abs(found.instant - above) <= 600


@examples(60)
@given(NUMBERS, st.floats(-180, 180))
def test_solar_days_follow_one_another(number: int, longitude: float) -> None:
    """Midnight, noon, midnight; twelve hours apart but for the drift of the equation of time.

    Source: the equation of time changes by at most 30 s a day (Meeus, chapter 28).
    """
    begin, end = solar_midnight(number - 1, longitude), solar_midnight(number, longitude)
    noon = solar_noon(number, longitude)
    assert abs(noon - begin - DAY_MS // 2) <= 16_000
    assert abs(end - noon - DAY_MS // 2) <= 16_000
    assert end == solar_midnight(number, longitude)


@examples(60)
@given(NUMBERS, st.floats(-180, 180), st.floats(-66, 66))
def test_the_sun_is_highest_at_noon_and_lowest_at_midnight(
    number: int, longitude: float, latitude: float
) -> None:
    """Between the polar circles, within the seconds by which declination shifts it."""
    noon, midnight = solar_noon(number, longitude), solar_midnight(number, longitude)
    heights = {at: sun._height(at, latitude, longitude) for at in (noon, midnight)}
    declination = radians(sun_declination(sun._century(noon)))
    assert abs(degrees(radians(latitude) - declination)) < 90
    for hours in (-3, -1, 1, 3):
        shift = hours * 3_600_000
        assert sun._height(noon + shift, latitude, longitude) < heights[noon]
        assert sun._height(midnight + shift, latitude, longitude) > heights[midnight]
