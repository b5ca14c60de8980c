"""Recurrence: a plan that does in each period what it did in the one before.

While nothing but cycles moves - no reading, no person, no border of spans - decisions are a
function of times that all lie as far apart as a period ago. So two states of the controller
that are alike but for one period of time are followed by alike ones, until something else
happens. Every answer here is a proof or a no: what is not surely alike is decided anew
(tests/property/test_recurrence.py).
"""

from __future__ import annotations

from itertools import repeat
from math import lcm
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from controller.core.cycle import Cycle
    from controller.core.memory import LoadMemory, Memory
    from controller.core.observation import Tick
    from controller.core.orders import Reason
    from controller.core.schedule import Schedule
    from controller.core.spans_in_force import Piece
    from controller.core.timeline import Timeline


class Rhythm(NamedTuple):
    """What the cycles in force have in common.

    Attributes:
        period_ms: after which all of them stand where they stood.
        settled_at: since when each of them is in a period like the next.
        alike_until: before which, as far as the plan and the memory tell, nothing but the
            cycles moves.
        steady: the places of the loads whose spans ask for one state; what a guard does to
            one of them has a rhythm of its own.
    """

    period_ms: int
    settled_at: Tick
    alike_until: Tick
    steady: frozenset[int]


def rhythm_of(schedule: Schedule, memory: Memory) -> Rhythm | None:
    """The rhythm of the loads after a decision; None where more than cycles decides, or where
    no load has a cycle."""
    if memory.recovery or not memory.is_clock_trusted or memory.down_since is not None:
        return None
    period_ms, settled_at, alike_until = 1, memory.tick, memory.sensor_look
    tick_less_now = memory.tick - memory.now
    steady = []
    for place, (load, its) in enumerate(zip(schedule.loads, memory.loads, strict=True)):
        if its.hold is not None:
            return None
        timeline = load.timeline_of(its.variant)
        piece = timeline.piece_at(memory.now)
        if timeline.demand_of(piece) is not None:
            return None
        border = piece.end + tick_less_now
        if its.variant >= 0:
            leaves = its.variant_since + load.variants[its.variant].at_least
            border = min(border, leaves) if leaves > memory.tick else border
        alike_until = min(alike_until, border)
        cycle = piece.cycle
        if cycle.steady is not None:
            if _is_coming_in_sight(timeline, piece, its.reason):
                return None
            steady.append(place)
        else:
            period_ms = lcm(period_ms, cycle.period_ms)
            settled_at = max(settled_at, piece.start + _unlike_ms(cycle) + tick_less_now)
            alike_until = min(alike_until, border - _longest_ms(cycle))
    if len(steady) == len(memory.loads):
        return None
    return Rhythm(period_ms, settled_at, alike_until, frozenset(steady))


def _unlike_ms(cycle: Cycle) -> int:
    """How long a cycle is not like itself a period later: its first state is cut short where the
    last one of its period runs on into it."""
    return cycle.period_ms if cycle.states[0] is cycle.states[-1] else 0


def _is_coming_in_sight(timeline: Timeline, piece: Piece, told: Reason) -> bool:
    """Whether a load of a steady span, told of no change to come, would be told of one if it were
    weighed later in the same piece: sight, see `Timeline`, moves on with time."""
    is_told_of_none = told.piece is not None and told.until is None
    return is_told_of_none and timeline.look(piece.end - 1).is_change


def _longest_ms(cycle: Cycle) -> int:
    """The longest state of a cycle: so long before a border one may be seen to last until then or
    beyond, and is told to end at another time than those before it."""
    return max(cycle.dry_gap_ms or 0, cycle.watering_ms or 0)


def recurs(before: Memory, after: Memory, rhythm: Rhythm) -> bool:
    """Whether a state of the controller is another one but for being a period later."""
    period_ms = rhythm.period_ms
    return (
        after.tick - before.tick == period_ms
        and after.now - before.now == period_ms
        and _without_times(after) == _without_times(before)
        and after.starts == tuple(start + period_ms for start in before.starts)
        and all(map(_follows, before.loads, after.loads, repeat(period_ms)))
        and all(before.loads[place] == after.loads[place] for place in rhythm.steady)
    )


def still_until(before: Memory, after: Memory) -> Tick:
    """Before which the loads that stood still for a period, see `recurs`, need no look."""
    of_loads = zip(before.loads, after.loads, strict=True)
    return min((its.look for then, its in of_loads if its == then), default=_NEVER)


def later(before: Memory, after: Memory, by_ms: int) -> Memory:
    """The state to which `after` leads in `by_ms` of whole periods, where it `recurs`; what has
    moved since `before` moves on, and what stood still does so."""
    return after._replace(
        now=after.now + by_ms,
        tick=after.tick + by_ms,
        starts=tuple(start + by_ms for start in after.starts),
        loads=tuple(
            its if its == then else _moved(its, by_ms, has_watered=its.watered != then.watered)
            for then, its in zip(before.loads, after.loads, strict=True)
        ),
    )


def wake_of(memory: Memory) -> Tick:
    """When the controller must be asked again at the latest, as its last decision said."""
    return min(memory.sensor_look, *(its.look for its in memory.loads))


def later_reason(reason: Reason, by_ms: int) -> Reason:
    """The reason that is given so much later for the same."""
    return reason if reason.until is None else reason._replace(until=reason.until + by_ms)


_NEVER: Tick = 10**15


def _without_times(memory: Memory) -> Memory:
    """What must be the same in both."""
    return memory._replace(now=0, tick=0, starts=(), loads=())


def _follows(then: LoadMemory, its: LoadMemory, period_ms: int) -> bool:
    """Whether a load stood still, or did what it will do again."""
    if its == then:
        return its.waits_since is None
    return its == _moved(then, period_ms, has_watered=its.watered != then.watered)


def _moved(its: LoadMemory, by_ms: int, *, has_watered: bool) -> LoadMemory:
    """A load's memory so much later; other than pumps, none keeps when it watered."""

    def moved(tick: Tick | None) -> Tick | None:
        return None if tick is None else tick + by_ms

    return its._replace(
        since=its.since + by_ms,
        look=its.look + by_ms,
        reason=later_reason(its.reason, by_ms),
        watered=moved(its.watered) if has_watered else its.watered,
        waits_since=moved(its.waits_since),
        flow_retry=moved(its.flow_retry),
    )
