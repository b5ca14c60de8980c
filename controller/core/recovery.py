"""Recovery waterings: what roots get first when a watering was lost (rule 8)."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.cycle import Cycle
from controller.core.guards import sees_no_flow
from controller.core.memory import Memory, Turn
from controller.core.spans_in_force import LOOK_DAYS
from controller.core.units import DAY_MS, Instant

if TYPE_CHECKING:
    from collections.abc import Iterable

    from controller.core.memory import LoadMemory
    from controller.core.observation import Observation, Tick
    from controller.core.schedule import LoadSchedule, Schedule
    from controller.core.timeline import Timeline

# Clocks that a time service disciplines move by less than this without anybody's notice.
TOLERANCE_MS = 1_000
# Roots that are wetted without a break do not notice this long without water.
_BRIEF_MS = 60_000
_FOR_EVER_MS = 10**15


def is_on_demand(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> bool:
    """Whether the plan waters on demand now, so that its cycle does not tell the next watering."""
    timeline = load.timeline_of(memory.variant)
    return timeline.demand_of(timeline.piece_at(seen.now)) is not None


def _cycle(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> Cycle:
    """The cycle in force; a clock that is not trusted is not asked which that is."""
    if not seen.is_clock_trusted:
        return load.without_clock
    return load.timeline_of(memory.variant).piece_at(seen.now).cycle


class _Watering(NamedTuple):
    """The end of a planned watering, and the cycle that gives it."""

    end: Instant
    cycle: Cycle


def _last_planned(timeline: Timeline, now: Instant) -> _Watering | None:
    """The last watering that the plan gave before the rest without an end in which it is
    now; None where it has been resting for longer than can be seen."""
    piece = timeline.piece_at(now)
    farthest = now - LOOK_DAYS * DAY_MS
    while piece.start > farthest:
        end = piece.start
        piece = timeline.piece_at(end - 1)
        if piece.cycle.state_at(end - 1 - piece.start):
            return _Watering(end, piece.cycle)
        rest_began = timeline.state_began(piece, end - 1)
        if rest_began > piece.start:
            return _Watering(rest_began, piece.cycle)
    return None


def length_ms(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> int:
    """How long a recovery watering lasts: the longest that the cycle in force gives, within
    `longest_on`; where the plan rests without an end, the longest of the cycle before. 0
    where the plan waters without an end or not at all."""
    cycle = _cycle(load, memory, seen)
    if cycle.steady is False and seen.is_clock_trusted:
        last = _last_planned(load.timeline_of(memory.variant), seen.now)
        cycle = cycle if last is None else last.cycle
    watering_ms = cycle.watering_ms or 0
    return min(watering_ms, load.longest_on_ms or watering_ms)


def stands_until(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> Tick:
    """The tick at which `length_ms` becomes another one, unless a variant comes or goes."""
    return seen.tick + load.timeline_of(memory.variant).piece_at(seen.now).end - seen.now


def is_worth_the_name(
    load: LoadSchedule, memory: LoadMemory, seen: Observation, *, is_as_asked: bool = False
) -> bool:
    """Whether a watering that ends now counts as one. (A person's ten-second trial of the
    pump does not wet roots, and neither does a pump that sees no flow.)"""
    meter = None if load.flow is None else seen.readings.get(load.flow)
    if meter is not None and sees_no_flow(load, memory, meter, seen.tick):
        return False
    return is_as_asked or _is_enough(load, memory, seen, wet_ms=seen.tick - memory.since)


def _is_enough(load: LoadSchedule, memory: LoadMemory, seen: Observation, *, wet_ms: int) -> bool:
    """Whether a watering of that length, which ends now, is half of what was to be given."""
    piece = memory.reason.piece
    if piece is not None and piece.watering_ms is not None:
        return 2 * wet_ms >= piece.watering_ms
    cycle = _cycle(load, memory, seen) if piece is None else piece.cycle
    if cycle.steady is not None:
        return True
    longest_ms, limit_ms = cycle.watering_ms or 0, load.longest_on_ms
    if 2 * wet_ms >= (longest_ms if limit_ms is None else min(longest_ms, limit_ms)):
        return True  # of whichever of its waterings it was
    into_ms = None
    if piece is not None and seen.is_clock_trusted:
        into_ms = seen.now - 1 - piece.start
    planned_ms = _planned_ms(cycle, into_ms)
    return 2 * wet_ms >= (planned_ms if limit_ms is None else min(planned_ms, limit_ms))


def _planned_ms(cycle: Cycle, into_ms: int | None) -> int:
    """How long the watering lasts in which a cycle is so long after its start; where it is in
    none then, or nobody knows where it is, the shortest that it gives."""
    if into_ms is not None and cycle.state_at(into_ms):
        _, ends_ms = cycle.look_ms(into_ms)
        return (ends_ms or 0) - cycle.segment_start_ms(into_ms)
    begins = [begin_ms for begin_ms, is_on in cycle.edges if is_on]
    return min((cycle.look_ms(begin_ms)[1] or 0) - begin_ms for begin_ms in begins)


def _planned_rest_ms(timeline: Timeline, start: Instant, end: Instant) -> int:
    """The longest rest, from watering to watering, that the plan has between two instants in
    spans that water not at all; 0 where there is no such span."""
    longest_ms = 0
    for piece in timeline.pieces(max(start, end - LOOK_DAYS * DAY_MS), end + 1):
        if piece.cycle.steady is not False:
            continue
        last = _last_planned(timeline, piece.start)
        if last is None:
            return _FOR_EVER_MS
        longest_ms = max(longest_ms, timeline.look(piece.start).until - last.end)
    return longest_ms


def was_left_dry(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> bool:
    """Whether roots have been dry for longer than planned, also where the water is back by
    now."""
    if not load.waters or memory.watered is None or not seen.is_clock_trusted:
        return False
    timeline = load.timeline_of(memory.variant)
    dry_until = memory.since if memory.is_on else seen.tick
    dry_ms = dry_until - memory.watered
    # A rest that a span of longer rests began is as planned, though the next has come.
    began = max(seen.now - seen.tick + memory.watered, seen.now - LOOK_DAYS * DAY_MS)
    gaps_ms = [timeline.dry_gap_ms(timeline.piece_at(at)) or 0 for at in (began, seen.now)]
    if dry_ms <= max(*gaps_ms, _BRIEF_MS) + TOLERANCE_MS:
        return False
    return dry_ms > _planned_rest_ms(timeline, began, seen.now) + TOLERANCE_MS


def is_needed(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> bool:
    """Whether roots would stay dry for longer than planned if the plan just went on from
    here: the time since the last watering, and the time until the next.

    Reaches further than an outage longer than the dry gap: a short one that swallowed the
    one watering of the hour counts as well, so does a step of the clock, and so does the
    loss of the last watering before a rest without an end.
    """
    if not load.waters or memory.watered is None or not seen.is_clock_trusted:
        return False
    timeline = load.timeline_of(memory.variant)
    if not length_ms(load, memory, seen):
        return False
    piece, is_on, until, _ = timeline.look(seen.now)
    if memory.is_on:
        wet_ms = seen.tick - memory.since + (until - seen.now if is_on else 0)
        if _is_enough(load, memory, seen, wet_ms=wet_ms):
            return False
    gap_ms = timeline.dry_gap_ms(piece)
    watered = seen.now - seen.tick + memory.watered
    if gap_ms is None:
        last = _last_planned(timeline, seen.now)
        return last is not None and _is_lost(last, watered)
    dry_ms = _next_watering(load, timeline, seen.now, watered=watered) - watered
    if dry_ms <= gap_ms + TOLERANCE_MS:
        return False
    return dry_ms > _planned_rest_ms(timeline, watered, seen.now) + TOLERANCE_MS


def _next_watering(
    load: LoadSchedule, timeline: Timeline, now: Instant, *, watered: Instant
) -> Instant:
    """When the plan next waters: now, while it does, unless that is the last bit of a watering
    whose greater part was lost."""
    piece, is_on, until, _ = timeline.look(now)
    if not is_on:
        return until
    began = timeline.state_began(piece, now)
    planned_ms = min(until - began, load.longest_on_ms or until - began)
    if watered >= began or 2 * (until - now) >= planned_ms:
        return now
    following = timeline.look(until)
    return now if following.is_on else following.until


def _is_lost(last: _Watering, watered: Instant) -> bool:
    """Whether roots were dry for too long already when a watering ended that they did not
    get: the long rest that follows is meant for roots that were wetted before it."""
    return last.end - watered > (last.cycle.dry_gap_ms or 0) + TOLERANCE_MS


def lined_up(
    schedule: Schedule, memory: Memory, seen: Observation, places: Iterable[int]
) -> Memory:
    """The memory in which those of some loads wait for a recovery watering whose roots would
    stay dry for too long: the driest first, behind those that have their turn already."""
    waiting = {turn.place for turn in memory.recovery}
    needy = [
        place
        for place in places
        if place not in waiting and is_needed(schedule.loads[place], memory.loads[place], seen)
    ]
    needy.sort(key=lambda place: (memory.loads[place].watered or 0, place))
    turns = (Turn(place, seen.tick) for place in needy)
    return memory._replace(recovery=(*memory.recovery, *turns)) if needy else memory
