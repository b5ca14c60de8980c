"""An hour of air as leaves feel it, made ready for all stands that share it."""

from __future__ import annotations

from typing import NamedTuple

from controller.core.water.air import (
    SEA_LEVEL_KPA,
    psychrometric_kpa_per_c,
    saturation_kpa,
    slope_kpa_per_c,
)
from controller.core.water.canopy import LeafAir

# ASCE-EWRI 2005, table 1: short reference, hourly.
_CN_HOURLY, _CD_DAY, _CD_NIGHT = 37.0, 0.24, 0.96


class LeafHour(NamedTuple):
    """One hour of air as leaves feel it: means, made ready once for all stands that share it.

    `radiation_w_m2` is the sun's, outdoors, on level ground, `et0_mm` the hour's reference
    evaporation there, and `wind_part_mm` what of it comes of wind and dry air.
    """

    leaf_air: LeafAir
    radiation_w_m2: float
    et0_mm: float
    wind_part_mm: float

    @classmethod
    def outdoors(
        cls,
        *,
        temperature_c: float,
        humidity_pct: float,
        wind_2m_m_s: float,
        radiation_w_m2: float,
        et0_mm: float,
        pressure_kpa: float = SEA_LEVEL_KPA,
    ) -> LeafHour:
        """An hour of weather, for stands outdoors and under glass.

        Under glass the air is often warmer and damper than outdoors: give the house's own
        temperature and humidity where they are known.

        Args:
            temperature_c: -40 to 60 °C.
            humidity_pct: 0 to 100 %.
            wind_2m_m_s: 2 m above ground.
            radiation_w_m2: the sun's; below 0 counts as 0.
            et0_mm: ASCE-EWRI 2005 short reference; below 0, as at night, counts as 0.
            pressure_kpa: of the air.
        """
        wind_mm = wind_part_mm(
            temperature_c=temperature_c,
            humidity_pct=humidity_pct,
            wind_2m_m_s=wind_2m_m_s,
            pressure_kpa=pressure_kpa,
            by_day=radiation_w_m2 > 0.0,
        )
        air = LeafAir.of(temperature_c=temperature_c, humidity_pct=humidity_pct)
        return cls(air, max(0.0, radiation_w_m2), max(0.0, et0_mm), wind_mm)

    @classmethod
    def indoors(cls, *, temperature_c: float, humidity_pct: float) -> LeafHour:
        """An hour of a room without sun, for stands under lamps: -40 to 60 °C, 0 to 100 %."""
        air = LeafAir.of(temperature_c=temperature_c, humidity_pct=humidity_pct)
        return cls(air, radiation_w_m2=0.0, et0_mm=0.0, wind_part_mm=0.0)

    def shaded_et0_mm(self, light_share: float) -> float:
        """The reference evaporation where only that share of the sun arrives, mm.

        The part of it that comes of wind and dry air stays whole; the rest is the sun's.
        """
        by_sun_mm = max(0.0, self.et0_mm - self.wind_part_mm)
        return self.et0_mm - (1.0 - light_share) * by_sun_mm


def wind_part_mm(
    *,
    temperature_c: float,
    humidity_pct: float,
    wind_2m_m_s: float,
    pressure_kpa: float,
    by_day: bool,
) -> float:
    """What of an hour's reference evaporation comes of wind and dry air, mm; 0 or more.

    Source: ASCE-EWRI 2005, eq. 1, second summand, short reference, hourly.
    """
    gamma = psychrometric_kpa_per_c(pressure_kpa)
    deficit_kpa = saturation_kpa(temperature_c) * (1.0 - humidity_pct / 100)
    cd = _CD_DAY if by_day else _CD_NIGHT
    driven = gamma * _CN_HOURLY / (temperature_c + 273.0) * wind_2m_m_s * deficit_kpa
    return driven / (slope_kpa_per_c(temperature_c) + gamma * (1.0 + cd * wind_2m_m_s))
