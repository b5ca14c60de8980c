"""What a decision is in the journal: a line for each notice, each order, and each load that has
left the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.journal_entry import Deed, Entry
from controller.core.orders import Why
from controller.core.words import sentence

if TYPE_CHECKING:
    from controller.core.memory import Memory
    from controller.core.observation import Observation
    from controller.core.orders import Notice, Order
    from controller.core.schedule import Schedule


class Left(NamedTuple):
    """A load that has left the plan, and the state that its line was left in."""

    load: str
    is_on: bool


def left_loads(old: Schedule, memory: Memory, new: Schedule) -> tuple[Left, ...]:
    """The loads whose state changes because they, or what they were, are gone from the plan.

    One of another kind that has the name now begins off, whatever the plan says for a stop.
    """
    left = []
    for load, its in zip(old.loads, memory.loads, strict=True):
        planned = new.plan.loads.get(load.name)
        if planned is not None and planned.kind == load.kind:
            continue
        state = planned is None and old.plan.loads[load.name].when_stopped == "on"
        if state is not its.is_on:
            left.append(Left(load.name, state))
    return tuple(left)


def noticed(seen: Observation, notice: Notice, *details: str) -> Entry:
    """The line of a notice, with what else there is to say of it; what is empty is left out."""
    return Entry(
        seen.now,
        seen.tick,
        seen.is_clock_trusted,
        notice.event.value,
        notice.subject,
        detail=", ".join(filter(None, details)),
    )


def left_alone(seen: Observation, left: Left) -> Entry:
    """The line of a load that has left the plan."""
    told = "It is no longer in the plan, and is left as the earlier plan says for a stop."
    return _of_load(seen, left.load, is_on=left.is_on, why=Why.PLAN, detail=told)


def switched(
    seen: Observation, order: Order, schedule: Schedule, *, late_ms: float | None
) -> Entry:
    """The line of an order, with its reason as a sentence."""
    told = sentence(
        order.reason,
        schedule.loads[schedule.places[order.load]],
        is_on=order.is_on,
        now=seen.now,
        calendar=schedule.calendar,
    )
    entry = _of_load(seen, order.load, is_on=order.is_on, why=order.reason.why, detail=told)
    return entry if late_ms is None else entry._replace(late_ms=round(late_ms, 3))


def _of_load(seen: Observation, load: str, *, is_on: bool, why: Why, detail: str) -> Entry:
    deed = Deed.SWITCHED_ON if is_on else Deed.SWITCHED_OFF
    return Entry(seen.now, seen.tick, seen.is_clock_trusted, deed.value, load, why.value, detail)
