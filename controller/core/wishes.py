"""What a load would do if no guard objected: hold, recovery, clockless cycle, variant, plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.cycle import Cycle
from controller.core.orders import Reason, Why

if TYPE_CHECKING:
    from controller.core.memory import Hold, LoadMemory
    from controller.core.observation import Observation, Tick
    from controller.core.schedule import LoadSchedule
    from controller.core.timeline import Timeline


class Wish(NamedTuple):
    """A wanted state, why, and the tick at which the wish must be asked for again."""

    is_on: bool
    reason: Reason
    look: Tick


def wish_of(
    load: LoadSchedule,
    memory: LoadMemory,
    seen: Observation,
    *,
    untrusted_since: Tick,
    recovery_ms: int | None,
) -> Wish:
    """The wanted state of a load, by the highest authority below the guards.

    `recovery_ms` is the length of the recovery watering whose turn it is, else None.
    """
    if memory.hold is not None:
        return _held(load, memory.hold, seen)
    if recovery_ms is not None:
        done = (memory.since if memory.is_on else seen.tick) + recovery_ms
        # A turn that waits is over when it has waited for as long.
        waits = seen.tick if memory.waits_since is None else memory.waits_since
        look = done if memory.is_on else waits + recovery_ms
        return Wish(True, Reason(Why.RECOVERY, until=seen.now + done - seen.tick), look)
    if not seen.is_clock_trusted:
        return _by_ticks(load.without_clock, untrusted_since, Reason(Why.WITHOUT_CLOCK), seen)
    if memory.variant >= 0:
        variant = load.variants[memory.variant]
        return _by_timeline(load.variant_timelines[memory.variant], seen, Why.VARIANT, variant.name)
    return by_plan(load, seen)


def by_plan(load: LoadSchedule, seen: Observation) -> Wish:
    """What the load's own spans say, on a trusted clock."""
    return _by_timeline(load.own, seen, Why.PLAN, "")


def _held(load: LoadSchedule, hold: Hold, seen: Observation) -> Wish:
    if isinstance(hold.order, Cycle):
        reason = Reason(Why.HOLD, detail=str(hold.order))
        wish = _by_ticks(hold.order, hold.began, reason, seen)
    elif not seen.is_clock_trusted:  # a variant's spans need the time of the day
        reason = Reason(Why.HOLD, detail=hold.order)
        wish = _by_ticks(load.without_clock, hold.began, reason, seen)
    else:
        place = next(i for i, variant in enumerate(load.variants) if variant.name == hold.order)
        wish = _by_timeline(load.variant_timelines[place], seen, Why.HOLD, hold.order)
    if wish.look < hold.ends:
        return wish
    until = seen.now + hold.ends - seen.tick
    return Wish(wish.is_on, wish.reason._replace(until=until), hold.ends)


def _by_ticks(cycle: Cycle, began: Tick, reason: Reason, seen: Observation) -> Wish:
    """A cycle that runs on the monotonic clock since a tick."""
    elapsed_ms = seen.tick - began
    is_on, change_ms = cycle.look_ms(elapsed_ms)
    if change_ms is None:
        return Wish(is_on, reason, seen.tick + _NO_CHANGE_MS)
    look = began + change_ms
    return Wish(is_on, reason._replace(until=seen.now + look - seen.tick), look)


# A wish without an end is asked for again after this long; nothing depends on it.
_NO_CHANGE_MS = 86_400_000


def _by_timeline(timeline: Timeline, seen: Observation, why: Why, detail: str) -> Wish:
    piece, is_on, until, is_change = timeline.glance(seen.now)
    if piece.span < 0:
        why = Why.NO_SPAN
    reason = Reason(why, piece, detail, until if is_change else None)
    # At a border of spans the reason changes even where the state does not.
    look = min(until, piece.end)
    return Wish(is_on, reason, seen.tick + look - seen.now)
