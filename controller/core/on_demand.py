"""What a load's spans wish: those on demand by what its plants ask for, or else by the fixed
cycle; all others by their cycles."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.demand.awaited import AwaitedPace, awaited_pace
from controller.core.demand.pace import REVIEW_MS, pace_of, review_of
from controller.core.memory import LONG_AGO_MS
from controller.core.orders import Reason, Why
from controller.core.tuples import made
from controller.core.wish import Wish, by_timeline

if TYPE_CHECKING:
    from controller.core.demand.pace import Pace
    from controller.core.demand.signs import Signs
    from controller.core.memory import LoadMemory
    from controller.core.observation import Observation, Tick
    from controller.core.plan_parts.spans import DemandBounds
    from controller.core.schedule import LoadSchedule
    from controller.core.spans_in_force import Piece
    from controller.core.timeline import Timeline
    from controller.core.units import Instant


def by_spans(
    load: LoadSchedule,
    timeline: Timeline,
    memory: LoadMemory,
    seen: Observation,
    signs: Signs,
    *,
    why: Why,
    detail: str,
) -> Wish:
    """What a timeline says on a trusted clock, its spans on demand by what the plants on the load
    ask for, where their air is known.

    A rest counts from the end of the last watering that was worth the name, so that a
    person's trial of the pump puts nothing off; where nobody knows of one, it is over. So it is
    for a load that waits for its turn or for watts, however the pace changes meanwhile.

    Args:
        load: with its plants.
        timeline: of its own spans, or of a variant's.
        memory: the load's.
        seen: the world now.
        signs: what the demand goes by.
        why: whose spans they are; a hold is told as such, all else that is on demand as that.
        detail: the variant's name; empty for the load's own spans.
    """
    if not timeline.demands:
        return by_timeline(timeline, seen, why, detail)
    piece = timeline.piece_at(seen.now)
    bounds = timeline.demand_of(piece)
    if bounds is None:
        return by_timeline(timeline, seen, why, detail)
    pace: Pace | AwaitedPace | None
    pace = pace_of(load.drinkers, bounds, instant=seen.now, signs=signs)
    if pace is None and signs.awaited:
        pace = awaited_pace(
            load.drinkers, bounds, piece.cycle, memory, instant=seen.now, signs=signs
        )
    if pace is None:
        return _unasked(load, bounds, memory, seen, by_timeline(timeline, seen, why, detail))
    rested_ms = LONG_AGO_MS
    if memory.watered is not None:
        rested_ms = (memory.since if memory.is_on else seen.tick) - memory.watered
    is_on, change, watering_ms = _asked_for(pace, memory, seen.tick, rested_ms)
    ends = seen.now + change - seen.tick
    until, is_of_next_span = _end_told(timeline, piece, ends, is_on=is_on)
    if why is not Why.HOLD:  # which tells whose order it is
        why = Why.DEMAND
        detail = _words(
            pace, piece, memory, seen, is_on=is_on, until=until, is_of_next_span=is_of_next_span
        )
    look = min(seen.tick + min(ends, piece.end) - seen.now, _review_after(seen), signs.stands_until)
    if is_on:  # one that is cut short is measured by what was asked for
        piece = piece._replace(watering_ms=watering_ms)
    reason = made(Reason, (why, piece, detail, until))
    rests_until = None if is_on else change
    if not is_on and isinstance(pace, AwaitedPace):  # the plants have told nothing
        rests_until = memory.rests_until
    return made(Wish, (is_on, reason, look, rests_until))


def _asked_for(
    pace: Pace | AwaitedPace, memory: LoadMemory, tick: Tick, rested_ms: int
) -> tuple[bool, Tick, int]:
    """The state that the plants ask for, when it is over, and how long their watering lasts."""
    if memory.is_on:
        watering_ms = pace.watering_ms(rested_ms)
        ends = memory.since + watering_ms
        if tick < ends:
            return True, ends, watering_ms
        return False, tick + pace.rest_ms, watering_ms
    if memory.waits_since is None:
        ends = _rest_ends(pace, tick - rested_ms, memory.rests_until)
        if tick < ends:
            return False, ends, 0
    watering_ms = pace.watering_ms(rested_ms)
    return True, tick + watering_ms, watering_ms


def _rest_ends(pace: Pace | AwaitedPace, began: Tick, told: Tick | None) -> Tick:
    """When a rest ends that began at a tick: as the pace has it now, or as was told before where
    that is sooner. What roots drank in hotter air is gone, so no rest that runs is drawn out."""
    ends = began + pace.rest_ms
    if told is None:
        return ends
    # Another plan may have come meanwhile, with other bounds.
    return max(began + pace.bounds.shortest_rest_ms, min(ends, told))


def _end_told(
    timeline: Timeline, piece: Piece, ends: Instant, *, is_on: bool
) -> tuple[Instant | None, bool]:
    """When a state is over that a demand would end then, and whether the next span has it so: at
    its start a span with a cycle of its own takes over. None where no end is in sight."""
    if ends < piece.end:
        return ends, False
    following = timeline.look(piece.end)
    if timeline.demand_of(following.piece) is not None:
        return ends, False
    if following.is_on is not is_on:
        return piece.end, True
    return (following.until if following.is_change else None), True


def _words(
    pace: Pace | AwaitedPace,
    piece: Piece,
    memory: LoadMemory,
    seen: Observation,
    *,
    is_on: bool,
    until: Instant | None,
    is_of_next_span: bool,
) -> str:
    """Why a demand waters or rests for as long as it does, counted from where that began."""
    watered = memory.watered
    if is_on:
        began = memory.since if memory.is_on else seen.tick
    else:
        began = seen.tick if memory.is_on or watered is None else watered
    length_ms = None if until is None else until - seen.now + seen.tick - began
    if not is_on:
        return pace.rest_words(
            length_ms, usual_ms=piece.cycle.dry_gap_ms, is_of_next_span=is_of_next_span
        )
    # One that was on already when the controller began has no rest that anybody saw.
    rested_ms = None if watered is None or watered >= began else began - watered
    return pace.watering_words(length_ms, rested_ms=rested_ms, is_of_next_span=is_of_next_span)


def _review_after(seen: Observation) -> Tick:
    """When plants are asked again, whatever comes before."""
    return seen.tick + review_of(seen.now) + REVIEW_MS - seen.now


def _unasked(
    load: LoadSchedule,
    bounds: DemandBounds,
    memory: LoadMemory,
    seen: Observation,
    fixed: Wish,
) -> Wish:
    """The fixed cycle, while the air is not known or nothing grows: plants are sown at a midnight,
    when no cycle need change."""
    wish = _fixed_in_time(load, bounds, memory, seen, fixed)
    if any(one.is_sown(seen.now) for one in load.drinkers):
        return wish
    return wish._replace(look=min(wish.look, _review_after(seen)))


def _fixed_in_time(
    load: LoadSchedule,
    bounds: DemandBounds,
    memory: LoadMemory,
    seen: Observation,
    fixed: Wish,
) -> Wish:
    """The fixed cycle of a span on demand, and a watering before it where a rest that began on
    demand would else outlast both the longest rest and the cycle's own."""
    piece = fixed.reason.piece
    if piece is None:
        return fixed
    # Its waterings are measured by the cycle that gives them, and not by what a demand gives.
    fixed = fixed._replace(reason=fixed.reason._replace(piece=piece._replace(watering_ms=None)))
    gap_ms = piece.cycle.dry_gap_ms
    if fixed.is_on or gap_ms is None or memory.watered is None:
        return fixed
    overdue = memory.watered + max(bounds.longest_rest_ms, gap_ms)
    if not memory.is_on and seen.tick < overdue:
        if fixed.look <= overdue:
            return fixed
        until = seen.now + overdue - seen.tick
        return Wish(False, fixed.reason._replace(until=until), overdue)
    began = memory.since if memory.is_on else seen.tick
    watering_ms = piece.cycle.watering_ms or 0
    ends = began + min(watering_ms, load.longest_on_ms or watering_ms)
    if began < overdue or ends <= seen.tick:
        # Whether the watering that ends now was one, and the rest counts from here, is known when
        # it has ended; and a guard may draw it out.
        if fixed.look <= overdue:
            return fixed
        ended = began + load.shortest_on_ms if memory.is_on else seen.tick
        return fixed._replace(look=min(fixed.look, max(ended, seen.tick + 1)))
    until = seen.now + ends - seen.tick
    if fixed.reason.why is Why.HOLD:  # which tells whose order it is
        reason = fixed.reason._replace(until=until)
    else:
        reason = Reason(Why.RECOVERY, until=until)
    return Wish(True, reason, min(ends, fixed.look))
