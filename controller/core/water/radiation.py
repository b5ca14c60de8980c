"""What of the sun's radiation reaches the ground, and what the ground keeps of it.

Everything in MJ/m², over a day where the name says so and else over any time. Source: FAO-56
(Allen et al. 1998), chapter 3, "eq." below; ASCE-EWRI 2005 where it is named.
"""

from __future__ import annotations

from math import sqrt

from controller.core.water.air import KELVIN_AT_0_C

MJ_PER_M2_H_PER_W = 0.0036  # 1 W/m² for an hour
ALBEDO = 0.23  # share that the grass of the reference throws back; eq. 38
# A cloudless day's shares of the radiation above the air; eq. 35.
OVERCAST_SHARE = 0.25
SUNSHINE_SHARE = 0.50
# How much the span of a day's temperatures tells of its sun, away from coasts; eq. 50.
INTERIOR_PER_ROOT_C = 0.16

STEFAN_BOLTZMANN_MJ_PER_M2_DAY = 4.903e-9  # per K⁴; eq. 39
ASCE_STEFAN_BOLTZMANN_MJ_PER_M2_DAY = 4.901e-9  # ASCE-EWRI 2005, eq. 17
ASCE_STEFAN_BOLTZMANN_MJ_PER_M2_H = 2.042e-10  # ASCE-EWRI 2005, eq. 44

# Bounds of the clearness that the long-wave equations are made for; ASCE-EWRI 2005, eq. 18.
CLEARNESS_MIN = 0.3
CLEARNESS_MAX = 1.0


def clear_sky_mj_per_m2(extraterrestrial_mj_per_m2: float, *, elevation_m: float) -> float:
    """What reaches the ground under a cloudless sky (eq. 37)."""
    return (OVERCAST_SHARE + SUNSHINE_SHARE + 2e-5 * elevation_m) * extraterrestrial_mj_per_m2


def from_sunshine_mj_per_m2(
    extraterrestrial_mj_per_m2: float, *, sunshine_h: float, daylight_h: float
) -> float:
    """What reaches the ground on a day with so many hours of sunshine (eq. 35).

    Where there is no daylight there is no radiation.
    """
    if daylight_h <= 0:
        return 0.0
    share = OVERCAST_SHARE + SUNSHINE_SHARE * sunshine_h / daylight_h
    return share * extraterrestrial_mj_per_m2


def from_temperatures_mj_per_m2(
    extraterrestrial_mj_per_m2: float, *, warmest_c: float, coolest_c: float
) -> float:
    """What reaches the ground on a day, judged by how far its temperatures spread (eq. 50).

    `warmest_c` ≥ `coolest_c`. Not above what a cloudless sky lets through at sea level.
    """
    share = INTERIOR_PER_ROOT_C * sqrt(warmest_c - coolest_c)
    return min(share, OVERCAST_SHARE + SUNSHINE_SHARE) * extraterrestrial_mj_per_m2


def clearness(radiation_mj_per_m2: float, *, clear_sky_mj_per_m2: float) -> float:
    """How clear the sky is, 0.3 to 1: radiation by that of a cloudless sky.

    In darkness it cannot be told; then 1, as the long-wave loss is greatest.

    Source: limits by ASCE-EWRI 2005, eq. 18; FAO-56 has the upper one (eq. 39).
    """
    if clear_sky_mj_per_m2 <= 0:
        return CLEARNESS_MAX
    return min(CLEARNESS_MAX, max(CLEARNESS_MIN, radiation_mj_per_m2 / clear_sky_mj_per_m2))


def net_short_wave_mj_per_m2(radiation_mj_per_m2: float, *, albedo: float = ALBEDO) -> float:
    """What the ground keeps of the sun's radiation (eq. 38)."""
    return (1.0 - albedo) * radiation_mj_per_m2


def net_long_wave_day_mj_per_m2(
    *,
    warmest_c: float,
    coolest_c: float,
    vapour_kpa: float,
    clearness: float,
    stefan_boltzmann: float = STEFAN_BOLTZMANN_MJ_PER_M2_DAY,
) -> float:
    """What the ground loses to the sky in a day, as heat (eq. 39)."""
    warm, cool = warmest_c + KELVIN_AT_0_C, coolest_c + KELVIN_AT_0_C
    emitted = stefan_boltzmann * (warm * warm * warm * warm + cool * cool * cool * cool) / 2
    return emitted * (0.34 - 0.14 * sqrt(vapour_kpa)) * (1.35 * clearness - 0.35)


def net_long_wave_hour_mj_per_m2(
    *,
    temperature_c: float,
    vapour_kpa: float,
    clearness: float,
    stefan_boltzmann: float = ASCE_STEFAN_BOLTZMANN_MJ_PER_M2_H,
) -> float:
    """What the ground loses to the sky in an hour, as heat (eq. 39 over 24; ASCE-EWRI, eq. 44).

    The constant is ASCE-EWRI's; FAO-56's, 4.903e-9 by 24, is 0.04 % more.
    """
    square = (temperature_c + KELVIN_AT_0_C) ** 2
    emissivity = 0.34 - 0.14 * sqrt(vapour_kpa)
    return stefan_boltzmann * square * square * emissivity * (1.35 * clearness - 0.35)
