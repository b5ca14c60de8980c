"""A stand's day on paper: what its waterings left for its roots; remembered, so that an edit costs
the stands that it concerns."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from controller.core.almanac import recalled
from controller.core.messages.json_text import json_bytes
from controller.core.units import SECOND_MS
from controller.dry_run.water.dry_times import DryTimes
from controller.dry_run.water.stand_keeper import StandKeeper
from web.paper.water_air import course_of, water_air

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterator, Sequence

    from controller.core.demand.present_air import AirFelt
    from controller.core.stands import StandFacts
    from controller.core.units import Instant
    from controller.dry_run.water.water_account import CoursePoint, StandAccount
    from web.paper.bands import Spells
    from web.paper.water_air import Stretch
    from web.paper.water_tank import Tank

# Days of stands that need not be followed again; one takes 10 kB at the most.
_KEPT_MAX = 800
_kept: OrderedDict[Hashable, StandDone] = OrderedDict()
_NEVER_DRY = DryTimes.none()
_COURSE_PARTS = 1_000


class Watered(NamedTuple):
    """What a stand hangs on: when its load waters and its lamps are lit, in ms after the start;
    its reservoir, if it has one; and whether the course of its roots is wanted."""

    facts: StandFacts
    room: AirFelt
    wet: Spells
    lit: Spells
    tank: Tank | None
    is_drawn: bool


class StandDone(NamedTuple):
    """What came of it. `course` is that of its roots as JSON text, `null` where it is not wanted:
    a list of [seconds after the start, low, likely, high], shares in thousandths."""

    account: StandAccount
    course: bytes


def stand_done(stretch: Stretch, watered: Watered) -> StandDone:
    """The stand through a time; of those whose plants are alike and watered alike one is
    followed."""
    facts = watered.facts
    alike = watered._replace(facts=facts.unnamed())
    done = recalled(_kept, (stretch, alike), lambda: _followed(stretch, alike), _KEPT_MAX)
    return done._replace(account=replace(done.account, name=facts.name, plants=facts.plants))


def _followed(stretch: Stretch, watered: Watered) -> StandDone:
    air = water_air(stretch)
    dates = [day.date for day in air.days]
    keeper = StandKeeper(
        watered.facts,
        course_of(stretch, watered.facts, watered.room),
        calendar=stretch.calendar,
        dates=dates,
        day_ends=air.day_ends,
        drawn=frozenset(dates) if watered.is_drawn else frozenset(),
        dry_times=_NEVER_DRY if watered.tank is None else watered.tank.dry_times,
    )
    keeper.begin(is_wet=_is_on_at_start(watered.wet), is_lit=_is_on_at_start(watered.lit))
    for after_ms, is_on, is_lamp in _changes(watered):
        instant = stretch.start + after_ms
        if instant >= stretch.end:  # what lasts until then ends with the run
            break
        if is_lamp:
            keeper.light(instant, is_lit=is_on)
        else:
            keeper.wet(instant, is_wet=is_on)
    done = keeper.finish()
    first, last = (stretch.calendar.date_of(at) for at in (stretch.start, stretch.end - 1))
    account = done.account(watered.facts, first=first, last=last)
    points = [point for day in dates for point in done.courses.get(day, ())]
    return StandDone(account, _course_text(points, stretch.start) if points else b"null")


def _is_on_at_start(spells: Spells) -> bool:
    return bool(spells) and spells[0][0] == 0


def _changes(watered: Watered) -> list[tuple[int, bool, bool]]:
    """Every change after the start, in time order: when, to what, and whether of the lamps."""
    changes = [*_edges(watered.wet, is_lamp=False), *_edges(watered.lit, is_lamp=True)]
    return sorted(changes)


def _edges(spells: Spells, *, is_lamp: bool) -> Iterator[tuple[int, bool, bool]]:
    for since, until in spells:
        if since:
            yield since, True, is_lamp
        yield until, False, is_lamp


def _course_text(points: Sequence[CoursePoint], start: Instant) -> bytes:
    """The course without the points between which nothing changes."""
    rows = [
        (
            (point.instant - start) // SECOND_MS,
            *(round(share * _COURSE_PARTS) for share in point.left_share),
        )
        for point in points
    ]
    told = [
        row
        for before, row, after in zip([None, *rows], rows, [*rows[1:], None], strict=False)
        if before is None or after is None or not before[1:] == row[1:] == after[1:]
    ]
    return json_bytes(told)
