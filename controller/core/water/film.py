"""The film of water that runs down roots while a pump is on, and drains when it stops."""

from __future__ import annotations

from math import acos, cbrt, cos, inf, sqrt

from controller.core.water.water_properties import GRAVITY_M_PER_S2, water_at

ML_PER_M3 = 1e6
# Nutrient solution is not far from this; at 35 °C a film is a seventh thinner.
_WATER = water_at(20.0)
WATER_M2_PER_S = _WATER.viscosity_pa_s / _WATER.density_kg_per_m3

_MEETING_STEPS_MAX = 60
_MEETING_CLOSE = 1e-7  # of the time; Newton's error after such a step is its square


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


def film_lasts_s(
    film_ml: float, *, taken_ml: float = 0.0, drain_per_ml2_s: float, demand_ml_per_s: float
) -> float:
    """How long a film lasts that drains and is drunk from, s; infinity where nothing is drunk.

    It is gone when `film_left_ml` is what was drunk: V / √(1 + k V² t) = w + r t for its volume V,
    the demand r and what was drunk before, w = `taken_ml`. Of a film that nobody has drunk from
    yet that is h³ = (c / V)² h + k, with c³ = r and t = 1 / (c² h), whose one root above 0 is
    told by Cardano's formula.
    """
    if demand_ml_per_s <= 0.0:
        return inf
    if film_ml <= taken_ml:
        return 0.0
    if taken_ml > 0.0:
        return _meeting_s(film_ml, taken_ml, drain_per_ml2_s, demand_ml_per_s)
    root = cbrt(demand_ml_per_s)
    half, third = 0.5 * drain_per_ml2_s, (root / film_ml) ** 2 / 3.0
    apart = half * half - third * third * third
    if apart >= 0.0:  # one real root: two cubic roots, both above 0, whose product is `third`
        greater = cbrt(half + sqrt(apart))
        haste = greater + third / greater
    else:
        haste = 2.0 * sqrt(third) * cos(acos(half / (third * sqrt(third))) / 3.0)
    return 1.0 / (root * root * haste)


def _meeting_s(
    film_ml: float, taken_ml: float, drain_per_ml2_s: float, demand_ml_per_s: float
) -> float:
    """`film_lasts_s` of a film that was drunk from before.

    Newton's method, which cannot fail here: a draining film thins ever more slowly, so each
    tangent meets what is drunk too early, and the next one later. It begins where a film that
    was thick without end at first would be gone: that is soon forgotten.
    """
    thinning = drain_per_ml2_s * film_ml * film_ml
    length_s: float = drain_per_ml2_s ** (-1 / 3) * demand_ml_per_s ** (-2 / 3)
    for _ in range(_MEETING_STEPS_MAX):
        share = 1.0 + thinning * length_s
        left_ml = film_ml / sqrt(share)
        over_ml = left_ml - taken_ml - demand_ml_per_s * length_s
        before_s = length_s
        step_s = over_ml / (0.5 * thinning * left_ml / share + demand_ml_per_s)
        length_s = max(0.0, length_s + step_s)
        if abs(length_s - before_s) <= _MEETING_CLOSE * length_s:
            break
    return length_s
