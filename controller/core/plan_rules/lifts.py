"""Rules about lifts: whose they are, what the pump can do, and the way up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_rules.rule import Found
from controller.core.plan_text import said
from controller.core.sentence import Sentence, joined
from controller.core.water.pump_curve import fault_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan
    from controller.core.plan_parts.water import Lift
    from controller.core.plan_text.place import Place

_LABEL = {"shut_off_head_m": "2.0", "free_flow_l_per_h": "1000"}  # with examples
# Friction is known for pipes of up to a relative roughness of 0.05, where Moody's chart ends.
_RELATIVE_ROUGHNESS_MAX = 0.05


def _lifts(plan: Plan) -> Iterator[tuple[Place, str, Lift]]:
    for name, load in plan.loads.items():
        if load.lift is not None:
            yield ("loads", name, "lift"), name, load.lift


def lifts_of_other_loads(plan: Plan) -> Iterator[Found]:
    """A lift of something that lifts no water."""
    for place, name, _ in _lifts(plan):
        kind = plan.loads[name].kind
        if kind != "pump":
            yield Found(
                "error",
                place,
                f"{name} is a {kind} and has a lift; allowed is one with a pump only",
                Sentence(
                    "delete ",
                    said.table(place),
                    ", or write it at the pump that lifts the water",
                ),
                (("loads", name, "kind"),),
            )


def curves_of_lifts(plan: Plan) -> Iterator[Found]:
    """A pump that is described neither by its label nor by a curve, by both, or by none that
    a pump can have."""
    for place, name, lift in _lifts(plan):
        stated = [key for key in _LABEL if getattr(lift, key) is not None]
        if lift.curve is not None and stated:
            listed = joined(" and ", (said.key((*place, key)) for key in stated))
            yield Found(
                "error",
                (*place, stated[0]),
                Sentence(
                    f"the lift of {name} has a curve and ", listed, "; allowed is one of the two"
                ),
                Sentence("delete ", listed, ": the curve says more"),
                ((*place, "curve"),),
            )
        elif lift.curve is None and len(stated) < len(_LABEL):
            yield _incomplete(place, name, [key for key in _LABEL if key not in stated])
        fault = None if lift.curve is None else fault_of(lift.curve)
        if fault is not None:
            yield Found(
                "error",
                (*place, "curve"),
                fault,
                Sentence(
                    "write it like ",
                    said.line((*place, "curve"), "[[1000, 0.0], [700, 1.0], [0, 2.0]]"),
                    said.in_file(", in L/h and m"),
                ),
            )


def _incomplete(place: Place, name: str, missing: list[str]) -> Found:
    """What is told of a pump's label of which a number is missing, or both."""
    return Found(
        "error",
        place,
        Sentence.of(
            "the lift of {name} has no {keys}; it needs both numbers of the pump's label, or a "
            "curve",
            name=name,
            keys=joined(" and no ", (said.key((*place, key)) for key in missing)),
        ),
        Sentence.of(
            "add {lines}, as the label says, or {curve}{equals} with the maker's points",
            lines=joined(" and ", (said.line((*place, key), _LABEL[key]) for key in missing)),
            curve=said.key((*place, "curve")),
            equals=said.in_file(" ="),
        ),
    )


def hoses_that_cannot_be(plan: Plan) -> Iterator[Found]:
    """A hose that does not reach the top, or whose wall is rougher than its bore allows."""
    for place, name, lift in _lifts(plan):
        if lift.hose_length_m < lift.height_m:
            yield Found(
                "error",
                (*place, "hose_length_m"),
                f"the hose of {name} is {lift.hose_length_m:g} m long and the outlet is "
                f"{lift.height_m:g} m above the water; allowed is {lift.height_m:g} m or more",
                "measure the way of the water from pump to outlet, bends and all",
                ((*place, "height_m"),),
            )
        most_mm = _RELATIVE_ROUGHNESS_MAX * lift.hose_bore_mm
        if lift.hose_roughness_mm > most_mm:
            yield Found(
                "error",
                (*place, "hose_roughness_mm"),
                Sentence(
                    said.key((*place, "hose_roughness_mm")),
                    f" is {lift.hose_roughness_mm:g} in a hose of {lift.hose_bore_mm:g} mm; "
                    f"allowed is 0 to {most_mm:g}, a twentieth of the bore",
                ),
                "leave it out for smooth plastic, or write 0.15 for old and rough walls",
                ((*place, "hose_bore_mm"),),
            )


def lifts_beyond_the_pump(plan: Plan) -> Iterator[Found]:
    """A column higher than the greatest lift of its pump."""
    for place, name, lift in _lifts(plan):
        heads_m = [point.head_m for point in lift.curve or ()]
        most_m = max(heads_m) if heads_m else lift.shut_off_head_m
        if most_m is not None and lift.height_m >= most_m:
            yield Found(
                "warning",
                (*place, "height_m"),
                f"{name} lifts water by {most_m:g} m at the most, and the outlet is "
                f"{lift.height_m:g} m above the water: nothing arrives at the top",
                "take a pump with a greater lift, or a lower column",
                (place,),
            )
