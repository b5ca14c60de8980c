"""The worked examples of FAO-56, to the digits that it prints.

Source: Allen, Pereira, Raes and Smith, Crop evapotranspiration, FAO Irrigation and Drainage
Paper 56, 1998. Examples 2 to 15 and 18 as the test files of the open packages pyet and PyETo
quote them; 17, 19 and 20 from memory, their results computed by two implementations more.
"""

from __future__ import annotations

from math import asin, degrees, pi

import pytest

from controller.core.water.air import (
    air_pressure_kpa,
    mean_saturation_kpa,
    psychrometric_kpa_per_c,
    saturation_kpa,
    slope_kpa_per_c,
    vapour_from_highest_humidity_kpa,
    vapour_from_humidities_kpa,
    vapour_from_mean_humidity_kpa,
    vapour_from_wet_bulb_kpa,
    vapour_kpa,
)
from controller.core.water.day_of_air import DayOfAir
from controller.core.water.missing_inputs import StandIn, complete
from controller.core.water.radiation import (
    STEFAN_BOLTZMANN_MJ_PER_M2_DAY,
    clear_sky_mj_per_m2,
    clearness,
    from_sunshine_mj_per_m2,
    from_temperatures_mj_per_m2,
    net_long_wave_day_mj_per_m2,
    net_long_wave_hour_mj_per_m2,
    net_short_wave_mj_per_m2,
)
from controller.core.water.reference_et import (
    FAO_GRASS,
    MM_PER_MJ_PER_M2,
    ground_month_mj_per_m2,
    hargreaves_day_et_mm,
    hour_et_mm,
)
from controller.core.water.sun_path import (
    declination_rad,
    inverse_distance,
    solar_time_ahead_h,
    sun_path,
)
from controller.core.water.wind import wind_at_2_m


def printed(value: float, half_a_digit: float) -> object:
    """A value as printed: equal within half of its last digit, and a hair for what was rounded."""
    return pytest.approx(value, abs=half_a_digit * 1.05)


def test_example_2_pressure_at_1800_m() -> None:
    """Air pressure 81.8 kPa, psychrometric constant 0.054 kPa/°C."""
    assert air_pressure_kpa(1800) == printed(81.8, 0.05)
    assert psychrometric_kpa_per_c(air_pressure_kpa(1800)) == printed(0.054, 0.0005)


def test_example_3_saturation_of_a_day() -> None:
    """24.5 and 15 °C: 3.075 and 1.705 kPa, 2.39 kPa on the mean."""
    assert saturation_kpa(24.5) == printed(3.075, 0.0005)
    assert saturation_kpa(15.0) == printed(1.705, 0.0005)
    assert mean_saturation_kpa(warmest_c=24.5, coolest_c=15.0) == printed(2.39, 0.005)


def test_example_4_wet_bulb() -> None:
    """Dry bulb 25.6 °C, wet bulb 19.5 °C at 1,200 m with a fan: 1.91 kPa."""
    air_kpa = air_pressure_kpa(1200)
    assert air_kpa == printed(87.9, 0.05)
    vapour = vapour_from_wet_bulb_kpa(dry_bulb_c=25.6, wet_bulb_c=19.5, air_kpa=air_kpa)
    assert vapour == printed(1.91, 0.005)


def test_example_5_vapour_pressure_from_humidity() -> None:
    """18 to 25 °C, 54 to 82 %: 1.70 kPa; by the mean alone 1.78, by the highest alone 1.69."""
    both = vapour_from_humidities_kpa(
        warmest_c=25.0, coolest_c=18.0, highest_pct=82.0, lowest_pct=54.0
    )
    assert both == printed(1.70, 0.005)
    mean = vapour_from_mean_humidity_kpa(warmest_c=25.0, coolest_c=18.0, mean_pct=68.0)
    assert mean == printed(1.78, 0.005)
    highest = vapour_from_highest_humidity_kpa(coolest_c=18.0, highest_pct=82.0)
    assert highest == printed(1.69, 0.005)


def test_examples_8_and_9_sun_of_3_september_at_20_degrees_south() -> None:
    """d_r 0.985, declination 0.120, sunset 1.527, 32.2 MJ/m², 11.7 h of daylight."""
    path = sun_path(latitude=-20.0, longitude=0.0, day_of_year=246)
    assert inverse_distance(246) == printed(0.985, 0.0005)
    assert declination_rad(246) == printed(0.120, 0.0005)
    assert path.sunset_rad == printed(1.527, 0.0005)
    assert path.day_mj_per_m2() == printed(32.2, 0.05)
    assert path.daylight_hours == printed(11.7, 0.05)


def test_examples_10_and_12_sunshine_of_rio_in_may() -> None:
    """7.1 h of 10.9 h: 14.5 MJ/m² reach the ground, which keeps 11.1.

    The paper rounds on the way; 0.77 × 14.45 is 11.13.
    """
    radiation = from_sunshine_mj_per_m2(25.1, sunshine_h=7.1, daylight_h=10.9)
    assert radiation == printed(14.45, 0.005)
    assert net_short_wave_mj_per_m2(radiation) == printed(11.1, 0.05)


def test_example_11_long_wave_of_rio_in_may() -> None:
    """19.1 to 25.1 °C, 2.1 kPa, 14.5 of 18.8 MJ/m²: 3.5 MJ/m² are lost."""
    lost = net_long_wave_day_mj_per_m2(
        warmest_c=25.1,
        coolest_c=19.1,
        vapour_kpa=2.1,
        clearness=clearness(14.5, clear_sky_mj_per_m2=18.8),
    )
    assert lost == printed(3.5, 0.05)


def test_example_13_ground_heat_of_a_month() -> None:
    """14.1 before, 18.8 °C after: 0.33 MJ/m² a day, 0.13 mm."""
    ground = ground_month_mj_per_m2(previous_c=14.1, next_c=18.8)
    assert ground == printed(0.33, 0.005)
    assert MM_PER_MJ_PER_M2 * ground == printed(0.13, 0.005)


def test_example_14_wind_from_10_m() -> None:
    """3.2 m/s at 10 m are 2.4 m/s at 2 m."""
    assert wind_at_2_m(3.2, height_m=10.0) == printed(2.4, 0.05)
    assert wind_at_2_m(3.2, height_m=2.0) == pytest.approx(3.2, rel=2e-3)


def test_example_15_radiation_from_temperatures() -> None:
    """14.8 to 26.6 °C under 40.6 MJ/m², far from the sea: 22.3 MJ/m²."""
    radiation = from_temperatures_mj_per_m2(40.6, warmest_c=26.6, coolest_c=14.8)
    assert radiation == printed(22.3, 0.05)


def test_example_17_bangkok_in_april() -> None:
    """Monthly means: 5.72 mm a day, with every value on the way."""
    path = sun_path(latitude=13.73, longitude=100.5, day_of_year=105)
    above = path.day_mj_per_m2()
    assert above == printed(38.06, 0.005)
    assert path.daylight_hours == printed(12.31, 0.005)
    radiation = from_sunshine_mj_per_m2(above, sunshine_h=8.5, daylight_h=path.daylight_hours)
    assert radiation == printed(22.65, 0.005)
    day = DayOfAir(
        warmest_c=34.8,
        coolest_c=25.6,
        vapour_kpa=2.85,
        wind_2m_m_s=2.0,
        radiation_mj_per_m2=radiation,
        extraterrestrial_mj_per_m2=above,
        elevation_m=2.0,
    )
    assert day.mean_c == pytest.approx(30.2)
    assert mean_saturation_kpa(warmest_c=34.8, coolest_c=25.6) == printed(4.42, 0.005)
    assert slope_kpa_per_c(day.mean_c) == printed(0.246, 0.0005)
    assert psychrometric_kpa_per_c(air_pressure_kpa(2.0)) == printed(0.0674, 0.00005)
    assert day.net_radiation_mj_per_m2() == printed(14.33, 0.005)
    assert day.et0_mm(ground_mj_per_m2=0.14) == printed(5.72, 0.005)


def test_example_18_uccle_on_6_july() -> None:
    """A day of measurements: 3.9 mm, with every value on the way."""
    path = sun_path(latitude=50.80, longitude=4.35, day_of_year=187)
    above = path.day_mj_per_m2()
    assert above == printed(41.09, 0.005)
    assert path.daylight_hours == printed(16.1, 0.05)
    assert clear_sky_mj_per_m2(above, elevation_m=100.0) == printed(30.90, 0.005)
    radiation = from_sunshine_mj_per_m2(above, sunshine_h=9.25, daylight_h=16.1)
    assert radiation == pytest.approx(22.07, abs=0.02)  # the paper rounds N on the way
    vapour = vapour_from_humidities_kpa(
        warmest_c=21.5, coolest_c=12.3, highest_pct=84.0, lowest_pct=63.0
    )
    assert vapour == printed(1.409, 0.0005)
    wind = wind_at_2_m(2.78, height_m=10.0)
    assert wind == printed(2.078, 0.002)
    day = DayOfAir(
        warmest_c=21.5,
        coolest_c=12.3,
        vapour_kpa=vapour,
        wind_2m_m_s=wind,
        radiation_mj_per_m2=22.07,
        extraterrestrial_mj_per_m2=above,
        elevation_m=100.0,
    )
    assert mean_saturation_kpa(warmest_c=21.5, coolest_c=12.3) == printed(1.997, 0.0005)
    assert slope_kpa_per_c(day.mean_c) == printed(0.122, 0.0005)
    assert psychrometric_kpa_per_c(air_pressure_kpa(100.0)) == printed(0.0666, 0.00005)
    assert day.net_radiation_mj_per_m2() == printed(13.28, 0.005)
    assert day.et0_mm() == printed(3.88, 0.005)


# Example 19: N'Diaye, Senegal, 1 October (day 274), 16.22° N, 16.25° W, 8 m; clocks run by 15° W.
NDIAYE = sun_path(latitude=16.22, longitude=-16.25, day_of_year=274)


def fao_hourly_lost(temperature_c: float, *, vapour: float, clear: float) -> float:
    """The hour's long-wave loss with FAO-56's own Stefan-Boltzmann constant, MJ/m²."""
    return net_long_wave_hour_mj_per_m2(
        temperature_c=temperature_c,
        vapour_kpa=vapour,
        clearness=clear,
        stefan_boltzmann=STEFAN_BOLTZMANN_MJ_PER_M2_DAY / 24,
    )


def test_example_19_an_hour_of_the_afternoon() -> None:
    """14 to 15 h: 38 °C, 52 %, 3.3 m/s, 2.450 MJ/m²: 0.63 mm, with every value on the way."""
    angle = NDIAYE.hour_angle_rad(14.5 + 1.0)  # local standard time is UTC - 1 h
    above = NDIAYE.period_mj_per_m2(angle, length_h=1.0)
    assert solar_time_ahead_h(274) == printed(0.1889, 0.0001)
    assert angle == printed(0.682, 0.0005)
    assert above == printed(3.543, 0.0015)
    clear = clear_sky_mj_per_m2(above, elevation_m=8.0)
    assert clear == printed(2.658, 0.001)
    saturated = saturation_kpa(38.0)
    vapour = vapour_kpa(temperature_c=38.0, humidity_pct=52.0)
    assert saturated == printed(6.625, 0.0005)
    assert vapour == printed(3.445, 0.0005)
    lost = fao_hourly_lost(38.0, vapour=vapour, clear=clearness(2.450, clear_sky_mj_per_m2=clear))
    assert lost == printed(0.137, 0.0005)
    net = net_short_wave_mj_per_m2(2.450) - lost
    assert net == printed(1.749, 0.0005)
    et0 = hour_et_mm(
        temperature_c=38.0,
        deficit_kpa=saturated - vapour,
        wind_2m_m_s=3.3,
        net_radiation_mj_per_m2=net,
        air_kpa=air_pressure_kpa(8.0),
        surface=FAO_GRASS,
    )
    assert et0 == printed(0.63, 0.005)


def test_example_19_an_hour_of_the_night() -> None:
    """2 to 3 h: 28 °C, 90 %, 1.9 m/s, 0.8 of a clear sky carried from before sunset: 0.00 mm."""
    vapour = vapour_kpa(temperature_c=28.0, humidity_pct=90.0)
    assert NDIAYE.period_mj_per_m2(NDIAYE.hour_angle_rad(3.5), length_h=1.0) == 0.0
    lost = fao_hourly_lost(28.0, vapour=vapour, clear=0.8)
    assert lost == printed(0.100, 0.0005)
    et0 = hour_et_mm(
        temperature_c=28.0,
        deficit_kpa=saturation_kpa(28.0) - vapour,
        wind_2m_m_s=1.9,
        net_radiation_mj_per_m2=-lost,
        air_kpa=air_pressure_kpa(8.0),
        surface=FAO_GRASS,
    )
    assert et0 == printed(0.00, 0.005)


def test_example_20_lyon_in_july_from_temperatures_alone() -> None:
    """14.8 to 26.6 °C, nothing else measured: 4.56 mm a day; by Hargreaves 5.0."""
    above = sun_path(latitude=45.72, longitude=4.85, day_of_year=196).day_mj_per_m2()
    assert above == printed(40.55, 0.05)
    completed = complete(
        warmest_c=26.6,
        coolest_c=14.8,
        vapour_kpa=None,
        wind_2m_m_s=None,
        radiation_mj_per_m2=None,
        extraterrestrial_mj_per_m2=above,
        elevation_m=200.0,
    )
    assert completed.stand_ins == (StandIn.HUMIDITY, StandIn.WIND, StandIn.RADIATION)
    assert completed.day.vapour_kpa == printed(1.68, 0.005)
    assert completed.day.et0_mm() == printed(4.56, 0.005)
    hargreaves = hargreaves_day_et_mm(
        warmest_c=26.6, coolest_c=14.8, extraterrestrial_mj_per_m2=above
    )
    assert hargreaves == printed(5.03, 0.005)


@pytest.mark.parametrize(
    ("temperature_c", "kpa"),
    [(1, 0.657), (10, 1.228), (15, 1.705), (20, 2.338), (25, 3.168), (30, 4.243), (35, 5.623),
     (40, 7.376)],
)  # fmt: skip
def test_saturation_is_that_of_the_table(temperature_c: float, kpa: float) -> None:
    """FAO-56, annex 2, table 2.3."""
    assert saturation_kpa(temperature_c) == printed(kpa, 0.0005)


# By eq. 21 and 34 on day int(30.4 M - 15) of each month, computed outside of this project.
YEARS = {
    50: (
        (8.9, 14.2, 22.8, 31.8, 38.8, 41.7, 40.1, 34.1, 25.6, 16.6, 10.2, 7.5),
        (8.3, 9.8, 11.7, 13.6, 15.3, 16.1, 15.7, 14.2, 12.3, 10.4, 8.7, 7.9),
    ),
    40: (
        (15.0, 20.2, 27.8, 34.9, 39.9, 41.9, 40.7, 36.5, 29.9, 22.2, 16.3, 13.6),
        (9.5, 10.4, 11.8, 13.1, 14.3, 14.8, 14.5, 13.5, 12.2, 10.9, 9.7, 9.2),
    ),
    0: ((36.2, 37.4, 37.9, 36.7, 34.6, 33.4, 33.9, 35.7, 37.2, 37.3, 36.3, 35.6), (12.0,) * 12),
    -40: ((43.3, 38.3, 30.3, 22.0, 15.4, 12.7, 14.0, 19.3, 27.1, 35.6, 41.8, 44.6), None),
    70: (None, (0.0, 6.5, 11.3, 15.8, 21.9, 24, 24, 17.4, 12.8, 8.1, 2.3, 0)),
}


@pytest.mark.parametrize("latitude", YEARS)
def test_sun_through_the_year(latitude: int) -> None:
    """Radiation above the air and daylight hours, month by month, to the digits printed."""
    above, daylight = YEARS[latitude]
    for month in range(12):
        path = sun_path(latitude=latitude, longitude=0.0, day_of_year=int(30.4 * (month + 1) - 15))
        if above is not None:
            assert path.day_mj_per_m2() == printed(above[month], 0.05)
        if daylight is not None:
            assert path.daylight_hours == printed(daylight[month], 0.05)


def test_height_of_the_noon_sun() -> None:
    """At noon the sun stands 90° less the latitude plus the declination (geometry)."""
    path = sun_path(latitude=45.0, longitude=0.0, day_of_year=172)
    height = degrees(asin(path.height_sine(0.0)))
    assert height == pytest.approx(90 - 45 + declination_rad(172) * 180 / pi)
