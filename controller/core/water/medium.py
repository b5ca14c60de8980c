"""The water that roots and their medium still hold for one plant after the surplus has drained.

Few of these figures were ever measured for columns: where none was found, the range is wide
and says so. Nothing here tells how much air is left: a medium that holds more water holds
less of it.
"""

from __future__ import annotations

from typing import Literal

from controller.core.water.bounds import Bounds

Medium = Literal["expanded-clay", "mineral-wool", "bare-roots"]

# Water held after draining, mL in each mL of bulk medium.
#   Expanded clay: 0.15 typical, in pores and films; from memory, no measured value found.
#   Mineral wool: 80 % solution, 15 % air, 5 % fibre (a grower's source, weak); it cannot hold
#   more than the 0.94 of its pores (Frontiers in Plant Science 2014, article 625, table 4).
HELD_SHARE: dict[Medium, Bounds] = {
    "expanded-clay": Bounds(0.10, 0.15, 0.30),
    "mineral-wool": Bounds(0.70, 0.80, 0.90),
    "bare-roots": Bounds(0.0, 0.0, 0.0),
}
# Of that, what roots can draw at all: mineral wool lets go nearly everything at a low pull,
# fine pores of clay do not. Common practice, no source.
USABLE_SHARE: dict[Medium, Bounds] = {
    "expanded-clay": Bounds(0.5, 0.7, 0.9),
    "mineral-wool": Bounds(0.8, 0.9, 0.95),
    "bare-roots": Bounds(1.0, 1.0, 1.0),
}
# Of the water that comes down at a plant, what sinks in where there is room; the rest finds
# its way past. No source.
CAUGHT_SHARE: dict[Medium, Bounds] = {
    "expanded-clay": Bounds(0.2, 0.5, 0.9),
    "mineral-wool": Bounds(0.4, 0.7, 0.95),
    "bare-roots": Bounds(0.2, 0.5, 0.9),
}

# Fresh roots for each m² of leaf, g: leaves weigh some 1000 g/m² with their stalks, roots in
# solution 8 to 25 % of the shoot. From memory.
ROOT_G_PER_M2_LEAF = Bounds(80.0, 150.0, 250.0)
# Water that hangs between drained roots, mL/g of them: a bunch out of the water weighs half
# as much again and more. Common practice, no source.
HELD_ML_PER_ROOT_G = Bounds(0.3, 0.6, 1.0)
# Of their surface, what water runs down on; roots lie on each other. No source.
WETTED_SHARE = Bounds(0.1, 0.3, 0.6)
ROOT_DIAMETER_M = Bounds(0.3e-3, 0.4e-3, 0.5e-3)  # of lettuce's; from memory
ROOT_G_PER_M3 = 1.0e6  # roots weigh what water weighs
# Lumps of 8 to 16 mm fill 0.6 of a pot; common practice. Mineral wool keeps its films inside.
CLAY_DIAMETER_M = 0.012
CLAY_FILLED_SHARE = 0.6


def root_mass_g(leaf_area_m2: float) -> Bounds:
    """The fresh roots of a plant with that much leaf, g.

    What else is unknown of a plant's size is in this range already: roots grow with leaves,
    so a thirsty plant is not one with a small plant's roots.
    """
    return ROOT_G_PER_M2_LEAF.times(leaf_area_m2)


def held_by_medium_ml(medium: Medium, medium_ml: float) -> Bounds:
    """What the medium alone holds after draining, mL, whether roots can draw it or not.

    Args:
        medium: what the plant stands in.
        medium_ml: the volume of a plant's net pot or plug, 0 for bare roots.
    """
    return HELD_SHARE[medium].times(medium_ml)


def usable_ml(medium: Medium, *, medium_ml: float, leaf_area_m2: float) -> Bounds:
    """What one plant can draw after draining, mL: from its medium, and from between its roots.

    Args:
        medium: what it stands in.
        medium_ml: volume of its net pot or plug, mL; 0 for bare roots.
        leaf_area_m2: its likely leaf area; roots grow with it.
    """
    of_medium = _product(held_by_medium_ml(medium, medium_ml), USABLE_SHARE[medium])
    of_roots = _product(root_mass_g(leaf_area_m2), HELD_ML_PER_ROOT_G)
    return _sum(of_medium, of_roots)


def wetted_m2(medium: Medium, *, medium_ml: float, leaf_area_m2: float) -> Bounds:
    """The surface of roots and medium that water runs down on while it flows, m².

    Args as for `usable_ml`. Thin roots have more surface for their weight than thick ones.
    """
    roots = root_mass_g(leaf_area_m2).times(4.0 / ROOT_G_PER_M3)
    thickness = ROOT_DIAMETER_M
    surface = Bounds(
        roots.low / thickness.high, roots.likely / thickness.likely, roots.high / thickness.low
    )
    if medium == "expanded-clay":
        lumps_m2 = 6.0 * CLAY_FILLED_SHARE / CLAY_DIAMETER_M * medium_ml * 1e-6
        surface = _sum(surface, Bounds(lumps_m2, lumps_m2, lumps_m2))
    return _product(surface, WETTED_SHARE)


def _product(one: Bounds, other: Bounds) -> Bounds:
    return Bounds(one.low * other.low, one.likely * other.likely, one.high * other.high)


def _sum(one: Bounds, other: Bounds) -> Bounds:
    return Bounds(one.low + other.low, one.likely + other.likely, one.high + other.high)
