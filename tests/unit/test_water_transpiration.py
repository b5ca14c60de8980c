"""What a plant drinks in an hour, at the three places where plants stand."""

from __future__ import annotations

import pytest

from controller.core.water.air import psychrometric_kpa_per_c, slope_kpa_per_c
from controller.core.water.leaf_hour import LeafHour, wind_part_mm
from controller.core.water.transpiration import COLUMN_EXPOSURE, Foliage

HOT_HOUR = LeafHour.outdoors(
    temperature_c=34.0, humidity_pct=35.0, wind_2m_m_s=2.0, radiation_w_m2=850.0, et0_mm=0.75
)
DEWY_NIGHT = LeafHour.outdoors(
    temperature_c=12.0, humidity_pct=98.0, wind_2m_m_s=0.5, radiation_w_m2=0.0, et0_mm=-0.02
)
ROOM = LeafHour.indoors(temperature_c=22.0, humidity_pct=65.0)
COLUMN = Foliage(place="outdoors", plants_per_m2=25.0)
LIT = Foliage(place="under-lamps", plants_per_m2=25.0, ppfd_umol=220.0)


def test_a_field_s_worth_of_water_is_shared_by_its_plants() -> None:
    """A grown stand: 0.75 mm × Kcb 0.9 = 0.675 L/m², 27 mL for each of 25."""
    drinks = COLUMN.at_age(42).transpiration_ml_per_h(HOT_HOUR)
    assert drinks.likely == pytest.approx(27.0, rel=0.06)
    assert drinks.high == pytest.approx(27.0 * 1.03 / 0.9 * COLUMN_EXPOSURE.high, rel=0.02)


def test_dew_is_no_drink() -> None:
    """Where the reference falls below 0, the plant takes nothing and gives nothing."""
    assert COLUMN.at_age(42).transpiration_ml_per_h(DEWY_NIGHT) == (0.0, 0.0, 0.0)


def test_shade_takes_the_sun_s_part_only() -> None:
    """The likely value keeps what wind and dry air draw; the least loses both."""
    shaded = Foliage(place="outdoors", plants_per_m2=25.0, light_share=0.4).at_age(42)
    open_sky = COLUMN.at_age(42)
    in_shade = shaded.transpiration_ml_per_h(HOT_HOUR)
    in_sun = open_sky.transpiration_ml_per_h(HOT_HOUR)
    wind = HOT_HOUR.wind_part_mm / HOT_HOUR.et0_mm
    assert 0.0 < wind < 1.0
    assert in_shade.likely / in_sun.likely == pytest.approx(wind + 0.4 * (1.0 - wind))
    assert in_shade.low / in_sun.low == pytest.approx(0.4)


def test_shade_never_adds_where_the_sun_s_part_is_below_nothing() -> None:
    """A clear night's leaves lose heat to the sky; less sun does not change that."""
    windy_night = LeafHour.outdoors(
        temperature_c=20.0, humidity_pct=30.0, wind_2m_m_s=4.0, radiation_w_m2=0.0, et0_mm=0.02
    )
    assert windy_night.wind_part_mm > windy_night.et0_mm
    assert windy_night.shaded_et0_mm(0.1) == windy_night.et0_mm


def test_the_wind_s_part_is_the_second_summand_of_the_reference() -> None:
    """ASCE-EWRI 2005, eq. 1, put together again: both summands give the whole."""
    temperature_c, humidity_pct, wind, pressure = 30.0, 40.0, 2.0, 95.0
    delta, gamma = slope_kpa_per_c(temperature_c), psychrometric_kpa_per_c(pressure)
    net_mj, soil_mj, deficit_kpa = 2.0, 0.2, 4.243 * 0.6
    below = delta + gamma * (1 + 0.24 * wind)
    by_sun = 0.408 * delta * (net_mj - soil_mj) / below
    whole = (
        0.408 * delta * (net_mj - soil_mj) + gamma * 37 / (temperature_c + 273) * wind * deficit_kpa
    ) / below
    part = wind_part_mm(
        temperature_c=temperature_c,
        humidity_pct=humidity_pct,
        wind_2m_m_s=wind,
        pressure_kpa=pressure,
        by_day=True,
    )
    assert by_sun + part == pytest.approx(whole, rel=1e-4)


def test_glass_lets_through_its_share() -> None:
    """Half the light share is as half the sun."""
    half_sun = LeafHour.outdoors(
        temperature_c=34.0, humidity_pct=35.0, wind_2m_m_s=0.0, radiation_w_m2=425.0, et0_mm=0.0
    )
    clear = Foliage(place="under-glass", plants_per_m2=25.0, light_share=1.0).at_age(35)
    dim = Foliage(place="under-glass", plants_per_m2=25.0, light_share=0.5).at_age(35)
    assert dim.transpiration_ml_per_h(HOT_HOUR) == pytest.approx(
        clear.transpiration_ml_per_h(half_sun)
    )


def test_under_glass_a_dry_night_draws() -> None:
    """No sun, no reference: the leaves' stomata are not quite shut; instruments that read a
    little less than nothing at night change nothing."""
    glass = Foliage(place="under-glass", plants_per_m2=25.0, light_share=0.7).at_age(38)
    by_radiation = [
        glass.transpiration_ml_per_h(
            LeafHour.outdoors(
                temperature_c=24.0,
                humidity_pct=50.0,
                wind_2m_m_s=0.0,
                radiation_w_m2=radiation_w_m2,
                et0_mm=-0.01,
            )
        )
        for radiation_w_m2 in (0.0, -3.0)
    ]
    assert by_radiation[0].low > 0.5
    assert by_radiation[0] == by_radiation[1]


@pytest.mark.parametrize("lit_share", [0.0, 0.25, 0.5, 1.0])
def test_a_lamp_that_is_on_for_a_share_of_the_hour_counts_for_that_share(
    lit_share: float,
) -> None:
    """The rest of the hour is dark."""
    leaves = LIT.at_age(30)
    lit = leaves.transpiration_ml_per_h(ROOM, lit_share=1.0)
    dark = leaves.transpiration_ml_per_h(ROOM, lit_share=0.0)
    mixed = leaves.transpiration_ml_per_h(ROOM, lit_share=lit_share)
    assert dark.likely < lit.likely
    assert mixed == pytest.approx(
        tuple(a * lit_share + b * (1 - lit_share) for a, b in zip(lit, dark, strict=True))
    )


def test_a_draught_makes_a_plant_in_dry_air_drink_more() -> None:
    """It carries vapour away."""
    still = Foliage(place="under-lamps", plants_per_m2=25.0, air_speed_m_s=0.05).at_age(35)
    windy = Foliage(place="under-lamps", plants_per_m2=25.0, air_speed_m_s=1.0).at_age(35)
    assert (
        windy.transpiration_ml_per_h(ROOM).likely > 1.1 * still.transpiration_ml_per_h(ROOM).likely
    )
