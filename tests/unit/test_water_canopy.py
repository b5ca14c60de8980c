"""The leaves' energy balance: its solution, and its parts at their limits."""

from __future__ import annotations

import pytest

from controller.core.water.air import vapour_kpa
from controller.core.water.canopy import (
    AIR_RESISTANCE_MAX_S_PER_M,
    HEAT_J_PER_M3_C,
    LATENT_HEAT_J_PER_G,
    Canopy,
    LeafAir,
    air_resistance_s_per_m,
    covered_share,
    leaf_vapour_g_per_m2_h,
    leaf_warming_c,
    stomatal_resistance_s_per_m,
    vapour_of_each_g_per_h,
)

ROOM = LeafAir.of(temperature_c=21.0, humidity_pct=73.0)


def surplus_w_m2(
    warming_c: float, *, absorbed_w_m2: float, air: LeafAir, stomata: float, air_s_per_m: float
) -> float:
    """What a leaf takes in less what it gives away, straight from eq. 4 to 6."""
    leaf = LeafAir.of(temperature_c=air.temperature_c + warming_c, humidity_pct=100.0)
    heat = HEAT_J_PER_M3_C * warming_c / air_s_per_m
    latent = LATENT_HEAT_J_PER_G * (leaf.vapour_g_m3 - air.vapour_g_m3) / (stomata + air_s_per_m)
    return absorbed_w_m2 - heat - latent


@pytest.mark.parametrize("temperature_c", [-40.0, -5.0, 0.0, 21.0, 38.0, 60.0])
@pytest.mark.parametrize("humidity_pct", [0.0, 40.0, 100.0])
@pytest.mark.parametrize("absorbed_w_m2", [0.0, 50.0, 1000.0])
@pytest.mark.parametrize("air_s_per_m", [10.0, 100.0, 200.0])
def test_the_leaf_gives_away_what_it_takes_in(
    temperature_c: float, humidity_pct: float, absorbed_w_m2: float, air_s_per_m: float
) -> None:
    """At the temperature found, to a millionth of a watt, over all that can be asked."""
    air = LeafAir.of(temperature_c=temperature_c, humidity_pct=humidity_pct)
    for stomata in (60.0, 450.0):
        warming_c = leaf_warming_c(
            absorbed_w_m2=absorbed_w_m2,
            air=air,
            stomata_s_per_m=stomata,
            air_s_per_m=air_s_per_m,
        )
        left_w_m2 = surplus_w_m2(
            warming_c,
            absorbed_w_m2=absorbed_w_m2,
            air=air,
            stomata=stomata,
            air_s_per_m=air_s_per_m,
        )
        assert left_w_m2 == pytest.approx(0.0, abs=1e-5)


def test_a_leaf_in_the_dark_is_cooler_than_dry_air_and_as_warm_as_damp_air() -> None:
    """What it loses in vapour it takes from the air."""
    in_damp = LeafAir.of(temperature_c=21.0, humidity_pct=100.0)

    def warming_c(air: LeafAir) -> float:
        return leaf_warming_c(absorbed_w_m2=0.0, air=air, stomata_s_per_m=450.0, air_s_per_m=100.0)

    assert warming_c(ROOM) < -0.1
    assert warming_c(in_damp) == pytest.approx(0.0, abs=1e-9)


def test_a_leaf_in_the_dark_transpires() -> None:
    """Its stomata are nearly shut, and dry air still draws."""
    dark = leaf_vapour_g_per_m2_h(
        absorbed_w_m2=0.0, air=ROOM, stomata_s_per_m=450.0, air_s_per_m=100.0
    )
    assert dark > 10.0


def test_the_air_s_vapour_follows_the_gas_law() -> None:
    """A cubic metre of saturated air at 20 °C holds 17.3 g (gas law, hydrometers' tables)."""
    assert LeafAir.of(temperature_c=20.0, humidity_pct=100.0).vapour_g_m3 == pytest.approx(
        17.3, abs=0.05
    )
    kpa = vapour_kpa(temperature_c=30.0, humidity_pct=50.0)
    by_gas_law = kpa * 1000 * 18.015 / (8.314 * 303.16)
    at_thirty = LeafAir.of(temperature_c=30.0, humidity_pct=50.0)
    assert at_thirty.vapour_g_m3 == pytest.approx(by_gas_law, rel=1e-3)


@pytest.mark.parametrize("temperature_c", [-20.0, 0.0, 20.0, 45.0])
def test_rise_and_bend_are_the_derivatives_of_saturated_vapour(temperature_c: float) -> None:
    """Against differences over a hundredth of a degree."""
    step_c = 0.01
    below, here, above = (
        LeafAir.of(temperature_c=temperature_c + shift * step_c, humidity_pct=100.0)
        for shift in (-1, 0, 1)
    )
    rise = (above.saturated_g_m3 - below.saturated_g_m3) / (2 * step_c)
    bend = (above.rise_g_m3 - below.rise_g_m3) / (2 * step_c)
    assert here.rise_g_m3 == pytest.approx(rise, rel=1e-6)
    assert here.bend_g_m3 == pytest.approx(bend, rel=1e-6)


def test_still_air_holds_back_no_more_than_the_paper_s_rooms_without_fans() -> None:
    """200 s/m there, and no jump where that begins."""
    assert air_resistance_s_per_m(0.0) == AIR_RESISTANCE_MAX_S_PER_M
    assert air_resistance_s_per_m(0.01) == AIR_RESISTANCE_MAX_S_PER_M
    assert air_resistance_s_per_m(0.0374) == pytest.approx(200.0, abs=0.3)
    assert air_resistance_s_per_m(0.0376) < 200.0
    assert air_resistance_s_per_m(1.0) == pytest.approx(350.0 * 0.11**0.5 / 3.0)


def test_stomata_open_with_light() -> None:
    """From 450 s/m in the dark towards 60."""
    assert stomatal_resistance_s_per_m(0.0) == 450.0
    assert stomatal_resistance_s_per_m(1e9) == pytest.approx(60.0, rel=1e-5)


def test_leaves_beyond_a_full_canopy_add_nothing() -> None:
    """They hang in the shade of others."""
    assert Canopy.of(6.0) == Canopy.of(3.0)
    assert covered_share(3.0) == pytest.approx(0.90)
    assert covered_share(0.0) == 0.0


def test_a_seedling_transpires_in_proportion_to_its_leaves() -> None:
    """Half the leaf area, half the water, as long as no leaf shades another."""
    half, whole = vapour_of_each_g_per_h(
        [Canopy.of(0.01), Canopy.of(0.02)],
        absorbed_w_m2=40.0,
        air=ROOM,
        stomata_s_per_m=255.0,
        air_s_per_m=100.0,
    )
    assert whole / half == pytest.approx(2.0, rel=0.01)
