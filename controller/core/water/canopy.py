"""What leaves under lamps or glass transpire: an energy balance with published resistances.

Source: Graamans, van den Dobbelsteen, Meinen and Stanghellini, Plant factories; crop
transpiration and energy balance, Agricultural Systems 153 (2017) 138-147; "eq." are its
equations. Lettuce in closed rooms, a leaf area index of 3, 140 to 600 µmol/m²/s.

The paper tried its equations at a leaf area index of 3. Two things are ours beyond that:
- Eq. 10 divides the resistance of the air by the leaf area index. That makes the exchange of
  a seedling vanish with the square of its leaves, so each leaf here keeps what it has at 3.
- Leaves beyond an index of 3 hang in the shade of others and add nothing.
Neither do stomata close in very dry air, as some do: the result is then too high, on the
safe side. And the air carries as much heat as at the level of the sea: at 3,000 m, where it is 0.7
of that, leaves in dry air lose 6 to 8 % less than told here, and sunlit ones in damp air 8 to 21 %
more, which is within the range of `transpiration`.
"""

from __future__ import annotations

from math import exp, log, sqrt
from typing import TYPE_CHECKING, NamedTuple

from controller.core.water.air import KELVIN_AT_0_C, saturation_kpa

if TYPE_CHECKING:
    from collections.abc import Iterable

HEAT_J_PER_M3_C = 1.2 * 1010.0  # of air at 20 °C: its kg/m³, times J/kg/°C
LATENT_HEAT_J_PER_G = 2450.0  # at 20 °C
# Vapour's mass from its pressure by the gas law: 18.02 g/mol / 8.314 J/mol/K.
VAPOUR_G_K_PER_M3_KPA = 2167.0
S_PER_H = 3600.0

LEAF_LENGTH_M = 0.11  # eq. 10
FULL_LEAF_AREA_INDEX = 3.0  # the paper's canopy
FULL_COVER_SHARE = 0.90  # of the light that falls on such a canopy, the share on its leaves
AIR_RESISTANCE_MAX_S_PER_M = 200.0  # fans off: air that the leaves themselves set moving
REFLECTED_PAR = 0.05  # of lamps' light; eq. 8
# Light that grows plants, in watts for each µmol/s: 28.2 W at 140, 118.8 W at 600 µmol/m²/s
# in the paper's rooms.
PAR_J_PER_UMOL = 0.2
_EXTINCTION = -log(1.0 - FULL_COVER_SHARE) / FULL_LEAF_AREA_INDEX

# The constants of saturated vapour in FAO-56 eq. 11 and 13, for its derivatives.
_MAGNUS_C, _MAGNUS_FROM_C = 17.27 * 237.3, 237.3

_LEAF_STEPS_MAX = 30
_LEAF_CLOSE_C = 1e-3  # Newton's error after such a step is below 1e-7 °C


def stomatal_resistance_s_per_m(ppfd_umol: float) -> float:
    """How stomata hold vapour back, s/m: 450 in the dark, towards 60 in the brightest light.

    Args:
        ppfd_umol: light that grows plants, µmol/m²/s, 0 or more.

    Source: eq. 9.
    """
    return 60.0 * (1500.0 + ppfd_umol) / (200.0 + ppfd_umol)


def air_resistance_s_per_m(air_speed_m_s: float) -> float:
    """How the air at a leaf holds heat and vapour back, s/m; 200 where hardly any air moves.

    Source: eq. 10 at a leaf area index of 3, 350 √(l/u) / 3, with l = 0.11 m; and its value
    with fans off.
    """
    least_m_s = LEAF_LENGTH_M * (350.0 / 3.0 / AIR_RESISTANCE_MAX_S_PER_M) ** 2
    if air_speed_m_s <= least_m_s:
        return AIR_RESISTANCE_MAX_S_PER_M
    return 350.0 * sqrt(LEAF_LENGTH_M / air_speed_m_s) / FULL_LEAF_AREA_INDEX


def covered_share(leaf_area_index: float) -> float:
    """The share of the light that falls on leaves: 0 without, 0.9 at an index of 3.

    Light fades exponentially through leaves (Monsi and Saeki, 1953), here as fast as gives
    the paper's cultivated area cover of 0.9 at its leaf area index of 3.
    """
    return 1.0 - exp(-_EXTINCTION * leaf_area_index)


def absorbed_lamp_w_m2(ppfd_umol: float) -> float:
    """What leaves that cover everything take in of lamps' light, W/m² (eq. 8)."""
    return (1.0 - REFLECTED_PAR) * PAR_J_PER_UMOL * ppfd_umol


class LeafAir(NamedTuple):
    """The air that leaves hang in, ready for as many leaves as hang there.

    Its temperature; its vapour, and how much would saturate it, g/m³; how the latter rises
    with each °C, and by how much more from one °C to the next.
    """

    temperature_c: float
    vapour_g_m3: float
    saturated_g_m3: float
    rise_g_m3: float
    bend_g_m3: float

    @classmethod
    def of(cls, *, temperature_c: float, humidity_pct: float) -> LeafAir:
        """From a temperature of -40 to 60 °C and a relative humidity of 0 to 100 %."""
        saturated, rise = _saturated(temperature_c)
        from_c, above_k = temperature_c + _MAGNUS_FROM_C, temperature_c + KELVIN_AT_0_C
        bend = (rise / saturated) ** 2 - 2.0 * _MAGNUS_C / from_c**3 + 1.0 / above_k**2
        return cls(temperature_c, saturated * humidity_pct / 100, saturated, rise, saturated * bend)


def _saturated(temperature_c: float) -> tuple[float, float]:
    """Saturated vapour, g/m³, and by how much it rises with each °C."""
    from_c, above_k = temperature_c + _MAGNUS_FROM_C, temperature_c + KELVIN_AT_0_C
    saturated = VAPOUR_G_K_PER_M3_KPA * saturation_kpa(temperature_c) / above_k
    return saturated, saturated * (_MAGNUS_C / (from_c * from_c) - 1.0 / above_k)


def leaf_warming_c(
    *, absorbed_w_m2: float, air: LeafAir, stomata_s_per_m: float, air_s_per_m: float
) -> float:
    """By how much a leaf is warmer than the air when it gives away what it takes in, °C.

    Below 0 where it is cooler. Source: eq. 4 to 6.

    Newton's method, which cannot fail here: what a leaf takes in less what it gives away
    falls with its temperature, and ever faster, because saturated vapour rises ever faster
    from -40 to over 100 °C. So each tangent of it meets zero on the warm side, and from there
    the next ones come closer without ever passing the leaf's temperature. It begins where the
    curve through the air's own temperature, bent as the vapour's is there, meets zero.

    Args:
        absorbed_w_m2: radiation taken in by a square metre of leaf, 0 or more.
        air: the air around.
        stomata_s_per_m: resistance of the stomata.
        air_s_per_m: resistance of the air at the leaf.
    """
    heat = HEAT_J_PER_M3_C / air_s_per_m
    latent = LATENT_HEAT_J_PER_G / (stomata_s_per_m + air_s_per_m)
    air_c, vapour, saturated, rise, bend = air
    surplus = absorbed_w_m2 - latent * (saturated - vapour)
    slope = heat + latent * rise
    bent = slope + 0.5 * latent * bend * surplus / slope
    # In very dry air the bend alone would have it turn round: half the slope is the least.
    warming = surplus / max(bent, 0.5 * slope)
    for _ in range(_LEAF_STEPS_MAX):
        leaf_c = air_c + warming
        saturated, rise = _saturated(leaf_c)
        surplus = absorbed_w_m2 - heat * warming - latent * (saturated - vapour)
        step = surplus / (heat + latent * rise)
        warming += step
        if -_LEAF_CLOSE_C < step < _LEAF_CLOSE_C:
            break
    return warming


def leaf_vapour_g_per_m2_h(
    *, absorbed_w_m2: float, air: LeafAir, stomata_s_per_m: float, air_s_per_m: float
) -> float:
    """What a square metre of leaf transpires, g/h; never below 0 in air up to saturation.

    It is what the leaf takes in and does not give to the air as heat (eq. 4). The arguments
    are those of `leaf_warming_c`.
    """
    warming_c = leaf_warming_c(
        absorbed_w_m2=absorbed_w_m2,
        air=air,
        stomata_s_per_m=stomata_s_per_m,
        air_s_per_m=air_s_per_m,
    )
    latent_w_m2 = absorbed_w_m2 - HEAT_J_PER_M3_C / air_s_per_m * warming_c
    return S_PER_H / LATENT_HEAT_J_PER_G * latent_w_m2 if latent_w_m2 > 0.0 else 0.0


class Canopy(NamedTuple):
    """Leaves over a square metre of lit area: how many take part, and what light each gets.

    `exchanging_m2` is leaf area that takes part, on a square metre; `light_per_leaf` the
    share of what leaves that cover everything would take in, for each of its square metres.
    """

    exchanging_m2: float
    light_per_leaf: float

    @classmethod
    def of(cls, leaf_area_index: float) -> Canopy:
        """From square metres of leaf on a square metre of lit area, above 0."""
        exchanging = min(leaf_area_index, FULL_LEAF_AREA_INDEX)
        return cls(exchanging, covered_share(exchanging) / exchanging)


def vapour_of_each_g_per_h(
    canopies: Iterable[Canopy],
    *,
    absorbed_w_m2: float,
    air: LeafAir,
    stomata_s_per_m: float,
    air_s_per_m: float,
) -> list[float]:
    """What a square metre of plants transpires under each of these canopies, g/h (1 g is 1 mL).

    Leaves that get the same light as those of the canopy before, as all do in the dark, are
    reckoned once.

    Args:
        canopies: in any order.
        absorbed_w_m2: what leaves that cover everything would take in, W/m².
        air: the air around.
        stomata_s_per_m: `stomatal_resistance_s_per_m` in the light that there is.
        air_s_per_m: `air_resistance_s_per_m` in the draught that there is.
    """
    vapours_g_per_h = []
    light_before_w_m2 = of_leaf_g_per_m2_h = -1.0
    for canopy in canopies:
        light_w_m2 = absorbed_w_m2 * canopy.light_per_leaf
        if light_w_m2 != light_before_w_m2:
            light_before_w_m2 = light_w_m2
            of_leaf_g_per_m2_h = leaf_vapour_g_per_m2_h(
                absorbed_w_m2=light_w_m2,
                air=air,
                stomata_s_per_m=stomata_s_per_m,
                air_s_per_m=air_s_per_m,
            )
        vapours_g_per_h.append(canopy.exchanging_m2 * of_leaf_g_per_m2_h)
    return vapours_g_per_h
