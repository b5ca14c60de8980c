"""The lamps over plants, where they are not as planned: a person or a sensor has them so."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.demand.pace import review_of
from controller.core.variants import variant_in_force
from controller.core.wishes import held

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.demand.signs import Signs
    from controller.core.memory import LoadMemory
    from controller.core.observation import Observation, Tick
    from controller.core.schedule import LoadSchedule, Schedule


class _Shown(NamedTuple):
    """Whether a lamp is lit, and the moment at which what has it so may end by itself."""

    is_lit: bool
    until: Tick | None


def signs_for(
    load: LoadSchedule,
    schedule: Schedule,
    loads: Sequence[LoadMemory],
    seen: Observation,
    signs: Signs,
) -> Signs:
    """What the plants on a load are asked by, the lamps over them included that a person holds or a
    sensor has another variant for: as they stand at the review, or where that is younger, at its
    beginning.

    Args:
        load: with its plants.
        schedule: where their lamps are; those that a part of a plan leaves out are as planned.
        loads: what is remembered of each load of the schedule.
        seen: the world now.
        signs: what the sensors say.
    """
    if not seen.is_clock_trusted:  # then nothing demands
        return signs
    lit: set[str] = set()
    dark: set[str] = set()
    until = signs.stands_until
    for lamp in load.lamps:
        place = schedule.places.get(lamp)
        shown = None
        if place is not None:
            shown = _shown(schedule.loads[place], loads[place], seen, signs)
        if shown is None:
            continue
        (lit if shown.is_lit else dark).add(lamp)
        if shown.until is not None:
            until = min(until, shown.until)
    if not (lit or dark):
        return signs
    return signs._replace(lit=frozenset(lit), dark=frozenset(dark), stands_until=until)


def _shown(lamp: LoadSchedule, its: LoadMemory, seen: Observation, signs: Signs) -> _Shown | None:
    """What a person or a sensor has a lamp do; None where its own spans have their way."""
    if its.hold is not None and seen.tick < its.hold.ends:
        then = _reviewed(seen, its.hold.began)
        return _Shown(held(lamp, its, its.hold, then, signs).is_on, its.hold.ends)
    if not lamp.variants:
        return None
    # The lamp itself may be weighed after this load.
    variant = variant_in_force(lamp, its, signs.known, awaited=signs.awaited, tick=seen.tick)
    if variant < 0:
        return None
    since = its.variant_since if variant == its.variant else seen.tick
    is_lit = lamp.variant_timelines[variant].state_at(_reviewed(seen, since).now)
    leaves = since + lamp.variants[variant].at_least
    return _Shown(is_lit, leaves if leaves > seen.tick else None)


def _reviewed(seen: Observation, since: Tick) -> Observation:
    """The moment of the last review, or where that was before `since`, of that."""
    tick = max(since, seen.tick + review_of(seen.now) - seen.now)
    return seen._replace(now=seen.now + tick - seen.tick, tick=tick)
