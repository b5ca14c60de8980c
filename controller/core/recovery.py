"""Recovery waterings: what roots get first when a watering was lost (rule 8)."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from controller.core.cycle import Cycle
    from controller.core.memory import LoadMemory
    from controller.core.observation import Observation, Tick
    from controller.core.schedule import LoadSchedule
    from controller.core.timeline import Timeline

# Clocks that a time service disciplines move by less than this without anybody's notice.
TOLERANCE_MS = 1_000
# Roots that are wetted without a break do not notice this long without water.
_BRIEF_MS = 60_000


def _timeline(load: LoadSchedule, memory: LoadMemory) -> Timeline:
    return load.variant_timelines[memory.variant] if memory.variant >= 0 else load.own


def _cycle(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> Cycle:
    """The cycle in force; a clock that is not trusted is not asked which that is."""
    if not seen.is_clock_trusted:
        return load.without_clock
    return _timeline(load, memory).piece_at(seen.now).cycle


def length_ms(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> int:
    """How long a recovery watering lasts: the longest that the cycle in force gives, within
    `longest_on`. 0 where the plan waters without end or not at all."""
    watering_ms = _cycle(load, memory, seen).watering_ms or 0
    return min(watering_ms, load.longest_on_ms or watering_ms)


def stands_until(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> Tick:
    """The tick at which `length_ms` becomes another one, unless a variant comes or goes."""
    return seen.tick + _timeline(load, memory).piece_at(seen.now).end - seen.now


def is_worth_the_name(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> bool:
    """Whether a watering that ends now counts as one: at least half of the shortest that
    the cycle gives that ordered it. (A person's ten-second trial of the pump does not wet
    roots.)"""
    return _is_enough(load, memory, seen, wet_ms=seen.tick - memory.since)


def _is_enough(load: LoadSchedule, memory: LoadMemory, seen: Observation, *, wet_ms: int) -> bool:
    piece = memory.reason.piece
    cycle = _cycle(load, memory, seen) if piece is None else piece.cycle
    planned_ms = 0 if cycle.steady is not None else cycle.shortest_ms(is_on=True) or 0
    return 2 * wet_ms >= min(planned_ms, load.longest_on_ms or planned_ms)


def was_left_dry(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> bool:
    """Whether roots have been dry for longer than the span's dry gap, also where the water
    is back by now."""
    if not load.waters or memory.watered is None or not seen.is_clock_trusted:
        return False
    timeline = _timeline(load, memory)
    # A rest that a span of longer rests began is as planned, though the next has come.
    began = seen.now - seen.tick + memory.watered
    gaps_ms = [timeline.piece_at(at).cycle.dry_gap_ms for at in (began, seen.now)]
    known_ms = [gap_ms for gap_ms in gaps_ms if gap_ms is not None]
    if len(known_ms) < len(gaps_ms):
        return False
    dry_until = memory.since if memory.is_on else seen.tick
    return dry_until - memory.watered > max(*known_ms, _BRIEF_MS) + TOLERANCE_MS


def is_needed(load: LoadSchedule, memory: LoadMemory, seen: Observation) -> bool:
    """Whether roots would stay dry for longer than the span's dry gap if the plan just went
    on from here: the time since the last watering, and the time until the next.

    Reaches further than an outage longer than the dry gap: a short one that swallowed the
    one watering of the hour counts as well, and so does a step of the clock.
    """
    if not load.waters or memory.watered is None or not seen.is_clock_trusted:
        return False
    piece, is_on, until, _ = _timeline(load, memory).look(seen.now)
    gap_ms = piece.cycle.dry_gap_ms
    if gap_ms is None or not length_ms(load, memory, seen):
        return False
    if memory.is_on:
        wet_ms = seen.tick - memory.since + (until - seen.now if is_on else 0)
        if _is_enough(load, memory, seen, wet_ms=wet_ms):
            return False
    dry_ms = seen.tick - memory.watered
    rest_ms = 0 if is_on else until - seen.now
    return dry_ms + rest_ms > gap_ms + TOLERANCE_MS
