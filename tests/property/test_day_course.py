"""What holds of the hours modelled from any file of days, anywhere on earth."""

from __future__ import annotations

from math import fsum, isfinite, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.plan import Site
from controller.core.typical_air import COOLEST_AT_H, WARMEST_AT_H
from controller.core.units import DAY_MS, HOUR_MS, Instant
from controller.weather.air_source import AirSource, air_source
from controller.weather.day_course import DayCourse
from controller.weather.days import days_of_air
from controller.weather.file_series import series_makers
from controller.weather.hours import hours_of_air
from controller.weather.told_day import ToldDay
from controller.weather.weather import Weather

# A day with one sunlit minute and the radiation of a summer's day may have all of it in an hour.
RADIATION_W_M2_MAX = 49 / 0.0036
# An hour's middle is at most half an hour from a reading's own time, of 10 hours' half cosine.
SHARE_MISSED_MAX = 0.0062
SPREAD_C_MAX = 150.0


def cell(low: float, high: float) -> st.SearchStrategy[float | None]:
    """A value, or none, as cells are."""
    return st.none() | st.floats(low, high)


@st.composite
def told_days(draw: st.DrawFn) -> tuple[ToldDay, ...]:
    """Up to a dozen rows in order, with days left out and cells empty."""
    number = draw(st.integers(1000, 80_000))
    days = []
    for step in draw(st.lists(st.sampled_from([1, 1, 1, 2, 5]), min_size=1, max_size=12)):
        number += step
        ends = sorted(draw(st.tuples(st.floats(-90, 60), st.floats(-90, 60))))
        known = draw(st.sampled_from([(True, True), (True, True), (True, False), (False, True)]))
        coolest_c, warmest_c = (
            end if is_known else None for end, is_known in zip(ends, known, strict=True)
        )
        days.append(
            ToldDay(
                number,
                coolest_c=coolest_c,
                warmest_c=warmest_c,
                humidity_pct=draw(cell(0, 110)),
                humidity_highest_pct=draw(cell(0, 110)),
                humidity_lowest_pct=draw(cell(0, 110)),
                dew_point_c=draw(cell(-90, 60)),
                wind_m_s=draw(cell(0, 110)),
                radiation_mj_per_m2=draw(cell(0, 49)),
                sunshine_h=draw(cell(0, 24)),
            )
        )
    return tuple(days)


@st.composite
def sources(draw: st.DrawFn) -> AirSource:
    """The air of such a file, whose clocks are up to 3 h off the sun's, or a day and more."""
    longitude = draw(st.floats(-180, 180))
    off_h = draw(st.sampled_from([0.0, 0.25, -1.5, 3.0, -3.0]))
    weather = Weather(
        source="invented",
        is_typical_year=False,
        stamps=(),
        air_temperature_c=(),
        humidity_pct=(),
        wind_m_s=(),
        global_radiation_w_m2=(),
        pressure_kpa=(),
        latitude=draw(st.floats(-90, 90)),
        longitude=longitude,
        elevation_m=draw(st.none() | st.floats(-400, 6000)),
        utc_offset_h=draw(
            st.none() | st.just(longitude / 15 + off_h + draw(st.sampled_from([0, 24, -24])))
        ),
        wind_height_m=draw(st.floats(0.1, 200)),
        missing=(),
        days=draw(told_days()),
    )
    return air_source(Site(latitude=1.0, longitude=2.0, timezone="UTC"), weather)


def days_of(source: AirSource) -> tuple[ToldDay, ...]:
    """The rows of its file."""
    assert source.weather is not None
    return source.weather.days


def reading_at(course: DayCourse, number: int, hour: float) -> Instant:
    """That hour of mean solar time."""
    return number * DAY_MS + round(hour * HOUR_MS) - course.solar.offset_ms


@given(sources())
def test_every_reading_of_the_file_is_met(source: AirSource) -> None:
    """At its time to the digit; by the middles of the day's hours to 0.62 % of the way that the
    temperature goes before or after it."""
    course = DayCourse(source)
    for day in days_of(source):
        for reading_c, hour, sign in (
            (day.coolest_c, COOLEST_AT_H, -1.0),
            (day.warmest_c, WARMEST_AT_H, 1.0),
        ):
            if reading_c is None:
                continue
            at = reading_at(course, day.number, hour)
            assert course.temperature_c(at) == reading_c
            assert source.day_number_at(at) == day.number
            ways_c = [
                abs(course.temperature_c(reading_at(course, day.number, other)) - reading_c)
                for other in (WARMEST_AT_H - 24, COOLEST_AT_H, WARMEST_AT_H, COOLEST_AT_H + 24)
            ]
            nearest_c = max(sign * one.row.temperature_c for one in course.hours(day.number))
            assert nearest_c >= sign * reading_c - SHARE_MISSED_MAX * max(ways_c) - 1e-9


@given(sources(), st.floats(-2, 14))
def test_the_temperature_never_jumps_nor_leaves_its_readings(
    source: AirSource, days_later: float
) -> None:
    """Within the file, at its ends and far from it, at midnight as at any time: no steeper than a
    half cosine of 10 hours, and never beyond the readings on either side."""
    course = DayCourse(source)
    start = source.start_of_day(days_of(source)[0].number)
    at = start + round(days_later * DAY_MS)
    midnight = source.start_of_day(source.day_number_at(at))
    steepest_c = SPREAD_C_MAX * pi / 2 / (10 * HOUR_MS)
    for instant in (at, midnight):
        step_c = course.temperature_c(instant) - course.temperature_c(instant - 1)
        assert abs(step_c) <= steepest_c + 1e-9
        assert -90 - 1e-9 <= course.temperature_c(instant) <= 60 + 1e-9


@given(sources())
def test_the_hours_of_a_day_have_its_radiation_its_wind_and_its_own_readings(
    source: AirSource,
) -> None:
    """The sum to 1e-9 MJ/m², wherever the sun goes; nothing is out of what can be."""
    days = days_of(source)
    first = source.start_of_day(days[0].number)
    before = source.start_of_day(days[-1].number + 1)
    hours = hours_of_air(source, first=first, before=before)
    told = {day.number: day for day in days}
    assert [hour.start for hour in hours] == list(range(first, before, HOUR_MS))
    assert [hour.end for hour in hours[:-1]] == [hour.start for hour in hours[1:]]
    for hour in hours:
        assert 0 <= hour.humidity_pct <= 100
        assert 0 <= hour.radiation_w_m2 <= RADIATION_W_M2_MAX + 1e-6
        assert isfinite(hour.et0_mm)
    for place, day in enumerate(days_of_air(hours, source, first=first, before=before)):
        row = told.get(days[0].number + place)
        assert day.et0_daily_mm is not None
        assert isfinite(day.et0_daily_mm)
        own = hours[24 * place : 24 * place + 24]
        if row is not None and row.radiation_mj_per_m2 is not None:
            total = fsum(hour.radiation_w_m2 for hour in own) * 0.0036
            assert total == pytest.approx(row.radiation_mj_per_m2, abs=1e-9)
            assert day.radiation_mj_per_m2 == pytest.approx(row.radiation_mj_per_m2, abs=1e-9)
        if row is not None and row.has_temperature:
            assert (day.coolest_c, day.warmest_c) == (row.coolest_c, row.warmest_c)


@given(sources(), st.integers(-2, 3), st.integers(1, 3))
def test_an_hour_does_not_depend_on_what_was_asked(
    source: AirSource, later: int, days: int
) -> None:
    """A run that begins later has the same hours from there on, sky included."""
    first = source.start_of_day(days_of(source)[0].number + later)
    before = first + (days + 2) * DAY_MS
    whole = hours_of_air(source, first=first - 2 * DAY_MS, before=before)
    part = hours_of_air(source, first=first, before=before)
    assert part == [hour for hour in whole if hour.start >= first]


@given(sources())
def test_sensors_read_on_the_files_days_and_never_what_cannot_be(source: AirSource) -> None:
    """A value exactly where the file tells both readings of a day, and in the hour before."""
    assert source.weather is not None
    makers = series_makers(source, source.weather)
    warmth, damp = makers["air_temperature"](), makers["humidity"]()
    told = {day.number for day in days_of(source) if day.has_temperature}
    start = source.start_of_day(days_of(source)[0].number)
    for half_hour in range(-2 * 48, 14 * 48):
        at = start + half_hour * HOUR_MS // 2
        value, humidity = warmth.value_at(at), damp.value_at(at)
        ahead = (source.day_number_at(at), source.day_number_at(at + HOUR_MS))
        assert (value is not None) == (humidity is not None) == bool(told.intersection(ahead))
        assert value is None or -90 - 1e-9 <= value <= 60 + 1e-9
        assert humidity is None or 0 <= humidity <= 100
