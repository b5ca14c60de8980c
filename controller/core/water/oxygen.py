"""How much oxygen water can hold.

What bare roots find is not told as a number: they hang in air with a film around them, and
no source known to us measures oxygen in such a film. Lettuce in solution grew no worse
between 2.1 and 16.8 mg/L (Goto et al. 1996, Acta Horticulturae 440:205, abstract), so a
reservoir that moves and is not warm is seldom what fails first.
"""

from __future__ import annotations

from math import exp

from controller.core.units import shown

STANDARD_KPA = 101.325
WATER_C_MIN, WATER_C_MAX = 0.0, 40.0  # the range of the formula
# From about the highest road to under the lowest one: 45 kPa is 6,300 m above the sea.
AIR_KPA_MIN, AIR_KPA_MAX = 45.0, 110.0

# No difference was found between these, mg/L. Source: Goto et al. 1996, as above.
LETTUCE_MG_PER_L_MIN, LETTUCE_MG_PER_L_MAX = 2.1, 16.8

_ZERO_C_K = 273.15


def oxygen_saturation_mg_per_l(water_c: float, *, air_kpa: float = STANDARD_KPA) -> float:
    """The oxygen in fresh water that has come to rest with moist air above it, mg/L.

    A nutrient solution of 2 mS/cm holds about 0.6 % less (its salts, by the same authors'
    term for salinity, from memory); that is left out.

    Args:
        water_c: 0 to 40 °C.
        air_kpa: pressure of the air, 45 to 110 kPa.

    Raises:
        ValueError: a value out of its range.

    Source: Benson and Krause 1984, Limnology and Oceanography 29:620, as Standard Methods
    4500-O prints it, with its correction for pressure; constants of the latter from memory.
    """
    if not WATER_C_MIN <= water_c <= WATER_C_MAX:
        raise ValueError(
            f"{shown(water_c)} °C: the formula for oxygen holds for water from "
            f"{WATER_C_MIN:g} to {WATER_C_MAX:g} °C"
        )
    if not AIR_KPA_MIN <= air_kpa <= AIR_KPA_MAX:
        raise ValueError(
            f"{shown(air_kpa)} kPa: air on land has {AIR_KPA_MIN:g} to {AIR_KPA_MAX:g} kPa"
        )
    kelvin = water_c + _ZERO_C_K
    at_one_atm = exp(
        -139.34411
        + 1.575701e5 / kelvin
        - 6.642308e7 / kelvin**2
        + 1.243800e10 / kelvin**3
        - 8.621949e11 / kelvin**4
    )
    return at_one_atm * _pressure_factor(water_c, air_kpa / STANDARD_KPA)


def _pressure_factor(water_c: float, air_atm: float) -> float:
    """Saturation at a pressure as a multiple of that at one atmosphere."""
    kelvin = water_c + _ZERO_C_K
    vapour_atm = exp(11.8571 - 3840.70 / kelvin - 216_961 / kelvin**2)
    theta = 0.000975 - 1.426e-5 * water_c + 6.436e-8 * water_c**2
    here = (air_atm - vapour_atm) * (1 - theta * air_atm)
    return here / ((1 - vapour_atm) * (1 - theta))


def oxygen_meaning(water_c: float, *, air_kpa: float) -> str:
    """What the water's temperature means for oxygen, in sentences for a grower.

    Raises:
        ValueError: as `oxygen_saturation_mg_per_l`.
    """
    most = oxygen_saturation_mg_per_l(water_c, air_kpa=air_kpa)
    return (
        f"At {round(water_c, 1):z.3g} °C this water holds at most {most:.1f} mg/L of oxygen; the "
        f"warmer it is, the less. Lettuce in solution grew no worse at {LETTUCE_MG_PER_L_MIN} "
        "mg/L. How "
        "much a film on roots in air holds, no source known to us says."
    )
