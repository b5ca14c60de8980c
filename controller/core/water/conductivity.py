"""Electrical conductivity of a nutrient solution: at 25 °C, as a meter shows it, as ppm."""

from __future__ import annotations

from enum import IntEnum
from math import isfinite

from controller.core.units import shown

REFERENCE_C = 25.0

# The share by which conductivity grows a kelvin, reckoned from 25 °C. Nutrient solutions lie
# outside of the natural waters (60 to 1000 µS/cm) for which ISO 7888 tabulates a curve, so the
# linear 2 %/K of most hand-held meters is taken. Potassium chloride has 1.87 %/K at 10 °C and
# 1.98 %/K at 35 °C. Source: CRC Handbook of Chemistry and Physics, "Standard KCl solutions for
# calibrating conductivity cells", 0.01 mol/kg.
ALPHA_PER_K = 0.02

# At a temperature so low a linear law says that nothing conducts any more; it ends long before.
WATER_C_MIN, WATER_C_MAX = 0.0, 50.0


class PpmScale(IntEnum):
    """How many ppm a meter writes for 1 mS/cm at 25 °C; its manual says which it uses.

    All three mean the same conductivity by different salts: sodium chloride (500), a European
    habit (640), and a mixture of 40 % sodium sulphate, 40 % sodium hydrogen carbonate and
    20 % sodium chloride (700). Source: makers' tables of meters, several in agreement.
    """

    SODIUM_CHLORIDE = 500
    EUROPEAN = 640
    MIXED_SALTS = 700


def ec_at_25(
    measured_ms_per_cm: float, *, water_c: float, alpha_per_k: float = ALPHA_PER_K
) -> float:
    """What a solution measured at one temperature would show at 25 °C.

    Args:
        measured_ms_per_cm: conductivity without compensation, mS/cm, not negative.
        water_c: the solution's temperature, 0 to 50 °C.
        alpha_per_k: growth a kelvin, as a share of the value at 25 °C; 0 to 0.03.

    Raises:
        ValueError: a value out of its range.
    """
    return _conductivity(measured_ms_per_cm) / _growth(water_c, alpha_per_k)


def ec_as_measured(
    ec_ms_per_cm: float, *, water_c: float, alpha_per_k: float = ALPHA_PER_K
) -> float:
    """What a meter without compensation shows of a solution with that conductivity at 25 °C.

    The inverse of `ec_at_25`, with the same units and ranges.

    Raises:
        ValueError: a value out of its range.
    """
    return _conductivity(ec_ms_per_cm) * _growth(water_c, alpha_per_k)


def ppm_of_ec(ec_ms_per_cm: float, *, scale: int | None) -> float:
    """The ppm that a meter of that scale (500, 640 or 700) writes for mS/cm at 25 °C.

    Raises:
        ValueError: no such scale, or none said.
    """
    if scale is None:
        raise ValueError(
            "conductivity has no ppm without a scale: say which of 500, 640 and 700 ppm "
            "for 1 mS/cm the meter uses"
        )
    return _conductivity(ec_ms_per_cm) * _scale(scale)


def ec_of_ppm(ppm: float, *, scale: int | None) -> float:
    """The mS/cm at 25 °C behind a number of ppm on a scale of 500, 640 or 700.

    Raises:
        ValueError: no such scale; or none said, with what the number would mean on each.
    """
    if not (isfinite(ppm) and ppm >= 0):
        raise ValueError(f"{shown(ppm)} ppm: a number that is not negative is needed")
    if scale is None:
        meanings = ", ".join(f"{ppm / one:.3g} mS/cm on the {one:d} scale" for one in PpmScale)
        raise ValueError(
            f"{ppm:g} ppm means nothing without its scale ({meanings}): say which the meter "
            "uses, or give mS/cm"
        )
    return ppm / _scale(scale)


def _scale(scale: int) -> PpmScale:
    try:
        return PpmScale(scale)
    except ValueError:
        raise ValueError(
            f"{shown(scale)} is no ppm scale: 500, 640 and 700 ppm for 1 mS/cm are in use; "
            "the meter's manual says which it has"
        ) from None


def _conductivity(ms_per_cm: float) -> float:
    if not (isfinite(ms_per_cm) and ms_per_cm >= 0):
        raise ValueError(f"{shown(ms_per_cm)} mS/cm: a number that is not negative is needed")
    return ms_per_cm


def _growth(water_c: float, alpha_per_k: float) -> float:
    """Conductivity at a temperature as a multiple of that at 25 °C: 0.25 at the least."""
    if not WATER_C_MIN <= water_c <= WATER_C_MAX:
        raise ValueError(
            f"{shown(water_c)} °C: the linear law holds for water from "
            f"{WATER_C_MIN:g} to {WATER_C_MAX:g} °C"
        )
    if not 0 <= alpha_per_k <= 0.03:
        raise ValueError(
            f"{shown(alpha_per_k)} a kelvin: no salt in water has more than 0.03, or less than 0"
        )
    return 1 + alpha_per_k * (water_c - REFERENCE_C)
