"""The film of water that runs down roots while a pump is on, and drains when it stops."""

from __future__ import annotations

from math import sqrt

from controller.core.water.water_properties import GRAVITY_M_PER_S2, water_at

ML_PER_M3 = 1e6
# Nutrient solution is not far from this; at 35 °C a film is a seventh thinner.
_WATER = water_at(20.0)
WATER_M2_PER_S = _WATER.viscosity_pa_s / _WATER.density_kg_per_m3


def draining_thickness_m(
    *, below_edge_m: float, drained_s: float, viscosity_m2_s: float = WATER_M2_PER_S
) -> float:
    """How thick the film on an upright surface is, so far below its upper edge; m.

    √(ν z / (g t)): it is the same however thick the film was, once it has drained for a while.

    Args:
        below_edge_m: distance below the upper edge, 0 or more.
        drained_s: how long the film has drained, above 0.
        viscosity_m2_s: kinematic viscosity of the liquid.

    Source: Jeffreys, The draining of a vertical plate, Mathematical Proceedings of the
    Cambridge Philosophical Society 26 (1930) 204-205.
    """
    return sqrt(viscosity_m2_s * below_edge_m / (GRAVITY_M_PER_S2 * drained_s))


def mean_draining_thickness_m(
    *, length_m: float, drained_s: float, viscosity_m2_s: float = WATER_M2_PER_S
) -> float:
    """The mean of `draining_thickness_m` over the uppermost `length_m`: two thirds of its last."""
    last_m = draining_thickness_m(
        below_edge_m=length_m, drained_s=drained_s, viscosity_m2_s=viscosity_m2_s
    )
    return 2.0 / 3.0 * last_m


def flowing_thickness_m(
    *, flow_m3_s: float, width_m: float, viscosity_m2_s: float = WATER_M2_PER_S
) -> float:
    """How thick a film is while water is fed to it, m: (3 ν q / g)^(1/3) for q = flow / width.

    Args:
        flow_m3_s: water fed, 0 or more.
        width_m: how wide the surface is, across the flow; above 0.
        viscosity_m2_s: kinematic viscosity of the liquid.

    Source: Nusselt, Die Oberflächenkondensation des Wasserdampfes, 1916: laminar film on an
    upright surface.
    """
    cube = 3.0 * viscosity_m2_s * flow_m3_s / (width_m * GRAVITY_M_PER_S2)
    return float(cube ** (1.0 / 3.0))


def flowing_film_ml(*, surface_m2: float, length_m: float, drip_ml_per_s: float) -> float:
    """What hangs on a surface as a film while so much water runs down on it, mL."""
    if surface_m2 <= 0.0:
        return 0.0
    thickness_m = flowing_thickness_m(
        flow_m3_s=drip_ml_per_s / ML_PER_M3, width_m=surface_m2 / length_m
    )
    return ML_PER_M3 * surface_m2 * thickness_m


def drain_per_ml2_s(*, surface_m2: float, length_m: float) -> float:
    """How fast a film on such a surface drains: k in 1/mL²/s, for `drained_ml`.

    From `mean_draining_thickness_m`: 1/V² = k t for the film's volume V, whatever it was at
    first; with a film of V₀ at t = 0, 1/V² = 1/V₀² + k t.
    """
    mean_m = mean_draining_thickness_m(length_m=length_m, drained_s=1.0)
    return 1.0 / (ML_PER_M3 * surface_m2 * mean_m) ** 2


def film_left_ml(film_ml: float, *, drain_per_ml2_s: float, drained_s: float) -> float:
    """What is left of a film after it has drained for so long, mL; never more than it was.

    Draining in two goes leaves what draining in one leaves. See `drain_per_ml2_s`.
    """
    return film_ml / sqrt(1.0 + drain_per_ml2_s * drained_s * film_ml * film_ml)
