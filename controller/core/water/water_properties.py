"""How heavy and how viscous water is, by its temperature.

A nutrient solution of a few grams a litre is heavier than water by some tenths of a percent:
far less than a pump's label is out by, so water stands for it.
"""

from __future__ import annotations

from typing import NamedTuple

GRAVITY_M_PER_S2 = 9.80665  # standard gravity: 3rd General Conference on Weights and Measures, 1901

WATER_C_MIN, WATER_C_MAX = 0.0, 50.0

# G. S. Kell, "Density, thermal expansivity, and compressibility of liquid water from 0° to
# 150 °C", J. Chem. Eng. Data 20 (1975) 97, equation 16; coefficients from memory, held to
# IAPWS-95 by the tests, from which it is 4 millionths away at most.
_KELL = (
    999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12,
)  # fmt: skip
_KELL_BELOW = 16.879850e-3

# IAPWS SR6-08(2011), "Supplementary Release on Properties of Liquid Water at 0.1 MPa",
# viscosity in µPa s by T / 300 K, −20 to 110 °C; coefficients from memory, held to the
# IAPWS formulation of 2008 by the tests, from which it is 30 millionths away at most.
_IAPWS = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))

_ZERO_C_K = 273.15


class Water(NamedTuple):
    """What friction and pressure need to know of water: kg/m³ and Pa s."""

    density_kg_per_m3: float
    viscosity_pa_s: float


def water_at(water_c: float) -> Water:
    """Water at a temperature.

    Args:
        water_c: 0 to 50 °C.

    Raises:
        ValueError: the temperature is outside of that.

    Source: `density_kg_per_m3`, `viscosity_pa_s`.
    """
    return Water(density_kg_per_m3(water_c), viscosity_pa_s(water_c))


def density_kg_per_m3(water_c: float) -> float:
    """The mass of a cubic metre of water at a temperature of 0 to 50 °C, to 0.01 kg.

    Raises:
        ValueError: the temperature is outside of that.

    Source: Kell 1975, equation 16.
    """
    _require_liquid(water_c)
    mass = 0.0
    for coefficient in reversed(_KELL):
        mass = mass * water_c + coefficient
    return mass / (1.0 + _KELL_BELOW * water_c)


def viscosity_pa_s(water_c: float) -> float:
    """The dynamic viscosity of water at a temperature of 0 to 50 °C, to 1 %.

    Raises:
        ValueError: the temperature is outside of that.

    Source: IAPWS SR6-08(2011).
    """
    _require_liquid(water_c)
    ratio = (water_c + _ZERO_C_K) / 300.0
    micro: float = sum(factor * ratio**power for factor, power in _IAPWS)
    return micro * 1e-6


def _require_liquid(water_c: float) -> None:
    if not WATER_C_MIN <= water_c <= WATER_C_MAX:
        raise ValueError(
            f"water of {water_c} °C is not reckoned with: state "
            f"{WATER_C_MIN:.0f} to {WATER_C_MAX:.0f} °C"
        )
