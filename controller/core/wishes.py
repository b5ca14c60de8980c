"""What a load would do if no guard objected: hold, recovery, clockless cycle, variant, plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.cycle import Cycle
from controller.core.demand.pace import REVIEW_MS, pace_of, review_of
from controller.core.memory import LONG_AGO_MS
from controller.core.orders import Reason, Why
from controller.core.tuples import made

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.demand.pace import Pace
    from controller.core.memory import Hold, LoadMemory
    from controller.core.observation import Observation, Tick
    from controller.core.plan_parts.spans import DemandBounds
    from controller.core.schedule import LoadSchedule
    from controller.core.timeline import Piece, Timeline
    from controller.core.units import Instant


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
    known: Mapping[str, float],
    untrusted_since: Tick,
    recovery_ms: int | None,
) -> Wish:
    """The wanted state of a load, by the highest authority below the guards.

    `known` has the fresh value of each sensor. `recovery_ms` is the length of the recovery
    watering whose turn it is, else None.
    """
    if memory.hold is not None:
        return _held(load, memory, memory.hold, seen, known)
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
        timeline = load.variant_timelines[memory.variant]
        wish = by_timeline(timeline, seen, Why.VARIANT, variant.name)
        return _on_demand(load, timeline, memory, seen, known, wish) if timeline.demands else wish
    return by_plan(load, memory, seen, known)


def by_plan(
    load: LoadSchedule, memory: LoadMemory, seen: Observation, known: Mapping[str, float]
) -> Wish:
    """What the load's own spans say, on a trusted clock."""
    wish = by_timeline(load.own, seen, Why.PLAN, "")
    return _on_demand(load, load.own, memory, seen, known, wish) if load.own.demands else wish


def _on_demand(
    load: LoadSchedule,
    timeline: Timeline,
    memory: LoadMemory,
    seen: Observation,
    known: Mapping[str, float],
    fixed: Wish,
) -> Wish:
    """What the plants on a load ask for, where its span is on demand and their air is known;
    else what the span's fixed cycle says.

    A rest counts from the end of the last watering that was worth the name, so that a
    person's trial of the pump puts nothing off; where nobody knows of one, it is over. So it is
    for a load that waits for its turn or for watts, however the pace changes meanwhile.
    """
    piece = fixed.reason.piece
    bounds = None if piece is None else timeline.demand_of(piece)
    if piece is None or bounds is None:
        return fixed
    rested_ms = LONG_AGO_MS
    if memory.watered is not None:
        rested_ms = (memory.since if memory.is_on else seen.tick) - memory.watered
    pace = pace_of(load.drinkers, bounds, instant=seen.now, known=known, rested_ms=rested_ms)
    if pace is None:
        return _fixed_in_time(load, bounds, memory, seen, fixed)
    if memory.is_on:
        change = memory.since + pace.watering_ms
    elif memory.waits_since is None:
        change = _rest_ends(pace, seen.tick - rested_ms, memory.reason, seen, fixed)
    else:
        change = seen.tick
    is_over = seen.tick >= change
    is_on = memory.is_on is not is_over
    if is_over:  # the next change is as far off as the pace has it now
        change = seen.tick + (pace.watering_ms if is_on else pace.rest_ms)
    ends = seen.now + change - seen.tick
    until, is_of_next_span = _end_told(timeline, piece, ends, is_on=is_on)
    if fixed.reason.why is Why.HOLD:  # which tells whose order it is
        why, detail = Why.HOLD, fixed.reason.detail
    else:
        why = Why.DEMAND
        detail = _words(
            pace, piece, memory, seen, is_on=is_on, until=until, is_of_next_span=is_of_next_span
        )
    review = review_of(seen.now) + REVIEW_MS
    look = seen.tick + min(ends, review, piece.end) - seen.now
    if is_on:  # one that is cut short is measured by what was asked for
        piece = piece._replace(watering_ms=pace.watering_ms)
    return Wish(is_on, Reason(why, piece, detail, until), look)


def _rest_ends(pace: Pace, began: Tick, told: Reason, seen: Observation, fixed: Wish) -> Tick:
    """When a rest ends that began at a tick: as the pace has it now, or as was told before where
    that is sooner. What roots drank in hotter air is gone, so no rest that runs is drawn out."""
    ends = began + pace.rest_ms
    of_same_hold = told.why is Why.HOLD is fixed.reason.why and told.detail == fixed.reason.detail
    if told.until is None or not (told.why is Why.DEMAND or of_same_hold):
        return ends
    # What was told may come sooner than it should: a clock has jumped, a hold was made longer.
    earliest = began + pace.bounds.shortest_rest_ms
    return max(earliest, min(ends, seen.tick + told.until - seen.now))


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
    pace: Pace,
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
    gap_ms = None if piece is None else piece.cycle.dry_gap_ms
    if fixed.is_on or piece is None or gap_ms is None or memory.watered is None:
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
        return fixed
    until = seen.now + ends - seen.tick
    if fixed.reason.why is Why.HOLD:  # which tells whose order it is
        reason = fixed.reason._replace(until=until)
    else:
        reason = Reason(Why.RECOVERY, until=until)
    return Wish(True, reason, min(ends, fixed.look))


def _held(
    load: LoadSchedule,
    memory: LoadMemory,
    hold: Hold,
    seen: Observation,
    known: Mapping[str, float],
) -> Wish:
    if isinstance(hold.order, Cycle):
        reason = Reason(Why.HOLD, detail=str(hold.order))
        wish = _by_ticks(hold.order, hold.began, reason, seen)
    elif not seen.is_clock_trusted:  # a variant's spans need the time of the day
        reason = Reason(Why.HOLD, detail=hold.order)
        wish = _by_ticks(load.without_clock, hold.began, reason, seen)
    else:
        place = next(i for i, variant in enumerate(load.variants) if variant.name == hold.order)
        timeline = load.variant_timelines[place]
        wish = by_timeline(timeline, seen, Why.HOLD, hold.order)
        if timeline.demands:
            wish = _on_demand(load, timeline, memory, seen, known, wish)
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


def by_timeline(timeline: Timeline, seen: Observation, why: Why, detail: str) -> Wish:
    """What a timeline says, its spans on demand by their fixed cycles, on a trusted clock."""
    piece, is_on, until, is_change = timeline.glance(seen.now)
    if piece.span < 0:
        why = Why.NO_SPAN
    reason = made(Reason, (why, piece, detail, until if is_change else None))
    # At a border of spans the reason changes even where the state does not.
    look = min(until, piece.end)
    return made(Wish, (is_on, reason, seen.tick + look - seen.now))
