"""What elbows, tees, valves and other fittings of small hoses take from the flow.

Each takes its loss coefficient K times the velocity head of the water in the hose. Sources
differ by a factor of two for one and the same elbow, so each is a range. Where a fitting is
narrower than the hose, as most are, K grows steeply: `barb_loss` tells how.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.water.bounds import Bounds

if TYPE_CHECKING:
    from collections.abc import Mapping


class Fitting(NamedTuple):
    """A fitting in words, its loss coefficient for the velocity in the hose, and its source."""

    meaning: str
    loss_coefficient: Bounds
    source: str


# The outlet's coefficient is the kinetic energy that leaves with the water: 1 by definition for
# an even flow, up to 1.1 in a turbulent pipe (F. M. White, Fluid Mechanics, section on the
# energy equation, kinetic-energy correction factor; from memory).
OUTLET = Bounds(1.0, 1.0, 1.1)

_DISCHARGE_LOW, _DISCHARGE_LIKELY, _DISCHARGE_HIGH = 0.6, 0.65, 0.8


def sudden_contraction(bore_ratio: float) -> float:
    """K of a sharp step from a bore to a smaller one, for the velocity in the smaller.

    `bore_ratio` is the smaller bore by the larger, more than 0 and at most 1.

    Source: Crane TP-410, appendix A, formula 1 with an angle of 180°: 0.5 (1 − β²).
    """
    return 0.5 * (1.0 - bore_ratio * bore_ratio)


def sudden_expansion(bore_ratio: float) -> float:
    """K of a sharp step from a bore to a larger one, for the velocity in the smaller.

    `bore_ratio` is the smaller bore by the larger, more than 0 and at most 1.

    Source: Borda and Carnot; Crane TP-410, appendix A, formula 3 with 180°: (1 − β²)².
    """
    return (1.0 - bore_ratio * bore_ratio) ** 2


def barb_loss(bore_ratio: float) -> float:
    """K of a short narrow piece in the hose, such as a barb, for the velocity in the hose:
    in by a sudden contraction, out by a sudden expansion.

    `bore_ratio` is the bore of the barb by that of the hose, more than 0 and at most 1.
    """
    of_barb = sudden_contraction(bore_ratio) + sudden_expansion(bore_ratio)
    return of_barb / bore_ratio**4


def outlet_holes_loss(*, hole_mm: float, hose_bore_mm: float, holes: int) -> Bounds:
    """K of a closed hose end with holes that all water leaves by, for the velocity in the
    hose, what is left of the velocity head included.

    Args:
        hole_mm: diameter of a hole, more than 0.
        hose_bore_mm: more than 0.
        holes: how many, 1 or more.

    Source: the flow through an orifice, Q = C A √(2 g h), with C from 0.6 (sharp) over 0.65
        to 0.8 (a short tube); from memory of any handbook of hydraulics.
    """
    area_ratio = (hose_bore_mm / hole_mm) ** 2 / holes
    low, likely, high = (
        (area_ratio / discharge) ** 2
        for discharge in (_DISCHARGE_HIGH, _DISCHARGE_LIKELY, _DISCHARGE_LOW)
    )
    return Bounds(low, likely, high)


# Three published families for 1/2 in., at Reynolds numbers of 5,000 to 20,000, computed with
# the package fluids 1.3.1 (tests/published/test_pipe_fittings.py): Crane TP-410 (2009), K as a
# multiple of the fully turbulent friction factor; W. B. Hooper, Chem. Eng. 88 (1981) 96, 2-K;
# R. Darby, Chemical Engineering Fluid Mechanics (2001), 3-K.
_THREE = "Crane TP-410, Hooper 1981 (2-K) and Darby 2001 (3-K) for 1/2 in."
# F. M. White, Fluid Mechanics, table 6.5, screwed fittings of 1/2 in.; from memory.
_WHITE = "; White, Fluid Mechanics, table 6.5 (from memory)"

FITTINGS: Mapping[str, Fitting] = {
    "elbow": Fitting("a sharp bend of 90°", Bounds(0.75, 1.2, 2.0), _THREE + _WHITE),
    "elbow_45": Fitting("a sharp bend of 45°", Bounds(0.35, 0.5, 0.75), _THREE),
    "bend": Fitting(
        "a wide bend of 90°, the hose itself led round a corner",
        Bounds(0.35, 0.5, 0.8),
        "Darby 2001 (3-K) and Hooper 1981 (2-K), elbows of r/D 1.5 to 6",
    ),
    "tee_through": Fitting("a tee, straight on", Bounds(0.3, 0.6, 0.9), _THREE + _WHITE),
    "tee_branch": Fitting("a tee, round the corner", Bounds(1.5, 1.9, 2.4), _THREE + _WHITE),
    "valve": Fitting(
        "a ball valve, fully open; the high value has a narrowed bore",
        Bounds(0.07, 0.15, 0.6),
        "Crane TP-410 and Darby 2001 (3-K); Hooper 1981 for a reduced bore",
    ),
    "gate_valve": Fitting("a gate valve, fully open", Bounds(0.2, 0.25, 0.4), _THREE),
    "globe_valve": Fitting("a globe valve, fully open", Bounds(8.5, 10.0, 14.0), _THREE + _WHITE),
    "check_valve": Fitting("a swing check valve", Bounds(2.5, 3.0, 5.1), _THREE + _WHITE),
    "entrance": Fitting(
        "the open end of a hose that water enters by (a pump's own is in its curve)",
        Bounds(0.5, 0.6, 1.0),
        "Crane TP-410: 0.5 sharp, 0.78 inward projecting; Rennels and Hudson 2012: 0.57 sharp",
    ),
    "exit": Fitting("the open end at the top", OUTLET, "Crane TP-410: 1.0"),
    "barb": Fitting(
        "a hose barb or coupling, 70 to 85 % as wide as the hose",
        Bounds(barb_loss(0.85), barb_loss(0.77), barb_loss(0.70)),
        "Crane TP-410, sudden contraction and expansion; the widths: common practice, no source",
    ),
    "reducer": Fitting(
        "a step down to the hose from a pipe that it is 65 to 80 % as wide as",
        Bounds(sudden_contraction(0.8), sudden_contraction(0.72), sudden_contraction(0.65)),
        "Crane TP-410, sudden contraction; the widths: common practice, no source",
    ),
    "strainer": Fitting(
        "a clean strainer; one that clogs has no highest value",
        Bounds(1.0, 2.0, 4.0),
        "from memory; Crane TP-410 has 75 fT, 1.9, for a hinged foot valve with strainer",
    ),
    "drip_manifold": Fitting(
        "a closed ring or stub with holes, together as wide as the hose; counts as the outlet",
        outlet_holes_loss(hole_mm=1.0, hose_bore_mm=1.0, holes=1),
        "flow through an orifice (`outlet_holes_loss`); the width: common practice, no source",
    ),
}

_OUTLETS = ("exit", "drip_manifold")


def total_loss(
    fittings: Mapping[str, int] | None = None, loss_coefficient: float | None = None
) -> Bounds:
    """The loss coefficient of all fittings together, the outlet at the top included once.

    Args:
        fittings: how many of each, by the names in `FITTINGS`, 0 or more.
        loss_coefficient: the sum for everything that `fittings` does not list, the outlet
            included; 0 or more. Without it the outlet is added, unless `fittings` lists one.

    Raises:
        ValueError: a fitting of another name, or a number below 0.
    """
    listed = fittings or {}
    for name, count in listed.items():
        if name not in FITTINGS:
            raise ValueError(f"there is no fitting {name!r}: choose from {', '.join(FITTINGS)}")
        if count < 0:
            raise ValueError(f"{count} of the fitting {name!r}: state 0 or more")
    if loss_coefficient is not None and not loss_coefficient >= 0.0:
        raise ValueError(f"a loss coefficient of {loss_coefficient}: state 0 or more")
    if loss_coefficient is not None:
        rest = Bounds(loss_coefficient, loss_coefficient, loss_coefficient)
    elif any(listed.get(name) for name in _OUTLETS):
        rest = Bounds(0.0, 0.0, 0.0)
    else:
        rest = OUTLET
    parts = [rest, *(FITTINGS[name].loss_coefficient.times(n) for name, n in listed.items())]
    low, likely, high = (sum(corner) for corner in zip(*parts, strict=True))
    return Bounds(low, likely, high)
