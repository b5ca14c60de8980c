"""The leaves' energy balance against the paper that it comes from, and another's measurement.

Graamans, van den Dobbelsteen, Meinen and Stanghellini, Plant factories; crop transpiration and
energy balance, Agricultural Systems 153 (2017) 138-147: lettuce at a leaf area index of 3 in
rooms of 21 °C and 73 % by day, 19 °C and 83 % by night, 16 hours of light, air resistance
100 s/m with fans on and 200 off.

Wheeler et al. 1994: lettuce in a closed chamber on nutrient film.
"""

from __future__ import annotations

import pytest

from controller.core.water.canopy import (
    Canopy,
    LeafAir,
    absorbed_lamp_w_m2,
    air_resistance_s_per_m,
    covered_share,
    leaf_warming_c,
    stomatal_resistance_s_per_m,
    vapour_of_each_g_per_h,
)
from controller.core.water.transpiration import CANOPY_ERROR

DAY = LeafAir.of(temperature_c=21.0, humidity_pct=73.0)
NIGHT = LeafAir.of(temperature_c=19.0, humidity_pct=83.0)
FANS_ON_S_PER_M = 100.0
SECONDS_PER_H = 3600.0


def grown_g_per_m2_h(
    ppfd_umol: float, air: LeafAir, *, air_s_per_m: float = FANS_ON_S_PER_M
) -> float:
    """What the paper's full canopy transpires under so much light."""
    (g_per_h,) = vapour_of_each_g_per_h(
        [Canopy.of(3.0)],
        absorbed_w_m2=absorbed_lamp_w_m2(ppfd_umol),
        air=air,
        stomata_s_per_m=stomatal_resistance_s_per_m(ppfd_umol),
        air_s_per_m=air_s_per_m,
    )
    return g_per_h


@pytest.mark.parametrize(
    ("ppfd_umol", "s_per_m"),
    [
        (0, 450.0),
        (140, 289.4),
        (200, 255.0),  # the paper prints 253 for its cell
        (300, 216.0),
        (400, 190.0),
        (450, 180.0),  # the paper prints 179
        (600, 157.5),
    ],
)
def test_stomata_are_those_of_equation_9(ppfd_umol: float, s_per_m: float) -> None:
    """60 (1500 + PPFD) / (200 + PPFD)."""
    assert stomatal_resistance_s_per_m(ppfd_umol) == pytest.approx(s_per_m, abs=0.05)


@pytest.mark.parametrize("air_speed_m_s", [0.1, 0.15, 0.3, 0.8])
def test_the_air_s_resistance_is_that_of_equation_10(air_speed_m_s: float) -> None:
    """350 (l/u)^0.5 / LAI with l = 0.11 m and LAI = 3; 100 s/m is a draught of 0.15 m/s."""
    equation = 350.0 * (0.11 / air_speed_m_s) ** 0.5 / 3.0
    assert air_resistance_s_per_m(air_speed_m_s) == pytest.approx(equation)
    assert air_resistance_s_per_m(0.15) == pytest.approx(FANS_ON_S_PER_M, rel=0.01)


@pytest.mark.parametrize(
    ("par_w_m2", "net_w_m2"),
    [
        (120.0, 108.3),  # with a cultivated area cover of 0.95
        (28.0, 25.3),
    ],
)
def test_net_radiation_is_that_of_section_5_4(par_w_m2: float, net_w_m2: float) -> None:
    """Equation 8: (1 - 0.05) I CAC."""
    ppfd_umol = par_w_m2 / 0.2
    assert absorbed_lamp_w_m2(ppfd_umol) * 0.95 == pytest.approx(net_w_m2, abs=0.05)


@pytest.mark.parametrize(
    ("ppfd_umol", "par_w_m2"),
    [(140, 28.2), (200, 41.0), (300, 58.6), (400, 79.6), (450, 90.8), (600, 118.8)],
)
def test_watts_of_light_are_those_of_the_paper_s_lamps(ppfd_umol: float, par_w_m2: float) -> None:
    """0.2 W for each µmol/s, to the 3 % by which the paper's own lamps differ."""
    assert 0.2 * ppfd_umol == pytest.approx(par_w_m2, rel=0.03)
    assert absorbed_lamp_w_m2(ppfd_umol) == pytest.approx(0.95 * par_w_m2, rel=0.03)


def test_a_full_canopy_covers_what_the_paper_recommends() -> None:
    """A cultivated area cover of 0.9."""
    assert covered_share(3.0) == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("ppfd_umol", "g_per_m2_h"),
    [(0, 70), (140, 102), (200, 113), (300, 132), (400, 149), (600, 182)],
)
def test_hours_are_those_of_an_independent_solution(ppfd_umol: int, g_per_m2_h: float) -> None:
    """The paper's equations, solved once by another program of ours with a cover of 0.9; to 1 g."""
    assert grown_g_per_m2_h(ppfd_umol, DAY) == pytest.approx(g_per_m2_h, abs=1.0)


def test_a_day_at_200_is_that_of_an_independent_solution() -> None:
    """16 hours of light and 8 of dark at 73 %: 2.38 L/m², 95 mL for each of 25 plants."""
    day_g_per_m2 = 16 * grown_g_per_m2_h(200, DAY) + 8 * grown_g_per_m2_h(0, DAY)
    assert day_g_per_m2 == pytest.approx(2380, abs=10)
    assert day_g_per_m2 / 25 == pytest.approx(95, abs=0.5)


def test_the_dark_is_that_of_the_paper_s_model() -> None:
    """0.011 g/m²/s; and the measured 0.016 is within our bounds."""
    dark_g_per_m2_s = grown_g_per_m2_h(0, NIGHT) / SECONDS_PER_H
    assert dark_g_per_m2_s == pytest.approx(0.011, abs=0.0005)
    assert dark_g_per_m2_s * CANOPY_ERROR.low < 0.016 < dark_g_per_m2_s * CANOPY_ERROR.high + 5e-4


def test_the_measured_mean_of_a_day_lies_between_the_paper_s_lights() -> None:
    """115 g/m²/h measured, 108 modelled; which light it was is not told here, so between the
    weakest and the strongest of its lights."""
    means = [
        (16 * grown_g_per_m2_h(ppfd, DAY) + 8 * grown_g_per_m2_h(0, NIGHT)) / 24
        for ppfd in (140, 600)
    ]
    assert means[0] < 108 < 115 < means[1]


def test_bounds_hold_the_paper_s_error_around_its_mean() -> None:
    """A root mean square error of 15.87 on 108 g/m²/h."""
    assert CANOPY_ERROR.low < 1 - 15.87 / 108
    assert CANOPY_ERROR.high > 1 + 15.87 / 108


def test_the_leaf_is_about_a_degree_cooler_than_the_air() -> None:
    """As that solution has it at 21 °C and 73 %, in the dark and under 200 µmol/m²/s."""
    for ppfd_umol in (0, 200):
        warming_c = leaf_warming_c(
            absorbed_w_m2=absorbed_lamp_w_m2(ppfd_umol) * 0.9 / 3,
            air=DAY,
            stomata_s_per_m=stomatal_resistance_s_per_m(ppfd_umol),
            air_s_per_m=FANS_ON_S_PER_M,
        )
        assert warming_c == pytest.approx(-1.0, abs=0.4)


def test_wheeler_s_chamber_lies_within_our_bounds() -> None:
    """3991 g/m²/d, of which some 1000 evaporated from free water, at 293 µmol/m²/s.

    16 hours of light, 23 °C and 70 % are from memory, with fans on.
    """
    air = LeafAir.of(temperature_c=23.0, humidity_pct=70.0)
    day_g_per_m2 = 16 * grown_g_per_m2_h(293, air) + 8 * grown_g_per_m2_h(0, air)
    assert day_g_per_m2 * CANOPY_ERROR.low < 3991 - 1000 < day_g_per_m2 * CANOPY_ERROR.high


@pytest.mark.parametrize("air", [DAY, NIGHT], ids=["day", "night"])
def test_fans_off_draw_less(air: LeafAir) -> None:
    """200 s/m instead of 100, in the paper's rooms."""
    for ppfd in (0, 200, 600):
        still = grown_g_per_m2_h(ppfd, air, air_s_per_m=200.0)
        assert still < grown_g_per_m2_h(ppfd, air)
