"""Rules about reservoirs: who draws from them, and the order of their marks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_rules.rule import WATERERS, Found

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan


def reservoirs_that_are_not_there(plan: Plan) -> Iterator[Found]:
    """A load that draws from a reservoir which the plan does not have, or that draws none."""
    for name, load in plan.loads.items():
        if load.reservoir is None:
            continue
        place = ("loads", name, "reservoir")
        if load.kind not in WATERERS:
            yield Found(
                "error",
                place,
                f"{name} is a {load.kind} and has a reservoir; allowed is one with a "
                f"{' or '.join(WATERERS)} only",
                "delete reservoir",
                (("loads", name, "kind"),),
            )
        elif load.reservoir not in plan.reservoirs:
            known = f"; its reservoirs are {', '.join(plan.reservoirs)}" if plan.reservoirs else ""
            yield Found(
                "error",
                place,
                f"reservoir names {load.reservoir}, and the plan has no "
                f"[reservoirs.{load.reservoir}]{known}",
                _likely_reservoir(load.reservoir, plan)
                or f"add [reservoirs.{load.reservoir}] with full_l = 60 and inlet_at_l = 8",
                (("reservoirs", load.reservoir),),
            )


def _likely_reservoir(name: str, plan: Plan) -> str:
    from controller.core.plan_text.likely import likely_word

    likely = likely_word(name, plan.reservoirs)
    return f"did you mean {likely}?" if likely else ""


def marks_out_of_order(plan: Plan) -> Iterator[Found]:
    """A reservoir whose inlet is above its top-up mark, or that is full below either."""
    for name, tank in plan.reservoirs.items():
        place = ("reservoirs", name)
        if tank.inlet_at_l >= tank.full_l:
            yield Found(
                "error",
                (*place, "inlet_at_l"),
                f"inlet_at_l is {tank.inlet_at_l:g} and full_l is {tank.full_l:g}; allowed is "
                "less than full_l",
                "write the litres that are left when the pump begins to draw air",
                ((*place, "full_l"),),
            )
        elif tank.top_up_at_l is not None and not (
            tank.inlet_at_l <= tank.top_up_at_l < tank.full_l
        ):
            yield Found(
                "error",
                (*place, "top_up_at_l"),
                f"top_up_at_l is {tank.top_up_at_l:g}; allowed is from inlet_at_l, "
                f"{tank.inlet_at_l:g}, to less than full_l, {tank.full_l:g}",
                "write the litres that are left when somebody fills it up",
                ((*place, "inlet_at_l"), (*place, "full_l")),
            )


def reservoirs_that_nobody_uses(plan: Plan) -> Iterator[Found]:
    """A reservoir that no load draws from."""
    used = {load.reservoir for load in plan.loads.values()}
    for name in plan.reservoirs:
        if name not in used:
            pumps = [one for one, load in plan.loads.items() if load.kind in WATERERS]
            yield Found(
                "warning",
                ("reservoirs", name),
                f"no load draws from {name}: its water is not counted",
                f'write reservoir = "{name}" in [loads.{pumps[0]}], or delete it'
                if pumps
                else f"delete [reservoirs.{name}]",
                tuple(("loads", one, "reservoir") for one in pumps),
            )
