"""Numbers that somebody has written with a unit, turned into the unit of their key.

Factors are exact, by the units' definitions: the foot and the inch by the international yard and
pound agreement of 1959 (from memory). A unit that means several amounts, as a gallon does, or one
that the key has nothing to do with, is not turned into anything.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

_LENGTHS_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
_VOLUMES_ML = {"ml": 1.0, "l": 1000.0}
_POWERS_W = {"w": 1.0, "kw": 1000.0}
_STRENGTHS_MS_PER_CM = {"ms/cm": 1.0, "µs/cm": 0.001, "us/cm": 0.001}
_PERCENT = {"%": 1.0}
_CELSIUS = {"°c": 1.0, "c": 1.0}
_DEGREES = {"°": 1.0}


def _in(units: Mapping[str, float], own: str) -> dict[str, float]:
    return {unit: factor / units[own] for unit, factor in units.items()}


# By the key's name, or how it ends: the units that may be meant, each with its factor.
_KEYS: tuple[tuple[str, Mapping[str, float]], ...] = (
    ("_l_per_h", {"l/h": 1.0, "l/min": 60.0}),
    ("_ml_per_min", {"ml/min": 1.0}),
    ("_ms_per_cm", _STRENGTHS_MS_PER_CM),
    ("_l_per_day", {"l/day": 1.0, "l/d": 1.0, "l": 1.0}),
    ("_m_s", {"m/s": 1.0}),
    ("_per_m2", {"/m²": 1.0, "/m2": 1.0}),
    ("_per_month_kwh", {"kwh": 1.0}),
    ("_umol", {"µmol/m²/s": 1.0, "umol/m2/s": 1.0, "µmol": 1.0, "umol": 1.0}),
    ("_days", {"d": 1.0, "day": 1.0, "days": 1.0}),
    ("_mm", _in(_LENGTHS_MM, "mm")),
    ("_m", _in(_LENGTHS_MM, "m")),
    ("_ml", _in(_VOLUMES_ML, "ml")),
    ("_l", _in(_VOLUMES_ML, "l")),
    ("_c", _CELSIUS),
    ("_pct", _PERCENT),
    ("watts", _POWERS_W),
    ("watts_at_once", _POWERS_W),
    ("latitude", _DEGREES),
    ("longitude", _DEGREES),
    ("plants", {"plants": 1.0}),
    ("ppm_scale", {"ppm": 1.0}),
    ("reserve", {"%": 0.01}),
    ("light_share", {"%": 0.01}),
)


def in_unit_of(key: str, number: float, unit: str) -> float | None:
    """The number in the unit of a key; None where nobody can tell.

    Args:
        key: its name.
        number: as it was written.
        unit: what stood behind it; empty where nothing did.
    """
    if not unit:
        return number
    for ending, units in _KEYS:
        if key.endswith(ending):
            factor = units.get(unit.lower())
            return None if factor is None else number * factor
    return None
