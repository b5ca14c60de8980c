"""Evapotranspiration over all air that a plan or a weather file may have."""

from __future__ import annotations

from math import acos, cos, isfinite, pi, radians, sin, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.plan import Site
from controller.core.units import DAY_MS, HOUR_MS, Instant, date_of_number
from controller.core.water.air import (
    air_pressure_kpa,
    saturation_kpa,
    slope_kpa_per_c,
    vapour_kpa,
)
from controller.core.water.missing_inputs import complete
from controller.core.water.radiation import clearness
from controller.core.water.reference_et import (
    FAO_GRASS,
    SHORT,
    TALL,
    Surface,
    hargreaves_day_et_mm,
    hour_et_mm,
)
from controller.core.water.sun_path import SunPath, sun_path
from controller.core.water.wind import wind_at_2_m
from controller.weather.air_source import AirSource, air_source
from controller.weather.cells import LIMITS
from controller.weather.days import days_of_air
from controller.weather.hours import HourOfAir, hours_of_air
from controller.weather.place import FACTS
from controller.weather.weather import Weather

TEMPERATURES_C = st.floats(*LIMITS["air_temperature_c"])
HUMIDITIES_PCT = st.floats(*LIMITS["humidity_pct"])
WINDS_M_S = st.floats(*LIMITS["wind_m_s"])
RADIATIONS_W_M2 = st.floats(*LIMITS["global_radiation_w_m2"])
ELEVATIONS_M = st.floats(*FACTS["elevation_m"][:2])
NETS_MJ_PER_M2_H = st.floats(-1.0, 5.0)
SURFACES = st.sampled_from([SHORT, TALL, FAO_GRASS])
LATITUDES = st.one_of(st.floats(-90, 90), st.sampled_from([-90.0, -66.56, 0.0, 66.56, 90.0]))
LONGITUDES = st.floats(-180, 180)
PATHS = st.builds(
    sun_path, latitude=LATITUDES, longitude=LONGITUDES, day_of_year=st.integers(1, 366)
)
# A hair for rounding: where two sums are mathematically equal their last digits may not be.
HAIR = 1e-9


@given(TEMPERATURES_C, TEMPERATURES_C)
def test_warmer_air_holds_more(one_c: float, other_c: float) -> None:
    """Saturation rises with the temperature, and its slope is above 0."""
    cooler, warmer = sorted((one_c, other_c))
    assert saturation_kpa(cooler) <= saturation_kpa(warmer)
    assert slope_kpa_per_c(cooler) > 0


@given(TEMPERATURES_C, st.floats(0, 5), NETS_MJ_PER_M2_H, NETS_MJ_PER_M2_H, WINDS_M_S, SURFACES)
def test_more_radiation_takes_no_less(
    temperature_c: float, deficit: float, net: float, other: float, wind: float, surface: Surface
) -> None:
    """Of an hour, dusk included, where the surface's constants change; air at sea level."""
    less, more = sorted((net, other))

    def et_mm(net_radiation: float) -> float:
        return hour_et_mm(
            temperature_c=temperature_c,
            deficit_kpa=deficit,
            wind_2m_m_s=wind,
            net_radiation_mj_per_m2=net_radiation,
            air_kpa=101.3,
            surface=surface,
        )

    assert et_mm(less) <= et_mm(more) + HAIR


@given(
    TEMPERATURES_C, st.floats(0, 5), st.floats(0, 5), NETS_MJ_PER_M2_H, WINDS_M_S, ELEVATIONS_M,
    SURFACES,
)  # fmt: skip
def test_drier_air_takes_no_less(
    temperature_c: float,
    deficit: float,
    other: float,
    net: float,
    wind: float,
    elevation: float,
    surface: Surface,
) -> None:
    """Of an hour, all else alike."""
    damper, drier = (
        hour_et_mm(
            temperature_c=temperature_c,
            deficit_kpa=one,
            wind_2m_m_s=wind,
            net_radiation_mj_per_m2=net,
            air_kpa=air_pressure_kpa(elevation),
            surface=surface,
        )
        for one in sorted((deficit, other))
    )
    assert damper <= drier + HAIR


@given(TEMPERATURES_C, st.floats(0, 5), NETS_MJ_PER_M2_H, WINDS_M_S, WINDS_M_S, SURFACES)
def test_wind_takes_no_less_from_dry_air(
    temperature_c: float, deficit: float, net: float, wind: float, other: float, surface: Surface
) -> None:
    """Dry is: wind alone would take more than the sun alone. In damp air wind cools leaves."""

    def et_mm(wind_2m_m_s: float) -> float:
        return hour_et_mm(
            temperature_c=temperature_c,
            deficit_kpa=deficit,
            wind_2m_m_s=wind_2m_m_s,
            net_radiation_mj_per_m2=net,
            air_kpa=101.3,
            surface=surface,
        )

    calm, windy = sorted((wind, other))
    is_dry = et_mm(1e9) >= et_mm(0.0)
    if is_dry:
        assert et_mm(calm) <= et_mm(windy) + HAIR
    else:
        assert et_mm(calm) >= et_mm(windy) - HAIR


@given(TEMPERATURES_C, TEMPERATURES_C, st.data())
def test_a_day_is_a_number_over_all_that_is_allowed(
    one_c: float, other_c: float, data: st.DataObject
) -> None:
    """Whatever is known and whatever is not, at any place; a short surface never below -10 mm."""
    coolest, warmest = sorted((one_c, other_c))
    path = data.draw(PATHS)
    mean_kpa = st.floats(0, 110).map(
        lambda pct: vapour_kpa(temperature_c=(coolest + warmest) / 2, humidity_pct=pct)
    )
    completed = complete(
        warmest_c=warmest,
        coolest_c=coolest,
        vapour_kpa=data.draw(st.none() | mean_kpa),
        wind_2m_m_s=data.draw(st.none() | WINDS_M_S),
        radiation_mj_per_m2=data.draw(st.none() | st.floats(0, 45)),
        extraterrestrial_mj_per_m2=path.day_mj_per_m2(),
        elevation_m=data.draw(ELEVATIONS_M),
    )
    for surface in (SHORT, TALL):
        et_mm = completed.day.et0_mm(surface=surface)
        assert isfinite(et_mm)
        assert et_mm > -10
    hargreaves = hargreaves_day_et_mm(
        warmest_c=warmest, coolest_c=coolest, extraterrestrial_mj_per_m2=path.day_mj_per_m2()
    )
    assert 0 <= hargreaves < 60


@given(st.floats(-50, 50), WINDS_M_S, st.floats(0.1, 200), st.floats(0.1, 200))
def test_wind_is_stronger_above(
    temperature_c: float, wind: float, one_m: float, other_m: float
) -> None:
    """What blows alike at a greater height is less near the ground."""
    lower, higher = sorted((one_m, other_m))
    near_ground = wind_at_2_m(wind, height_m=higher)
    assert 0 <= near_ground <= wind_at_2_m(wind, height_m=lower) + HAIR


@given(PATHS)
def test_a_day_has_0_to_24_hours_of_light(path: SunPath) -> None:
    """And radiation above the air is never below 0, nor above the solar constant all day."""
    assert 0 <= path.daylight_hours <= 24
    assert 0 <= path.day_mj_per_m2() <= 24 * 60 * 0.0820 * 1.034


@given(PATHS, st.floats(0, 24), st.integers(1, 48))
def test_the_parts_of_a_day_make_the_day(path: SunPath, start_h: float, parts: int) -> None:
    """Radiation over equal parts of any 24 h adds up, over solar midnight too, none below 0."""
    length_h = 24 / parts
    shares = [
        path.period_mj_per_m2(
            path.hour_angle_rad(start_h + (index + 0.5) * length_h), length_h=length_h
        )
        for index in range(parts)
    ]
    assert min(shares) >= 0
    assert sum(shares) == pytest.approx(path.day_mj_per_m2(), rel=1e-9, abs=1e-9)


@given(PATHS, st.floats(0, 24))
def test_the_sun_shines_while_it_is_up(path: SunPath, utc_h: float) -> None:
    """Its height is above the horizon just between sunrise and sunset."""
    angle = path.hour_angle_rad(utc_h)
    assert -pi <= angle <= pi
    if abs(abs(angle) - path.sunset_rad) > 1e-6:
        assert (path.height_rad(angle) > -1e-9) == (abs(angle) < path.sunset_rad) or abs(
            path.height_rad(angle)
        ) < 1e-6


@given(st.floats(0, 45), st.floats(0, 45))
def test_a_sky_is_between_overcast_and_clear(radiation: float, clear: float) -> None:
    """0.3 to 1, in darkness too."""
    assert 0.3 <= clearness(radiation, clear_sky_mj_per_m2=clear) <= 1.0


@given(st.floats(0, 60), st.integers(1, 366))
def test_sunset_is_that_of_the_textbook(latitude: float, day_of_year: int) -> None:
    """Below the polar circle: cos ω = -tan φ tan δ (FAO-56, eq. 25)."""
    path = sun_path(latitude=latitude, longitude=0, day_of_year=day_of_year)
    declination = 0.409 * sin(2 * pi * day_of_year / 365 - 1.39)
    tangent = sin(declination) / sqrt(1 - sin(declination) ** 2)
    slope = sin(radians(latitude)) / cos(radians(latitude))
    assert path.sunset_rad == pytest.approx(acos(-slope * tangent), abs=1e-9)


# Hours of weather files


@st.composite
def weathers(draw: st.DrawFn) -> Weather:
    """A file of rows at any times apart, each value known or not."""
    count = draw(st.integers(1, 20))
    start = draw(st.integers(0, 80_000)) * DAY_MS // 4 + DAY_MS
    steps = draw(
        st.lists(
            st.one_of(
                st.just(HOUR_MS),
                st.sampled_from([600_000, 900_000, 1_234_567, 2 * HOUR_MS, 10_800_000]),
                st.integers(1, 5 * HOUR_MS),
            ),
            min_size=count,
            max_size=count,
        )
    )
    stamps = [start]
    for step in steps[1:]:
        stamps.append(stamps[-1] + step)

    def column(values: st.SearchStrategy[float]) -> tuple[float | None, ...]:
        rows = st.lists(st.none() | values, min_size=count, max_size=count)
        return tuple(draw(st.just([None] * count) | rows))

    place = draw(st.none() | st.tuples(LATITUDES, LONGITUDES))
    return Weather(
        source="invented",
        is_typical_year=False,
        stamps=tuple(stamps),
        air_temperature_c=column(TEMPERATURES_C),
        humidity_pct=column(HUMIDITIES_PCT),
        wind_m_s=column(WINDS_M_S),
        global_radiation_w_m2=column(RADIATIONS_W_M2),
        pressure_kpa=(None,) * count,
        latitude=place[0] if place else None,
        longitude=place[1] if place else None,
        elevation_m=draw(st.none() | ELEVATIONS_M),
        utc_offset_h=draw(st.none() | st.sampled_from([-12.0, -3.5, 0.0, 5.75, 14.0])),
        wind_height_m=draw(st.floats(0.1, 200)),
        missing=(),
    )


SITES = st.builds(
    Site,
    latitude=LATITUDES,
    longitude=LONGITUDES,
    timezone=st.just("UTC"),
    elevation_m=st.none() | st.floats(-400, 6000),
)


def check_hours(
    hours: list[HourOfAir], source: AirSource, *, first: Instant, before: Instant
) -> None:
    """They tile whole days without a gap, none longer than 3 h, every value a number."""
    assert hours[0].start == source.start_of_day(source.day_number_at(first))
    assert hours[-1].end == source.start_of_day(source.day_number_at(before - 1) + 1)
    assert [hour.end for hour in hours[:-1]] == [hour.start for hour in hours[1:]]
    for hour in hours:
        assert 0 < hour.end - hour.start <= 3 * HOUR_MS
        assert -90 <= hour.temperature_c <= 60
        assert 0 <= hour.humidity_pct <= 100
        assert hour.wind_2m_m_s >= 0
        assert 0 <= hour.radiation_w_m2 <= 1800
        assert isfinite(hour.et0_mm)


@given(weathers(), SITES, st.integers(-2 * DAY_MS, 2 * DAY_MS), st.integers(1, 2 * DAY_MS))
def test_hours_tile_the_days_whatever_the_file_leaves_out(
    weather: Weather, site: Site, late_ms: int, length_ms: int
) -> None:
    """Before, within and after the file, with rows of any length; days are their sums."""
    source = air_source(site, weather)
    first = weather.stamps[0] + late_ms
    before = first + length_ms
    hours = hours_of_air(source, first=first, before=before)
    check_hours(hours, source, first=first, before=before)
    days = days_of_air(hours, source, first=first, before=before)
    assert len(days) >= 1
    for day in days:
        own = [hour for hour in hours if day.start <= hour.start < day.end]
        assert day.et0_mm == pytest.approx(sum(hour.et0_mm for hour in own), abs=1e-9)
        assert source.day_number_at(day.start) * DAY_MS == day.start + source.utc_offset_ms
        assert day.date == date_of_number(source.day_number_at(day.start))


@given(weathers(), SITES, st.integers(0, 2))
def test_an_hour_does_not_depend_on_what_was_asked(
    weather: Weather, site: Site, days_later: int
) -> None:
    """A run that begins later has the same hours from there on, sky included."""
    source = air_source(site, weather)
    first = weather.stamps[0] - DAY_MS
    before = first + 3 * DAY_MS
    long = hours_of_air(source, first=first, before=before)
    later = first + days_later * DAY_MS
    short = hours_of_air(source, first=later, before=before)
    assert short == [hour for hour in long if hour.start >= short[0].start]
