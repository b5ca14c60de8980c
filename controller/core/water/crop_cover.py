"""How much of the reference evaporation a crop takes: its basal crop coefficient, by leaf area.

Source: Allen, Pereira, Raes and Smith, Crop evapotranspiration, FAO Irrigation and Drainage
Paper 56, 1998; chapters 7 and 9, tables 12 and 17.
"""

from __future__ import annotations

from math import exp

from controller.core.water.bounds import Bounds

LIGHT_EXTINCTION = 0.7  # eq. 97: how fast light fades on its way through leaves
# At full cover. Table 17 has 0.90 for lettuce in mid-season. The higher value is eq. 99 for
# any crop that covers the ground, 1.0 + 0.1 h, with the h = 0.3 m that table 12 gives lettuce.
FULL_COVER_KCB = Bounds(0.90, 0.90, 1.03)


def leaf_area_index(leaf_area_m2: float, plants_per_m2: float) -> float:
    """Square metres of leaf on one of lit area, from a plant's leaf area and how many share it."""
    return leaf_area_m2 * plants_per_m2


def basal_coefficient(leaf_area_index: float, *, full_cover: float) -> float:
    """Kcb, what leaves transpire for each mm of reference evaporation; 0 to `full_cover`.

    Eq. 97 with Kc min = 0: its 0.15 to 0.20 is what bare soil evaporates, and there is none.
    """
    return full_cover * (1.0 - exp(-LIGHT_EXTINCTION * leaf_area_index))
