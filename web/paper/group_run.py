"""A day of some loads of a plan, carried out on paper as if the others were not there; what was
carried out before is remembered.

Whether the others may be left out is another question: see `web.paper.meetings`.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import count
from typing import TYPE_CHECKING, NamedTuple

from controller.core.orders import Why
from controller.core.units import MINUTE_MS
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.air import Air, air_of
from controller.dry_run.run import run
from web.paper.bands import BandKeeper, Spells

if TYPE_CHECKING:
    from collections.abc import Hashable
    from datetime import date

    from controller.core.plan import Site
    from controller.core.schedule import LoadSchedule, Schedule
    from controller.core.units import Instant
    from controller.dry_run.account import LoadAccount, Remark

_AIRS_MAX = 32
_LOOK_MS = 15 * MINUTE_MS
# Of loads, each of which holds on to its timelines: all that a board can have, twice.
_KNOWN_MAX = 120
# Spells over all runs that are kept: some 20 MB, enough for each day of a preview of every
# load that a board can have, before and after an edit.
_KEPT_SPELLS_MAX = 60_000


class Day(NamedTuple):
    """A local date, and when it begins and ends."""

    date: date
    start: Instant
    end: Instant


@dataclass(slots=True, eq=False)
class LoadDay:
    """What a load did on a day.

    Of `on`, those begin in `starts` (ms after the day's start) that a guard could have
    delayed. `told` is room for what is told of it.
    """

    account: LoadAccount
    on: Spells
    starts: tuple[int, ...]
    has_recovered: bool
    told: bytes | None = None


class GroupRun(NamedTuple):
    """What a group came to, by name in the plan's order."""

    loads: dict[str, LoadDay]
    remarks: tuple[Remark, ...]
    remarks_left_out: int


class _Memory:
    """Runs by what they follow from; of too many those that nobody asked for longest are let
    go."""

    def __init__(self) -> None:
        self._runs: OrderedDict[Hashable, GroupRun] = OrderedDict()
        self._spells = 0

    def recall(self, key: Hashable) -> GroupRun | None:
        """The run of a key, if it is kept."""
        found = self._runs.get(key)
        if found is not None:
            self._runs.move_to_end(key)
        return found

    def keep(self, key: Hashable, made: GroupRun) -> None:
        """Keeps a run."""
        self._runs[key] = made
        self._spells += _weight(made)
        while self._spells > _KEPT_SPELLS_MAX and len(self._runs) > 1:
            _, gone = self._runs.popitem(last=False)
            self._spells -= _weight(gone)


def _weight(made: GroupRun) -> int:
    return sum(20 + len(load.on) for load in made.loads.values())


_memory = _Memory()
_numbers = count()


@lru_cache(maxsize=_KNOWN_MAX)
def _number_of(_: Hashable) -> int:
    """A number for a value, the same one while it is remembered: a key that is quick to hash."""
    return next(_numbers)


@lru_cache(maxsize=_AIRS_MAX)
def air_on(site: Site, day: date) -> Air:
    """The air of a site's date."""
    return air_of(site, None, first=day, last=day)


@lru_cache(maxsize=_AIRS_MAX)
def warmest_on(site: Site, day: Day) -> float | None:
    """The warmest that a site's air is assumed to be on a day, °C, looked at each quarter of an
    hour; None where nothing is assumed."""
    series = air_on(site, day.date).series["air_temperature"]
    looks = (series.value_at(instant) for instant in range(day.start, day.end, _LOOK_MS))
    return max((look for look in looks if look is not None), default=None)


class Groups:
    """Groups of one schedule's loads, ready to be run on any day."""

    def __init__(self, schedule: Schedule) -> None:
        self._schedule = schedule
        plan = schedule.plan
        sensors = tuple((name, plan.sensors.get(name)) for name in schedule.sensors)
        self._around = _number_of((plan.site, plan.guards, plan.energy, sensors))
        self._loads = [
            _number_of(
                (
                    load.name,
                    plan.loads[load.name],
                    load.own,
                    load.variant_timelines,
                    load.drinkers,  # a load on demand does what its stands ask for
                )
            )
            for load in schedule.loads
        ]

    def run(self, day: Day, places: tuple[int, ...]) -> GroupRun:
        """The day of the loads at some places of the plan's list."""
        key = (self._around, day.start, *(self._loads[place] for place in places))
        known = _memory.recall(key)
        if known is None:
            known = _carried_out(self._part(places), day)
            _memory.keep(key, known)
        return known

    def _part(self, places: tuple[int, ...]) -> Schedule:
        schedule = self._schedule
        if len(places) == len(schedule.loads):
            return schedule
        loads = tuple(schedule.loads[place] for place in places)
        used = frozenset.union(*(load.sensors for load in loads))
        stop_switch = schedule.plan.guards.stop_switch
        return replace(
            schedule,
            loads=loads,
            places={load.name: place for place, load in enumerate(loads)},
            sensors={
                name: stale_after
                for name, stale_after in schedule.sensors.items()
                if name in used or name == stop_switch
            },
        )


def _carried_out(schedule: Schedule, day: Day) -> GroupRun:
    keeper, bands = AccountKeeper(schedule), BandKeeper(schedule)
    run(
        schedule,
        start=day.start,
        end=day.end,
        air=air_on(schedule.plan.site, day.date).series,
        script=None,
        listeners=(keeper, bands),
    )
    account = keeper.account
    loads = {
        load.name: LoadDay(
            account.loads[load.name],
            tuple(bands.on[place]),
            _starts(load, bands, place, day.start),
            bands.has_recovered[place],
        )
        for place, load in enumerate(schedule.loads)
    }
    return GroupRun(loads, account.remarks, account.remarks_left_out)


def _starts(load: LoadSchedule, bands: BandKeeper, place: int, start: Instant) -> tuple[int, ...]:
    """A load that the plan has on when the run begins is on since before."""
    as_planned = bands.first_reasons[place].why is Why.PLAN and load.own.state_at(start)
    return tuple(since for since, _ in bands.on[place] if since or not as_planned)
