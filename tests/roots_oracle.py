"""A stand's roots through a run, by the simplest way: every stretch, one after the other.

It asks `RootStore` for each stretch between any two moments at which something changes, and
keeps all of it; the keeper of the dry run leaves out what cannot matter, and must agree.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from controller.core.calendar import Calendar
from controller.core.stands import StandFacts
from controller.core.units import DAY_MS, Instant
from controller.core.water.root_store import RootStore, Wetness
from controller.dry_run.water.course import Course
from controller.dry_run.water.dry_times import DryTimes

Switching = Sequence[tuple[Instant, bool]]  # from each instant on; the first is the start


class Told(NamedTuple):
    """What became of one corner's roots: mL; s; least shares by day; mL kept at the end."""

    transpired_ml: float
    thirst_ml: float
    ran_off_ml: float
    came_ml: float
    below_s: float
    least: tuple[float | None, ...]
    stored_more_ml: float


def follow(
    corner: int,
    facts: StandFacts,
    course: Course,
    *,
    calendar: Calendar,
    pump: Switching,
    lamp: Switching,
    day_ends: Sequence[Instant],
    dry_times: DryTimes,
) -> Told:
    """The roots of that corner over the whole course."""
    start, end = course.edges[0], course.edges[-1]
    midnights = [
        calendar.midnight(number) for number in range(start // DAY_MS - 2, end // DAY_MS + 3)
    ]
    dry_edges, now = [], start
    while (edge := dry_times.next_edge(now)) < end:
        now = int(edge)
        dry_edges.append(now)
    moments = {*course.edges, *day_ends, *midnights, *dry_edges, *(at for at, _ in [*pump, *lamp])}
    cuts = sorted(moment for moment in moments if start <= moment <= end)
    sums = [0.0] * 5
    least: list[float | None] = [None] * len(day_ends)
    wetness: Wetness | None = None
    sown_with_ml = 0.0
    for since, until in pairwise(cuts):
        store = _store(corner, facts, calendar, since)
        if store is None:
            continue
        if wetness is None:
            wetness, sown_with_ml = store.drained, store.drained.stored_ml
        if wetness.held_ml > store.held_ml:
            wetness = Wetness(
                store.held_ml, wetness.sheet_ml + wetness.held_ml - store.held_ml, wetness.taken_ml
            )
        rates = course.lit if _state(lamp, since) else course.dark
        demand = rates.corners[corner][course.at(since)]
        length_s = (until - since) / 1000
        is_wet = _state(pump, since) and not dry_times.is_dry(corner, since)
        passage = (store.watered if is_wet else store.rested)(
            wetness, length_s=length_s, demand_ml_per_s=demand
        )
        sums[0] += passage.transpired_ml
        sums[1] += passage.thirst_ml
        sums[2] += passage.ran_off_ml
        sums[3] += store.drip_ml_per_s * length_s if is_wet else 0.0
        sums[4] += _below_s(store, wetness, demand, length_s, reserve=facts.reserve, is_wet=is_wet)
        wetness = passage.after
        day = next(place for place, day_end in enumerate(day_ends) if until <= day_end)
        share = store.left_share(wetness)
        before = least[day]
        least[day] = share if before is None else min(before, share)
    stored_ml = 0.0 if wetness is None else wetness.stored_ml
    transpired_ml, thirst_ml, ran_off_ml, came_ml, below_s = sums
    return Told(
        transpired_ml=transpired_ml,
        thirst_ml=thirst_ml,
        ran_off_ml=ran_off_ml,
        came_ml=came_ml,
        below_s=below_s,
        least=tuple(least),
        stored_more_ml=stored_ml - sown_with_ml,
    )


def _store(
    corner: int, facts: StandFacts, calendar: Calendar, instant: Instant
) -> RootStore | None:
    age_days = facts.age_days_on(calendar.date_of(instant))
    return None if age_days is None else facts.stores_at(age_days)[corner]


def _state(switching: Switching, instant: Instant) -> bool:
    return switching[bisect_right(switching, (instant, True)) - 1][1]


def _below_s(
    store: RootStore,
    wetness: Wetness,
    demand: float,
    length_s: float,
    *,
    reserve: float,
    is_wet: bool,
) -> float:
    """By stepping: for how long less than the reserve was left, to a fortieth."""
    act = store.watered if is_wet else store.rested
    after = act(wetness, length_s=length_s, demand_ml_per_s=demand).after
    if min(store.left_share(wetness), store.left_share(after)) >= reserve:
        return 0.0  # it rises or falls all through
    steps = 40
    below = 0
    for step in range(steps):
        at_s = length_s * (step + 0.5) / steps
        after = act(wetness, length_s=at_s, demand_ml_per_s=demand).after
        below += store.left_share(after) < reserve
    return length_s * below / steps
