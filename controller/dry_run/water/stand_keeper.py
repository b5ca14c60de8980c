"""Follows the roots of one stand through a run.

Changes of pump and lamps are only written down as they come. A part of the run during which
day, age and the reservoir's water stay the same is gone through when it is over: as far as
waterings fill even empty roots by what gaps between them did, see `quick_way`, the rest stretch
by stretch, see `stand_walk`.
"""

from __future__ import annotations

from bisect import bisect_left
from math import inf
from operator import sub
from typing import TYPE_CHECKING

from controller.core.units import day_number
from controller.dry_run.water.quick_way import QuickWay
from controller.dry_run.water.stand_days import DayBook
from controller.dry_run.water.stand_sum import StandSum
from controller.dry_run.water.stand_walk import StandWalk
from controller.dry_run.water.wanted_hours import WantedHours

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from controller.core.calendar import Calendar
    from controller.core.stands import StandFacts
    from controller.core.units import Instant
    from controller.dry_run.water.course import Course
    from controller.dry_run.water.dry_times import DryTimes
    from controller.dry_run.water.roots import Roots


class StandKeeper:
    """Keeps the account of one stand.

    Args:
        facts: the stand.
        course: what a plant of it wants, over the run.
        calendar: of the site.
        dates: the days of the run.
        day_ends: until when each of them counts.
        drawn: those of which the course of the roots is wanted.
        dry_times: when its reservoir gives nothing.
    """

    def __init__(
        self,
        facts: StandFacts,
        course: Course,
        *,
        calendar: Calendar,
        dates: Sequence[date],
        day_ends: Sequence[Instant],
        drawn: frozenset[date],
        dry_times: DryTimes,
    ) -> None:
        self._facts = facts
        self._course = course
        self._calendar = calendar
        self._day_ends = day_ends
        self._drawn = drawn
        self._dry_times = dry_times
        self._no_water_from = dry_times.for_good_from
        self._end = course.edges[-1]
        self._book = DayBook(dates)
        self._walk = StandWalk(self._book, reserve=facts.reserve, drawn=drawn, dry_times=dry_times)
        self._quick = QuickWay(
            self._walk,
            self._book,
            reserve=facts.reserve,
            thirstiest_ml_per_s=course.thirstiest_ml_per_s(),
        )
        self._age_end: Instant | float = inf
        # The part of the run under way, and what has changed in it.
        self._since = course.edges[0]
        self._until: Instant = self._since
        self._was_wet = self._is_wet = self._is_lit = False
        self._changes: list[Instant] = []
        self._lights: list[tuple[Instant, bool]] = []

    def begin(self, *, is_wet: bool, is_lit: bool) -> None:
        """The state of its pump and of its lamps at the start of the run."""
        self._was_wet = self._is_wet = is_wet and self._since < self._no_water_from
        self._is_lit = is_lit
        self._lights = [(self._since, is_lit)]
        self._come_of_age(self._since)
        self._walk.note_point(self._since, is_border=True)
        self._open_part()

    def wet(self, instant: Instant, *, is_wet: bool) -> None:
        """Its pump begins or ceases to move water, or is told once more that it does."""
        if is_wet is self._is_wet or (is_wet and instant >= self._no_water_from):
            return
        if instant >= self._until:
            self._close_parts(instant)
        self._is_wet = is_wet
        self._changes.append(instant)

    def wet_again(
        self, changes: Sequence[Instant], *, is_wet: bool, period_ms: int, times: int
    ) -> None:
        """In the period just over its pump began and ceased to move water at these instants; so it
        does as many times more, each time a period later. `is_wet` is what it did last."""
        shifts_ms = range(period_ms, (times + 1) * period_ms, period_ms)
        instants = [instant + shift_ms for shift_ms in shifts_ms for instant in changes]
        if instants[-1] >= self._no_water_from:
            for instant in instants:
                is_wet = not is_wet
                self.wet(instant, is_wet=is_wet)
            return
        done = 0
        while done < len(instants):
            self._close_parts(instants[done])
            until = bisect_left(instants, self._until, done)
            self._changes += instants[done:until]
            self._is_wet ^= bool((until - done) % 2)
            done = until

    def light(self, instant: Instant, *, is_lit: bool) -> None:
        """Its lamps are lit or go out."""
        if is_lit is self._is_lit:
            return
        if instant >= self._until:
            self._close_parts(instant)
        self._is_lit = is_lit
        self._lights.append((instant, is_lit))

    def finish(self) -> StandSum:
        """What the whole run did."""
        self._close_parts(self._end)
        walk, roots = self._walk, self._walk.roots
        return StandSum(
            book=self._book,
            stores=None if roots is None else roots.stores,
            below_s=[0.0, 0.0, 0.0] if roots is None else roots.below_s,
            stored_more_ml=[0.0, 0.0, 0.0]
            if roots is None
            else list(map(sub, roots.stored_ml, walk.sown_with_ml)),
            wet_ms=walk.wet_ms,
            courses={day: tuple(points) for day, points in walk.points.items()},
        )

    # The parts of a run

    def _open_part(self) -> None:
        """Finds how far the next part goes: until day, age or the reservoir's water change."""
        day_end = self._day_ends[len(self._book.closed)]
        dry_edge = self._dry_times.next_edge(self._since)
        self._until = int(min(day_end, self._age_end, dry_edge))

    def _close_parts(self, instant: Instant) -> None:
        while self._until <= instant and self._since < self._end:
            self._close_part()

    def _close_part(self) -> None:
        """Goes through the part that is over, and opens the next."""
        end, full_at = self._until, self._quick.full_at
        hours = WantedHours.of(
            self._course,
            start=self._since if full_at is None else full_at,
            end=end,
            lights=self._lights,
        )
        self._book.add_wanted(hours.wanted_ml(self._since))
        roots = self._walk.roots
        if roots is not None:
            self._pass(roots, hours, is_quick=self._may_be_quick())
        self._since, self._was_wet = end, self._is_wet
        self._changes.clear()
        is_day_end = end == self._day_ends[len(self._book.closed)]
        if is_day_end:
            self._book.close()
        if end in (self._end, self._age_end) or not self._may_be_quick():
            self._quick.catch_up(end, hours)
        if end == self._end:
            return
        if is_day_end:
            self._walk.note_point(end, is_border=True)
        if end == self._age_end:
            self._come_of_age(end)
        full_at = self._quick.full_at
        self._forget_lights(end if full_at is None else full_at)
        self._open_part()

    def _may_be_quick(self) -> bool:
        """Whether nothing but pump and lamps matters in the part from `_since` on."""
        is_drawn = self._book.day in self._drawn
        return not (is_drawn or self._dry_times.is_any(self._since))

    def _forget_lights(self, before: Instant) -> None:
        """Only what the lamps did from an instant on still matters."""
        lights = self._lights
        while len(lights) > 1 and lights[1][0] <= before:
            lights.pop(0)

    def _come_of_age(self, now: Instant) -> None:
        """Sows the plants, or lets them be a day older."""
        today = self._calendar.date_of(now)
        if self._facts.sown is not None:
            self._age_end = self._calendar.midnight(day_number(today) + 1)
        age_days = self._facts.age_days_on(today)
        if age_days is None:
            return
        stores = self._facts.stores_at(age_days)
        self._walk.grow(stores)
        self._quick.grow(stores)

    def _pass(self, roots: Roots, hours: WantedHours, *, is_quick: bool) -> None:
        """Carries the roots on to the end of a part."""
        walk, quick, changes = self._walk, self._quick, self._changes
        borders = [*changes, hours.edges[-1]]
        now, is_wet, place = self._since, self._was_wet, 0
        while True:
            if quick.full_at is not None:
                place += quick.go(quick.full_at, changes[place:], hours)
                if quick.full_at is None or place == len(changes):
                    return
                now, is_wet = quick.catch_up(self._since, hours), False
            until = borders[place]
            if is_quick and is_wet and quick.keeps_full and roots.are_full:
                is_full = True
                walk.stay_full(now, until)
            else:
                is_full = is_quick and is_wet and quick.surely_fills(until - now)
                walk.carry(now, until, hours, is_wet=is_wet)
            if place == len(changes):
                return
            now, is_wet, place = until, not is_wet, place + 1
            if is_full:
                quick.full_at = now
