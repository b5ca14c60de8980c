"""Where groups of loads that were carried out apart would have got in each other's way.

Loads share what `[guards]` bounds - starts within a time, watts - and one line for recovery
waterings. A group that was run alone does what it would do in company, up to the first moment
at which a guard that sees all of them would have objected. So where no such moment is found,
apart and together are the same; where one is, those that meet in it must be run together.
"""

from __future__ import annotations

from collections import Counter, deque
from typing import TYPE_CHECKING

from controller.core.schedule import MICROWATTS_OF_A_WATT

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from web.paper.group_run import GroupRun


def meetings(schedule: Schedule, start: Instant, runs: Sequence[GroupRun]) -> list[frozenset[int]]:
    """The groups, by number, that meet on a day which begins at `start`."""
    if len(runs) == 1:
        return []
    guards = schedule.plan.guards
    found = [_in_line(runs)]
    if guards.starts_apart:
        found += _at_starts(runs, guards.starts_apart, guards.starts_together)
    if guards.watts_at_once is not None:
        watts_max = round(guards.watts_at_once * MICROWATTS_OF_A_WATT)
        found.append(_settled(schedule, start, runs, watts_max))
        found += _over_watts(schedule, runs, watts_max)
    return [met for met in found if len(met) > 1]


def joined(
    groups: Sequence[tuple[int, ...]], met: Iterable[frozenset[int]]
) -> list[tuple[int, ...]]:
    """The groups with those made one that meet, each in ascending order."""
    owner = list(range(len(groups)))

    def root(number: int) -> int:
        while owner[number] != number:
            number = owner[number]
        return number

    for numbers in met:
        first, *others = sorted(map(root, numbers))
        for other in others:
            owner[other] = first
    together: dict[int, list[int]] = {}
    for number, group in enumerate(groups):
        together.setdefault(root(number), []).extend(group)
    return [tuple(sorted(places)) for places in together.values()]


def _in_line(runs: Sequence[GroupRun]) -> frozenset[int]:
    """Recovery waterings are given one after the other."""
    return frozenset(
        number
        for number, run in enumerate(runs)
        if any(load.has_recovered for load in run.loads.values())
    )


def _at_starts(runs: Sequence[GroupRun], apart_ms: int, together: int) -> Iterator[frozenset[int]]:
    """More starts within the time than may be."""
    starts = sorted(
        (instant, number)
        for number, run in enumerate(runs)
        for load in run.loads.values()
        for instant in load.starts
    )
    window: deque[tuple[int, int]] = deque()
    for instant, number in starts:
        window.append((instant, number))
        while window[0][0] <= instant - apart_ms:
            window.popleft()
        if len(window) > together:
            yield frozenset(number for _, number in window)


def _settled(
    schedule: Schedule, start: Instant, runs: Sequence[GroupRun], microwatts_max: int
) -> frozenset[int]:
    """What the plan has on when the day begins, where that is more than there are watts for."""
    on = {load.name: load for load in schedule.loads if load.own.state_at(start)}
    if sum(load.microwatts for load in on.values()) <= microwatts_max:
        return frozenset()
    return frozenset(number for number, run in enumerate(runs) if on.keys() & run.loads.keys())


def _over_watts(
    schedule: Schedule, runs: Sequence[GroupRun], microwatts_max: int
) -> Iterator[frozenset[int]]:
    """More watts at once than may be. At one instant loads go off before others go on."""
    edges = sorted(
        (instant, is_on, number, schedule.loads[schedule.places[name]].microwatts)
        for number, run in enumerate(runs)
        for name, load in run.loads.items()
        for spell in load.on
        for instant, is_on in zip(spell, (True, False), strict=True)
    )
    microwatts = 0
    on: Counter[int] = Counter()
    for _, is_on, number, drawn in edges:
        microwatts += drawn if is_on else -drawn
        on[number] += 1 if is_on else -1
        if is_on and microwatts > microwatts_max:
            yield frozenset(one for one, many in on.items() if many)
