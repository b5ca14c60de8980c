"""Moist air: how much vapour it holds, how heavy it is, and what it weighs on the ground.

Source: Allen, Pereira, Raes and Smith, Crop evapotranspiration, FAO Irrigation and Drainage
Paper 56, 1998, chapter 3 and annex 3; "eq." below are its equations. Temperatures in °C,
pressures in kPa, humidities in per cent of saturation over liquid water, below 0 °C too.
"""

from __future__ import annotations

from math import exp

# Eq. 7 and 8: an atmosphere that is 20 °C (293 K) at sea level.
SEA_LEVEL_KPA = 101.3
PSYCHROMETRIC_PER_C = 0.665e-3  # of the air's pressure; eq. 8
DRY_AIR_J_PER_KG_K = 287.0  # eq. 3-5
# Latent heat of vaporisation at 20 °C; FAO-56 takes it as constant (annex 3).
LATENT_HEAT_MJ_PER_KG = 2.45
KELVIN_AT_0_C = 273.16  # as FAO-56 and ASCE-EWRI round it

# How much a wet bulb's reading lags behind, per °C and of the air's pressure, where a fan draws
# about 5 m/s past it (Assmann); eq. 16.
ASPIRATED_PER_C = 0.000662


def saturation_kpa(temperature_c: float) -> float:
    """The vapour pressure of saturated air, kPa (eq. 11); at the dew point, the actual one (14)."""
    return 0.6108 * exp(17.27 * temperature_c / (temperature_c + 237.3))


def slope_kpa_per_c(temperature_c: float) -> float:
    """How much the saturation pressure rises with each °C, kPa/°C (eq. 13)."""
    return 4098.0 * saturation_kpa(temperature_c) / (temperature_c + 237.3) ** 2


def mean_saturation_kpa(*, warmest_c: float, coolest_c: float) -> float:
    """The saturation pressure of a day, from its warmest and its coolest; kPa (eq. 12)."""
    return (saturation_kpa(warmest_c) + saturation_kpa(coolest_c)) / 2


def vapour_kpa(*, temperature_c: float, humidity_pct: float) -> float:
    """The vapour pressure of air of that humidity, kPa (eq. 10, 54)."""
    return saturation_kpa(temperature_c) * humidity_pct / 100


def vapour_from_humidities_kpa(
    *, warmest_c: float, coolest_c: float, highest_pct: float, lowest_pct: float
) -> float:
    """The vapour pressure of a day, from its extremes; kPa (eq. 17)."""
    in_the_cool = vapour_kpa(temperature_c=coolest_c, humidity_pct=highest_pct)
    in_the_warm = vapour_kpa(temperature_c=warmest_c, humidity_pct=lowest_pct)
    return (in_the_cool + in_the_warm) / 2


def vapour_from_highest_humidity_kpa(*, coolest_c: float, highest_pct: float) -> float:
    """The vapour pressure of a day whose lowest humidity is unknown or doubtful; kPa (eq. 18)."""
    return vapour_kpa(temperature_c=coolest_c, humidity_pct=highest_pct)


def vapour_from_mean_humidity_kpa(*, warmest_c: float, coolest_c: float, mean_pct: float) -> float:
    """The vapour pressure of a day of which only the mean humidity is known; kPa (eq. 19)."""
    return mean_saturation_kpa(warmest_c=warmest_c, coolest_c=coolest_c) * mean_pct / 100


def vapour_from_wet_bulb_kpa(*, dry_bulb_c: float, wet_bulb_c: float, air_kpa: float) -> float:
    """The vapour pressure that a dry bulb and a wet one in a fan's draught tell, kPa (eq. 15, 16).

    Below 0 where the two cannot belong together: such dry air does not exist.
    """
    lag_kpa = ASPIRATED_PER_C * air_kpa * (dry_bulb_c - wet_bulb_c)
    return saturation_kpa(wet_bulb_c) - lag_kpa


def air_pressure_kpa(elevation_m: float) -> float:
    """The mean air pressure at that height above sea level, kPa (eq. 7); below 40 km."""
    return SEA_LEVEL_KPA * float(((293.0 - 0.0065 * elevation_m) / 293.0) ** 5.26)


def psychrometric_kpa_per_c(air_kpa: float) -> float:
    """The psychrometric constant of air of that pressure, kPa/°C (eq. 8)."""
    return PSYCHROMETRIC_PER_C * air_kpa


def density_kg_per_m3(*, temperature_c: float, vapour_kpa: float, air_kpa: float) -> float:
    """What a cubic metre of moist air weighs, kg (eq. 3-5, 3-6)."""
    virtual_k = (temperature_c + KELVIN_AT_0_C) / (1.0 - 0.378 * vapour_kpa / air_kpa)
    return 1000.0 * air_kpa / (virtual_k * DRY_AIR_J_PER_KG_K)
