"""ASCE-EWRI 2005 for hours: a published hour, and what the standard says of constants and sky.

Source: The ASCE standardized reference evapotranspiration equation, ASCE-EWRI 2005; the hour
at Fallon, Nevada, from the tests of the open package refet (tests/test_hourly.py), where it
comes from the RefET software's output.
"""

from __future__ import annotations

import pytest

from controller.core.water.air import air_pressure_kpa, saturation_kpa
from controller.core.water.radiation import (
    clear_sky_mj_per_m2,
    clearness,
    net_long_wave_hour_mj_per_m2,
    net_short_wave_mj_per_m2,
)
from controller.core.water.reference_et import SHORT, TALL, Surface, hour_et_mm
from controller.core.water.sky import CLEARNESS_UNSEEN, UNSEEN, Sky
from controller.core.water.sun_path import sun_path
from controller.core.water.wind import wind_at_2_m

LANGLEY_MJ_PER_M2 = 0.041868  # as RefET converts it
MILE_PER_H_M_S = 0.44704


@pytest.mark.parametrize(("surface", "mm"), [(SHORT, 0.606352), (TALL, 0.719637)])
def test_fallon_on_1_july_2015_at_18_utc(surface: Surface, mm: float) -> None:
    """91.80 °F, 1.19901 kPa, 61.16 Langley, 3.33 mph at 3 m: to a thousandth of the result."""
    path = sun_path(latitude=39.4575, longitude=-118.77388, day_of_year=182)
    temperature_c = (91.80 - 32) / 1.8
    vapour_kpa = 1.19901
    radiation = 61.16 * LANGLEY_MJ_PER_M2
    above = path.period_mj_per_m2(path.hour_angle_rad(18.5), length_h=1.0)
    clear = clear_sky_mj_per_m2(above, elevation_m=1208.5)
    lost = net_long_wave_hour_mj_per_m2(
        temperature_c=temperature_c,
        vapour_kpa=vapour_kpa,
        clearness=clearness(radiation, clear_sky_mj_per_m2=clear),
    )
    et = hour_et_mm(
        temperature_c=temperature_c,
        deficit_kpa=saturation_kpa(temperature_c) - vapour_kpa,
        wind_2m_m_s=wind_at_2_m(3.33 * MILE_PER_H_M_S, height_m=3.0),
        net_radiation_mj_per_m2=net_short_wave_mj_per_m2(radiation) - lost,
        air_kpa=air_pressure_kpa(1208.5),
        surface=surface,
    )
    assert et == pytest.approx(mm, rel=1e-3)


def test_the_constants_are_those_of_table_1() -> None:
    """C_n and C_d of ASCE-EWRI 2005, table 1; G by R_n of eq. 65 and 66 (from memory)."""
    table = [
        (SHORT, (900, 0.34, 37, 0.24, 0.96, 0.1, 0.5)),
        (TALL, (1600, 0.38, 66, 0.25, 1.7, 0.04, 0.2)),
    ]
    for surface, constants in table:
        assert constants == (
            surface.day_numerator,
            surface.day_denominator,
            surface.hour_numerator,
            surface.light_denominator,
            surface.dark_denominator,
            surface.light_ground,
            surface.dark_ground,
        )


def sky_after(sky: Sky, *, clear: float, height_rad: float, hours: float = 1.0) -> Sky:
    """The sky after a time in which that share of a clear sky's 2 MJ/m² came down."""
    return sky.after(
        radiation_mj_per_m2=2.0 * clear,
        clear_sky_mj_per_m2=2.0,
        sun_height_rad=height_rad,
        length_h=hours,
    )


def test_a_low_sun_leaves_the_sky_of_the_last_high_one() -> None:
    """Eq. 46: up to 0.3 rad the clearness is carried along, above it is told anew."""
    evening = sky_after(UNSEEN, clear=0.5, height_rad=0.301)
    assert evening == Sky(0.5, 0.0)
    assert sky_after(evening, clear=0.9, height_rad=0.3) == Sky(0.5, 1.0)
    assert sky_after(evening, clear=0.0, height_rad=-0.8) == Sky(0.5, 1.0)


def test_a_sky_is_carried_for_a_day_and_no_longer() -> None:
    """After 24 h nothing is known of it: the stated assumption, as before the first hour."""
    sky = Sky(0.4, 0.0)
    for hour in range(1, 25):
        sky = sky_after(sky, clear=0.0, height_rad=0.1)
        assert sky == Sky(0.4, hour)
    assert sky_after(sky, clear=0.0, height_rad=0.1) == UNSEEN
    assert UNSEEN.clearness == CLEARNESS_UNSEEN == 0.7


@pytest.mark.parametrize(("share", "clear"), [(0.0, 0.3), (0.29, 0.3), (0.6, 0.6), (1.4, 1.0)])
def test_clearness_has_the_standard_s_limits(share: float, clear: float) -> None:
    """Eq. 18 and 45: 0.3 at least, 1 at most."""
    assert clearness(2.0 * share, clear_sky_mj_per_m2=2.0) == pytest.approx(clear)
