"""What stands in for a quantity of the air that nobody measured, and that it did.

Source: FAO-56 (Allen et al. 1998), chapters 3 and 4 ("Estimating missing climatic data").
Each use is a value, so that a report can say it.
"""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple

from controller.core.water.air import saturation_kpa
from controller.core.water.day_of_air import DayOfAir
from controller.core.water.radiation import from_temperatures_mj_per_m2

# The mean over 2,000 stations around the globe; FAO-56, chapter 4.
WIND_2M_M_S = 2.0


class StandIn(Enum):
    """What was missing and what was done, in words that a person can read."""

    NEAR_TEMPERATURE = (
        "temperature not known: taken from the same time of the nearest days that have it"
    )
    TEMPERATURE = "temperature not known: taken from the assumed day"
    HUMIDITY = (
        "humidity not known: dew point taken as the coolest temperature of the day, in dry places "
        "2 to 3 °C too high"
    )
    WIND = "wind not known: taken as 2 m/s"
    RADIATION = "sun not known: judged by the day's warmest and coolest temperature"
    SUNSHINE = "radiation not known: judged by the hours of sunshine"
    CLEAR_SKY = "sun not known: taken as that of the assumed sky"


class Completed(NamedTuple):
    """A day without gaps, and what stands in for what was missing."""

    day: DayOfAir
    stand_ins: tuple[StandIn, ...]


def vapour_from_coolest_kpa(coolest_c: float) -> float:
    """The vapour pressure of air whose dew point is the coolest of the day, kPa.

    Too damp for dry places, where the dew point lies 2 to 3 °C lower (FAO-56, eq. 48).
    """
    return saturation_kpa(coolest_c)


def humidity_from_coolest_pct(*, temperature_c: float, coolest_c: float) -> float:
    """The relative humidity of air whose dew point is the coolest of the day, %, at most 100.

    Source: FAO-56, eq. 10 with the vapour pressure of eq. 48.
    """
    return min(100.0, 100 * vapour_from_coolest_kpa(coolest_c) / saturation_kpa(temperature_c))


def complete(
    *,
    warmest_c: float,
    coolest_c: float,
    vapour_kpa: float | None,
    wind_2m_m_s: float | None,
    radiation_mj_per_m2: float | None,
    extraterrestrial_mj_per_m2: float,
    elevation_m: float,
) -> Completed:
    """The day with FAO-56's own procedures in the place of what is None.

    `warmest_c` ≥ `coolest_c`.
    """
    stand_ins: list[StandIn] = []
    if vapour_kpa is None:
        vapour_kpa = vapour_from_coolest_kpa(coolest_c)
        stand_ins.append(StandIn.HUMIDITY)
    if wind_2m_m_s is None:
        wind_2m_m_s = WIND_2M_M_S
        stand_ins.append(StandIn.WIND)
    if radiation_mj_per_m2 is None:
        radiation_mj_per_m2 = from_temperatures_mj_per_m2(
            extraterrestrial_mj_per_m2, warmest_c=warmest_c, coolest_c=coolest_c
        )
        stand_ins.append(StandIn.RADIATION)
    day = DayOfAir(
        warmest_c=warmest_c,
        coolest_c=coolest_c,
        vapour_kpa=vapour_kpa,
        wind_2m_m_s=wind_2m_m_s,
        radiation_mj_per_m2=radiation_mj_per_m2,
        extraterrestrial_mj_per_m2=extraterrestrial_mj_per_m2,
        elevation_m=elevation_m,
    )
    return Completed(day, tuple(stand_ins))
