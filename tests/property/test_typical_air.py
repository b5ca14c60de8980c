"""What the assumed air promises of every place, stated day and season."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.demand.present_air import OpenAir
from controller.core.plan import Site, TypicalDay
from controller.core.typical_air import COOLEST_AT_H, WARMEST_AT_H, AirCourse, course_of
from controller.core.units import HOUR_MS, parse_rfc3339
from controller.weather.typical_day import typical_air_of
from tests.strategies import examples

FIRST_OF_2026 = parse_rfc3339("2026-01-01T00:00:00Z")
SOLAR_HOURS = st.integers(0, 2 * 365 * 24 - 1)  # two common years


@st.composite
def sites(draw: st.DrawFn) -> Site:
    """Sites whose day is stated, or assumed for their place."""
    stated = None
    if draw(st.booleans()):
        coolest_c, warmest_c = sorted((draw(st.floats(-40, 45)), draw(st.floats(-40, 45))))
        stated = TypicalDay(coolest_c=coolest_c, warmest_c=warmest_c)
    return Site(
        latitude=draw(st.floats(-90, 90)),
        longitude=draw(st.floats(-180, 180)),
        timezone="Etc/UTC",
        elevation_m=draw(st.none() | st.floats(-400, 5_000)),
        typical_day=stated,
    )


COURSES = sites().map(course_of)
DAYS = st.integers(1, 365)
HOURS = st.floats(0, 24, exclude_max=True)


@given(COURSES, DAYS, HOURS)
@examples(300)
def test_humidity_is_a_share_of_saturation(course: AirCourse, day: int, hour: float) -> None:
    """More than none, and never more than the air can hold."""
    assert 0.0 < course.humidity_in_hour_pct(day_of_year=day, hour=hour) <= 100.0


@given(COURSES, DAYS)
@examples(200)
def test_the_coolest_hour_is_saturated(course: AirCourse, day: int) -> None:
    """The dew point is the coolest of the day, wherever the season takes it."""
    coolest_pct = course.humidity_in_hour_pct(day_of_year=day, hour=COOLEST_AT_H)
    assert coolest_pct > 100.0 - 1e-9


@given(COURSES, DAYS, st.lists(HOURS, min_size=2, max_size=24))
@examples(200)
def test_humidity_falls_as_the_air_of_a_day_warms(
    course: AirCourse, day: int, hours: list[float]
) -> None:
    """The vapour of a day is one amount; the warmer the hour, the smaller its share."""
    by_warmth = sorted(
        (
            course.in_hour_c(day_of_year=day + hour / 24, hour=hour),
            course.humidity_in_hour_pct(day_of_year=day, hour=hour),
        )
        for hour in hours
    )
    humidities = [humidity_pct for _, humidity_pct in by_warmth]
    assert humidities == sorted(humidities, reverse=True)
    driest_pct = course.humidity_in_hour_pct(day_of_year=day, hour=WARMEST_AT_H)
    assert driest_pct <= course.humidity_in_hour_pct(day_of_year=day, hour=COOLEST_AT_H)


@given(sites(), st.lists(SOLAR_HOURS, min_size=1, max_size=20))
@examples(25)
def test_a_sensor_reads_what_a_stand_without_one_is_taken_to_feel(
    site: Site, solar_hours: list[int]
) -> None:
    """At each hour of solar time, which is where the series has its points, a dry run's sensors
    say what a demand takes for granted where a plan names none."""
    air, ahead_ms = typical_air_of(site), round(site.longitude / 15 * HOUR_MS)
    open_air = OpenAir.of(site, air.course)
    for hour in solar_hours:
        instant = FIRST_OF_2026 + hour * HOUR_MS - ahead_ms
        felt = open_air.felt(instant, temperature_c=None, humidity_pct=None)
        read = air.series().value_at(instant), air.humidity_series().value_at(instant)
        assert read == pytest.approx(felt, abs=1e-6)
