"""What a load would do if no guard objected: hold, recovery, clockless cycle, variant, plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.cycle import Cycle
from controller.core.on_demand import by_spans
from controller.core.orders import Reason, Why
from controller.core.wish import Wish, by_ticks

if TYPE_CHECKING:
    from controller.core.demand.signs import Signs
    from controller.core.memory import Hold, LoadMemory
    from controller.core.observation import Observation, Tick
    from controller.core.schedule import LoadSchedule


def wish_of(
    load: LoadSchedule,
    memory: LoadMemory,
    seen: Observation,
    *,
    signs: Signs,
    untrusted_since: Tick,
    recovery_ms: int | None,
) -> Wish:
    """The wanted state of a load, by the highest authority below the guards.

    `signs` are what a demand goes by. `recovery_ms` is the length of the recovery watering
    whose turn it is, else None.
    """
    if memory.hold is not None:
        return held(load, memory, memory.hold, seen, signs)
    if recovery_ms is not None:
        done = (memory.since if memory.is_on else seen.tick) + recovery_ms
        # A turn that waits is over when it has waited for as long.
        waits = seen.tick if memory.waits_since is None else memory.waits_since
        look = done if memory.is_on else waits + recovery_ms
        return Wish(True, Reason(Why.RECOVERY, until=seen.now + done - seen.tick), look)
    if not seen.is_clock_trusted:
        return by_ticks(load.without_clock, untrusted_since, Reason(Why.WITHOUT_CLOCK), seen)
    if memory.variant >= 0:
        variant = load.variants[memory.variant]
        timeline = load.variant_timelines[memory.variant]
        return by_spans(load, timeline, memory, seen, signs, why=Why.VARIANT, detail=variant.name)
    return by_plan(load, memory, seen, signs)


def by_plan(load: LoadSchedule, memory: LoadMemory, seen: Observation, signs: Signs) -> Wish:
    """What the load's own spans say, on a trusted clock."""
    return by_spans(load, load.own, memory, seen, signs, why=Why.PLAN, detail="")


def held(
    load: LoadSchedule, memory: LoadMemory, hold: Hold, seen: Observation, signs: Signs
) -> Wish:
    """What a person's order says."""
    if isinstance(hold.order, Cycle):
        reason = Reason(Why.HOLD, detail=str(hold.order))
        wish = by_ticks(hold.order, hold.began, reason, seen)
    elif not seen.is_clock_trusted:  # a variant's spans need the time of the day
        reason = Reason(Why.HOLD, detail=hold.order)
        wish = by_ticks(load.without_clock, hold.began, reason, seen)
    else:
        place = next(i for i, variant in enumerate(load.variants) if variant.name == hold.order)
        timeline = load.variant_timelines[place]
        wish = by_spans(load, timeline, memory, seen, signs, why=Why.HOLD, detail=hold.order)
    if wish.look < hold.ends:
        return wish
    until = seen.now + hold.ends - seen.tick
    return wish._replace(reason=wish.reason._replace(until=until), look=hold.ends)
