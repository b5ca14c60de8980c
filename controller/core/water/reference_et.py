"""Evapotranspiration of a reference surface: what the weather asks of well-watered leaves.

Sources: FAO-56 (Allen, Pereira, Raes and Smith, Crop evapotranspiration, FAO Irrigation and
Drainage Paper 56, 1998); ASCE-EWRI (The ASCE standardized reference evapotranspiration
equation, American Society of Civil Engineers, 2005). All take radiation in MJ/m² over the
time named, wind at 2 m in m/s, pressures in kPa, temperatures in °C; results are in mm over
that time, which is L/m². A clear, still night can give less than 0: dew. Sums over days keep
it, as the standards do; whoever waters plants takes nothing below 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from controller.core.water.air import psychrometric_kpa_per_c, saturation_kpa, slope_kpa_per_c
from controller.core.water.radiation import (
    net_long_wave_hour_mj_per_m2,
    net_short_wave_mj_per_m2,
)

MM_PER_MJ_PER_M2 = 0.408  # 1 by the latent heat, 2.45 MJ/kg; FAO-56, eq. 20
_KELVIN = 273.0  # at 0 °C, as the equations round it


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """A reference surface: its constants in the Penman-Monteith form of ASCE-EWRI.

    `numerator` and `denominator` are C_n and C_d, `ground` the share of the net radiation
    that goes into the ground within an hour; by light is where the net radiation is not
    below 0, by dark where it is.
    """

    day_numerator: float
    day_denominator: float
    hour_numerator: float
    light_denominator: float
    dark_denominator: float
    light_ground: float
    dark_ground: float


# ASCE-EWRI 2005, table 1 (C_n, C_d) and eq. 65 and 66 (ground).
SHORT = Surface(
    day_numerator=900.0,
    day_denominator=0.34,
    hour_numerator=37.0,
    light_denominator=0.24,
    dark_denominator=0.96,
    light_ground=0.1,
    dark_ground=0.5,
)
TALL = Surface(
    day_numerator=1600.0,
    day_denominator=0.38,
    hour_numerator=66.0,
    light_denominator=0.25,
    dark_denominator=1.7,
    light_ground=0.04,
    dark_ground=0.2,
)
# FAO-56, eq. 53: the grass resists alike by day and by night (70 s/m).
FAO_GRASS = Surface(
    day_numerator=900.0,
    day_denominator=0.34,
    hour_numerator=37.0,
    light_denominator=0.34,
    dark_denominator=0.34,
    light_ground=0.1,
    dark_ground=0.5,
)


def day_et_mm(
    *,
    temperature_c: float,
    deficit_kpa: float,
    wind_2m_m_s: float,
    net_radiation_mj_per_m2: float,
    air_kpa: float,
    ground_mj_per_m2: float = 0.0,
    surface: Surface = SHORT,
) -> float:
    """Reference evapotranspiration of a day, mm.

    `temperature_c` is the mean of the warmest and the coolest; `ground_mj_per_m2` what the
    ground takes up, nearly 0 in a day (eq. 42).

    Source: FAO-56, eq. 6; ASCE-EWRI 2005, eq. 1, the same for the short surface.
    """
    return _combined_mm(
        temperature_c=temperature_c,
        deficit_kpa=deficit_kpa,
        wind_2m_m_s=wind_2m_m_s,
        energy_mj_per_m2=net_radiation_mj_per_m2 - ground_mj_per_m2,
        air_kpa=air_kpa,
        numerator=surface.day_numerator,
        denominator=surface.day_denominator,
    )


def hour_et_mm(
    *,
    temperature_c: float,
    deficit_kpa: float,
    wind_2m_m_s: float,
    net_radiation_mj_per_m2: float,
    air_kpa: float,
    surface: Surface = SHORT,
) -> float:
    """Reference evapotranspiration of an hour, mm; below 0 where dew falls.

    Source: ASCE-EWRI 2005, eq. 1, 65 and 66 for `SHORT` and `TALL`; FAO-56, eq. 45, 46 and
    53 for `FAO_GRASS`.
    """
    is_light = net_radiation_mj_per_m2 >= 0
    ground = surface.light_ground if is_light else surface.dark_ground
    return _combined_mm(
        temperature_c=temperature_c,
        deficit_kpa=deficit_kpa,
        wind_2m_m_s=wind_2m_m_s,
        energy_mj_per_m2=net_radiation_mj_per_m2 * (1.0 - ground),
        air_kpa=air_kpa,
        numerator=surface.hour_numerator,
        denominator=surface.light_denominator if is_light else surface.dark_denominator,
    )


def _combined_mm(
    *,
    temperature_c: float,
    deficit_kpa: float,
    wind_2m_m_s: float,
    energy_mj_per_m2: float,
    air_kpa: float,
    numerator: float,
    denominator: float,
) -> float:
    """The Penman-Monteith form that all of them share."""
    slope = slope_kpa_per_c(temperature_c)
    psychrometric = psychrometric_kpa_per_c(air_kpa)
    drying = psychrometric * numerator / (temperature_c + _KELVIN) * wind_2m_m_s * deficit_kpa
    total = MM_PER_MJ_PER_M2 * slope * energy_mj_per_m2 + drying
    return total / (slope + psychrometric * (1.0 + denominator * wind_2m_m_s))


def open_hour_et_mm(
    *,
    temperature_c: float,
    humidity_pct: float,
    wind_2m_m_s: float,
    radiation_mj_per_m2: float,
    clearness: float,
    air_kpa: float,
) -> float:
    """Reference evapotranspiration of an hour of open air, short surface, mm; below 0: dew.

    `humidity_pct` is 0 to 100; `radiation_mj_per_m2` the sun's on level ground in the hour;
    `clearness` that of the sky, 0.3 to 1.

    Source: ASCE-EWRI 2005, eq. 1 and 42 to 45.
    """
    saturated_kpa = saturation_kpa(temperature_c)
    vapour_kpa = saturated_kpa * humidity_pct / 100
    lost_mj_per_m2 = net_long_wave_hour_mj_per_m2(
        temperature_c=temperature_c, vapour_kpa=vapour_kpa, clearness=clearness
    )
    return hour_et_mm(
        temperature_c=temperature_c,
        deficit_kpa=saturated_kpa - vapour_kpa,
        wind_2m_m_s=wind_2m_m_s,
        net_radiation_mj_per_m2=net_short_wave_mj_per_m2(radiation_mj_per_m2) - lost_mj_per_m2,
        air_kpa=air_kpa,
    )


def hargreaves_day_et_mm(
    *, warmest_c: float, coolest_c: float, extraterrestrial_mj_per_m2: float
) -> float:
    """Evapotranspiration of short grass where only temperatures are known, mm in a day.

    `warmest_c` ≥ `coolest_c`; 0 on days whose mean is below -17.8 °C, for which it was not
    made.

    Source: FAO-56, eq. 52 (Hargreaves and Samani 1985).
    """
    mean_c = (warmest_c + coolest_c) / 2
    spread = sqrt(warmest_c - coolest_c)
    evaporable_mm = MM_PER_MJ_PER_M2 * extraterrestrial_mj_per_m2
    return max(0.0, 0.0023 * (mean_c + 17.8) * spread * evaporable_mm)


def ground_month_mj_per_m2(*, previous_c: float, next_c: float) -> float:
    """What the ground takes up in each day of a month, MJ/m², by its neighbours' means.

    Source: FAO-56, eq. 43.
    """
    return 0.07 * (next_c - previous_c)
