"""How far roots can draw their water down before a plant suffers."""

from __future__ import annotations

from controller.core.water.bounds import Bounds
from controller.core.water.medium import Medium

# FAO-56, table 22: lettuce draws 0.30 of what its roots can reach before it suffers, at 5 mm
# a day; less on thirstier days, and within 0.1 to 0.8 (its footnote).
LETTUCE_DEPLETION = 0.30
_DEPLETION_PER_MM = 0.04
_DEPLETION_MIN, _DEPLETION_MAX = 0.1, 0.8
# "No water stress until 50 to 70 % depleted", of mineral wool: a grower's source, weak. Water
# in coarse media is drawn more easily than in soil, so the lower of it bounds the others.
_MINERAL_WOOL_DEPLETION = (0.5, 0.7)
_COARSE_DEPLETION_HIGH = 0.5


def depletion_before_stress(medium: Medium, *, transpired_mm_per_day: float) -> Bounds:
    """The share of the water in reach that a lettuce draws before it suffers.

    Args:
        medium: what it stands in.
        transpired_mm_per_day: what it transpires, mm a day over its lit area, 0 or more.

    Source: FAO-56, table 22 and its footnote, p + 0.04 (5 - ETc), for lettuce in soil; beyond
    it, see the constants.
    """
    in_soil = LETTUCE_DEPLETION + _DEPLETION_PER_MM * (5.0 - transpired_mm_per_day)
    in_soil = min(_DEPLETION_MAX, max(_DEPLETION_MIN, in_soil))
    if medium == "mineral-wool":
        return Bounds(in_soil, *_MINERAL_WOOL_DEPLETION)
    return Bounds(in_soil, in_soil, _COARSE_DEPLETION_HIGH)
