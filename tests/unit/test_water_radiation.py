"""The sun's way and its radiation at the edges of days, places and skies."""

from __future__ import annotations

from math import pi

import pytest

from controller.core.water.radiation import (
    from_sunshine_mj_per_m2,
    from_temperatures_mj_per_m2,
    net_long_wave_day_mj_per_m2,
    net_long_wave_hour_mj_per_m2,
)
from controller.core.water.sun_path import sun_path

MIDSUMMER, MIDWINTER = 172, 355


@pytest.mark.parametrize(
    ("latitude", "day_of_year", "hours"),
    [
        (90.0, MIDSUMMER, 24.0),
        (70.0, MIDSUMMER, 24.0),
        (70.0, MIDWINTER, 0.0),
        (-90.0, MIDWINTER, 24.0),
        (-90.0, MIDSUMMER, 0.0),
        (0.0, MIDSUMMER, 12.0),
    ],
)
def test_days_near_the_poles(latitude: float, day_of_year: int, hours: float) -> None:
    """Midnight sun, polar night, and the equator between; darkness has no radiation."""
    path = sun_path(latitude=latitude, longitude=0.0, day_of_year=day_of_year)
    assert path.daylight_hours == pytest.approx(hours)
    assert (path.day_mj_per_m2() > 0) == (hours > 0)


def test_the_sun_of_midnight_counts_on_both_of_its_sides() -> None:
    """An hour around solar midnight in the polar day has radiation, above and below the cut."""
    path = sun_path(latitude=75.0, longitude=0.0, day_of_year=MIDSUMMER)
    midnight = path.period_mj_per_m2(pi, length_h=1.0)
    assert midnight == path.period_mj_per_m2(-pi, length_h=1.0) > 0
    noon = path.period_mj_per_m2(0.0, length_h=1.0)
    assert noon > 2 * midnight


def test_an_hour_over_sunset_has_what_falls_before_it() -> None:
    """The hour that the sun sets in the middle of has as much as its first half."""
    path = sun_path(latitude=47.1, longitude=8.3, day_of_year=100)
    whole = path.period_mj_per_m2(path.sunset_rad, length_h=1.0)
    half = path.period_mj_per_m2(path.sunset_rad - pi / 48, length_h=0.5)
    assert whole == pytest.approx(half)
    assert whole > 0


@pytest.mark.parametrize(
    ("longitude", "noon_utc_h"), [(0.0, 12.0), (15.0, 11.0), (-75.0, 17.0), (180.0, 0.0)]
)
def test_noon_moves_with_the_longitude(longitude: float, noon_utc_h: float) -> None:
    """15° are an hour; the season's correction is at most 17 minutes."""
    path = sun_path(latitude=47.1, longitude=longitude, day_of_year=100)
    assert abs(path.hour_angle_rad(noon_utc_h)) < pi / 12 * 17 / 60


def test_a_year_of_noons_is_right_on_the_mean() -> None:
    """The season's correction swings around 0."""
    paths = [sun_path(latitude=0.0, longitude=0.0, day_of_year=day) for day in range(1, 366)]
    assert sum(path.ahead_h for path in paths) / 365 == pytest.approx(0.0, abs=0.01)


def test_no_daylight_no_radiation() -> None:
    """The polar night has no hours of sunshine to divide by."""
    assert from_sunshine_mj_per_m2(0.0, sunshine_h=0.0, daylight_h=0.0) == 0.0


def test_temperatures_tell_no_more_than_a_cloudless_sky() -> None:
    """A span of 36 °C would be 0.96 of what falls above the air: 0.75 is taken."""
    assert from_temperatures_mj_per_m2(40.0, warmest_c=38.0, coolest_c=2.0) == 30.0
    assert from_temperatures_mj_per_m2(40.0, warmest_c=20.0, coolest_c=20.0) == 0.0


def test_24_hours_of_long_wave_are_a_day_s() -> None:
    """At a steady temperature; ASCE-EWRI's hourly constant is rounded by 0.05 %."""
    day = net_long_wave_day_mj_per_m2(warmest_c=20.0, coolest_c=20.0, vapour_kpa=1.2, clearness=0.8)
    hour = net_long_wave_hour_mj_per_m2(temperature_c=20.0, vapour_kpa=1.2, clearness=0.8)
    assert 24 * hour == pytest.approx(day, rel=1e-3)


def test_clouds_keep_warmth() -> None:
    """An overcast sky takes a tenth of what a cloudless one does (eq. 39: 0.055 by 1)."""
    clear, overcast = (
        net_long_wave_hour_mj_per_m2(temperature_c=15.0, vapour_kpa=1.0, clearness=one)
        for one in (1.0, 0.3)
    )
    assert overcast / clear == pytest.approx(0.055)
