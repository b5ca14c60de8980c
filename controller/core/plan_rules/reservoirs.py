"""Rules about reservoirs: who draws from them, and the order of their marks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_rules.rule import WATERERS, Found
from controller.core.plan_text import said
from controller.core.sentence import Sentence

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan
    from controller.core.plan_text.place import Place


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
                Sentence(said.leave_out(place)),
                (("loads", name, "kind"),),
            )
        elif load.reservoir not in plan.reservoirs:
            yield _unknown(place, load.reservoir, plan)


def _unknown(place: Place, name: str, plan: Plan) -> Found:
    from controller.core.plan_text.likely import likely_word

    tank = ("reservoirs", name)
    likely = likely_word(name, plan.reservoirs)
    return Found(
        "error",
        place,
        Sentence.of(
            "{reservoir} names {name}, and the plan has no {table}{known}",
            reservoir=said.key(place),
            name=name,
            table=said.table(tank),
            known=f"; its reservoirs are {', '.join(plan.reservoirs)}" if plan.reservoirs else "",
        ),
        f"did you mean {likely}?"
        if likely
        else Sentence.of(
            "add {table} with {full} and {inlet}",
            table=said.table(tank),
            full=said.line((*tank, "full_l"), "60"),
            inlet=said.line((*tank, "inlet_at_l"), "8"),
        ),
        (tank,),
    )


def marks_out_of_order(plan: Plan) -> Iterator[Found]:
    """A reservoir whose inlet is above its top-up mark, or that is full below either."""
    for name, tank in plan.reservoirs.items():
        place = ("reservoirs", name)
        full, inlet = (*place, "full_l"), (*place, "inlet_at_l")
        if tank.inlet_at_l >= tank.full_l:
            yield Found(
                "error",
                inlet,
                Sentence.of(
                    "{inlet} is {inlet_l} and {full} is {full_l}; allowed is less than {full}",
                    inlet=said.key(inlet),
                    inlet_l=f"{tank.inlet_at_l:g}",
                    full=said.key(full),
                    full_l=f"{tank.full_l:g}",
                ),
                "write the litres that are left when the pump begins to draw air",
                (full,),
            )
        elif tank.top_up_at_l is not None and not (
            tank.inlet_at_l <= tank.top_up_at_l < tank.full_l
        ):
            yield Found(
                "error",
                (*place, "top_up_at_l"),
                Sentence.of(
                    "{top_up} is {top_up_l}; allowed is from {inlet}, {inlet_l}, to less than "
                    "{full}, {full_l}",
                    top_up=said.key((*place, "top_up_at_l")),
                    top_up_l=f"{tank.top_up_at_l:g}",
                    inlet=said.key(inlet),
                    inlet_l=f"{tank.inlet_at_l:g}",
                    full=said.key(full),
                    full_l=f"{tank.full_l:g}",
                ),
                "write the litres that are left when somebody fills it up",
                (inlet, full),
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
                Sentence.of(
                    "write {line} in {table}, or delete it",
                    line=said.line(("loads", pumps[0], "reservoir"), f'"{name}"'),
                    table=said.table(("loads", pumps[0])),
                )
                if pumps
                else Sentence("delete ", said.table(("reservoirs", name))),
                tuple(("loads", one, "reservoir") for one in pumps),
            )
