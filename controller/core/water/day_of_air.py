"""A day's air as evapotranspiration needs it, and what it asks of a reference surface."""

from __future__ import annotations

from dataclasses import dataclass

from controller.core.water.air import air_pressure_kpa, mean_saturation_kpa
from controller.core.water.radiation import (
    STEFAN_BOLTZMANN_MJ_PER_M2_DAY,
    clear_sky_mj_per_m2,
    clearness,
    net_long_wave_day_mj_per_m2,
    net_short_wave_mj_per_m2,
)
from controller.core.water.reference_et import SHORT, Surface, day_et_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class DayOfAir:
    """The air of one day: extremes of temperature, mean vapour pressure, mean wind, the sun.

    °C, kPa, m/s at 2 m, MJ/m² on level ground; `extraterrestrial_mj_per_m2` is what falls
    above the air, `elevation_m` the height above sea level.
    """

    warmest_c: float
    coolest_c: float
    vapour_kpa: float
    wind_2m_m_s: float
    radiation_mj_per_m2: float
    extraterrestrial_mj_per_m2: float
    elevation_m: float

    @property
    def mean_c(self) -> float:
        """The mean of the warmest and the coolest, as the standards define it."""
        return (self.warmest_c + self.coolest_c) / 2

    @property
    def deficit_kpa(self) -> float:
        """How far the air is from saturation, kPa; 0 where it is damper than that."""
        saturated = mean_saturation_kpa(warmest_c=self.warmest_c, coolest_c=self.coolest_c)
        return max(0.0, saturated - self.vapour_kpa)

    def net_radiation_mj_per_m2(
        self, *, stefan_boltzmann: float = STEFAN_BOLTZMANN_MJ_PER_M2_DAY
    ) -> float:
        """What the reference grass keeps of the sun, less what it loses to the sky (eq. 40)."""
        clear = clear_sky_mj_per_m2(self.extraterrestrial_mj_per_m2, elevation_m=self.elevation_m)
        lost = net_long_wave_day_mj_per_m2(
            warmest_c=self.warmest_c,
            coolest_c=self.coolest_c,
            vapour_kpa=self.vapour_kpa,
            clearness=clearness(self.radiation_mj_per_m2, clear_sky_mj_per_m2=clear),
            stefan_boltzmann=stefan_boltzmann,
        )
        return net_short_wave_mj_per_m2(self.radiation_mj_per_m2) - lost

    def et0_mm(
        self,
        *,
        surface: Surface = SHORT,
        stefan_boltzmann: float = STEFAN_BOLTZMANN_MJ_PER_M2_DAY,
        ground_mj_per_m2: float = 0.0,
    ) -> float:
        """Reference evapotranspiration of the day, mm.

        Source: FAO-56, eq. 6, by default; ASCE-EWRI 2005 with its own Stefan-Boltzmann
        constant, which changes the third decimal, and either of its surfaces.
        """
        return day_et_mm(
            temperature_c=self.mean_c,
            deficit_kpa=self.deficit_kpa,
            wind_2m_m_s=self.wind_2m_m_s,
            net_radiation_mj_per_m2=self.net_radiation_mj_per_m2(stefan_boltzmann=stefan_boltzmann),
            air_kpa=air_pressure_kpa(self.elevation_m),
            ground_mj_per_m2=ground_mj_per_m2,
            surface=surface,
        )
