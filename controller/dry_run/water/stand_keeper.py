"""Follows the roots of one stand through a run.

What the models say is asked at each change of pump and lamps, cut where the demand changes.
But most gaps need not be looked at one by one. Between two waterings that fill even empty
roots, a gap so short that no root falls to the reserve in it can only matter by being the
worst of its day: such gaps go into `Gaps`, and what the worst left is found when the day ends.
One that is not so short is looked at for the corners that it troubles, see `troubled_gaps`.
"""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from controller.core.units import MINUTE_MS, SECOND_MS, day_number
from controller.dry_run.water.course import CORNERS
from controller.dry_run.water.gaps import Gap, Gaps, least_left
from controller.dry_run.water.roots import Roots
from controller.dry_run.water.stand_days import DayBook, ordered
from controller.dry_run.water.stand_sum import StandSum
from controller.dry_run.water.troubled_gaps import below_while_filling_s, trouble_of
from controller.dry_run.water.water_account import CoursePoint

if TYPE_CHECKING:
    from array import array
    from collections.abc import Sequence
    from datetime import date

    from controller.core.calendar import Calendar
    from controller.core.stands import StandFacts
    from controller.core.units import Instant
    from controller.core.water.root_store import RootStore
    from controller.dry_run.water.course import Course
    from controller.dry_run.water.dry_times import DryTimes
    from controller.dry_run.water.troubled_gaps import Trouble

# A day that is drawn has a point so often, and at changes that are not closer than that.
POINTS_APART_MS = 10 * MINUTE_MS
POINTS_CLOSEST_MS = 20 * SECOND_MS

_MS_PER_S = 1000.0
_NEVER = inf
_SURELY = 1.0 + 1e-9  # beyond all errors of rounding


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
        self._edges = course.edges
        self._calendar = calendar
        self._day_ends = day_ends
        self._drawn = drawn
        self._dry_times = dry_times
        self._end = course.edges[-1]
        self._since = self._wanted_until = course.edges[0]
        self._place = 0  # of the hour of `_since`
        self._rates = course.dark.corners
        self._is_wet = self._is_lit = False
        self._roots: Roots | None = None  # None before sowing
        # Whether roots are full at `_since`, or were at the start of a gap that ended then. The
        # state of `_roots` is not kept up while either holds.
        self._is_full = False
        self._gap: tuple[Instant, Instant] | None = None
        self._gaps = Gaps()
        self._troubles: list[Trouble] = []  # of `_gap`
        self._book = DayBook(dates)
        self._points: dict[date, list[CoursePoint]] = {}
        self._sown_with_ml = [0.0, 0.0, 0.0]
        self._wet_ms = [0, 0, 0]
        self._day_end = day_ends[0]
        self._age_end: Instant | float = _NEVER
        self._quick_until: Instant | float = -inf
        self._fill_ms = inf
        self._thirstiest_ml_per_s = course.thirstiest_ml_per_s()
        self._safe_place, self._safe_ms = -1, 0.0

    def begin(self, *, is_wet: bool, is_lit: bool) -> None:
        """The state of its pump and of its lamps at the start of the run."""
        self._is_wet = is_wet and self._since < self._dry_times.for_good_from
        self._is_lit, self._rates = is_lit, self._rates_of(is_lit=is_lit)
        self._come_of_age(self._since)
        self._note_point(self._since)

    def wet(self, instant: Instant, *, is_wet: bool) -> None:
        """Its pump begins or ceases to move water."""
        is_wet = is_wet and instant < self._dry_times.for_good_from
        if is_wet is self._is_wet:
            return
        if not (self._kept_gap(instant) if is_wet else self._filled_up(instant)):
            self._pass(instant)
        self._is_wet = is_wet

    def light(self, instant: Instant, *, is_lit: bool) -> None:
        """Its lamps are lit or go out."""
        if is_lit is self._is_lit:
            return
        self._pass(instant)
        self._judge_gaps()
        self._book_wanted(instant)
        self._is_lit, self._rates = is_lit, self._rates_of(is_lit=is_lit)
        self._safe_place = -1

    def finish(self) -> StandSum:
        """What the whole run did."""
        self._pass(self._end)
        roots = self._roots
        return StandSum(
            book=self._book,
            stores=None if roots is None else roots.stores,
            below_s=[0.0, 0.0, 0.0] if roots is None else roots.below_s,
            stored_more_ml=[0.0, 0.0, 0.0]
            if roots is None
            else [
                after - before
                for after, before in zip(roots.stored_ml, self._sown_with_ml, strict=True)
            ],
            wet_ms=self._wet_ms,
            courses={day: tuple(points) for day, points in self._points.items()},
        )

    # The quick way

    def _kept_gap(self, instant: Instant) -> bool:
        """Whether the gap that ends began with full roots; then it is kept for the end of the
        day, and looked at now only for corners that it may have troubled."""
        if not self._is_full or instant >= self._quick_until:
            return False
        since, edges = self._since, self._edges
        first = last = self._place
        while edges[last + 1] < instant:
            last += 1
        length_ms = instant - since
        for place in range(first, last + 1):
            if length_ms > self._surely_lasts_ms(place):
                self._look_at(Gap(since, instant, first, last))
                break
        self._gaps.add(since, instant, first, last)
        self._gap, self._is_full = (since, instant), False
        self._since, self._place = instant, last + (edges[last + 1] == instant)
        return True

    def _surely_lasts_ms(self, place: int) -> float:
        """For how long full roots surely keep the reserve in that hour, even without a film."""
        if place != self._safe_place:
            assert self._roots is not None, "only roots can be full"
            self._safe_place = place
            self._safe_ms = min(
                self._roots.spare_ml(corner) / rates[place] * _MS_PER_S if rates[place] else inf
                for corner, rates in enumerate(self._rates)
            )
        return self._safe_ms

    def _look_at(self, gap: Gap) -> None:
        """Finds which corners the gap has troubled."""
        roots = self._roots
        assert roots is not None, "only roots can be full"
        for corner, (store, rates) in enumerate(zip(roots.stores, self._rates, strict=True)):
            thirstiest = max(rates[gap.first : gap.last + 1])
            if thirstiest * gap.length_ms > roots.spare_ml(corner) * _MS_PER_S:
                trouble = trouble_of(
                    corner,
                    gap,
                    store=store,
                    rates=rates,
                    edges=self._edges,
                    reserve=roots.reserve,
                )
                self._troubles.append(trouble)

    def _filled_up(self, instant: Instant) -> bool:
        """Whether the watering that ends has filled the roots, however dry they were."""
        length_ms = instant - self._since
        if self._gap is None or instant >= self._quick_until or length_ms < self._fill_ms:
            return False
        if self._troubles:
            self._book_troubles()
        self._wet_ms = [wet_ms + length_ms for wet_ms in self._wet_ms]
        self._gap, self._is_full = None, True
        self._since = instant
        while self._edges[self._place + 1] <= instant:
            self._place += 1
        return True

    def _book_troubles(self) -> None:
        """The gap that a watering has ended is over for good."""
        roots = self._roots
        assert roots is not None, "only roots can be troubled"
        for trouble in self._troubles:
            corner = trouble.corner
            self._book.note(corner, trouble.left)
            self._book.thirst_ml[corner] += trouble.thirst_ml
            roots.below_s[corner] += trouble.below_s + below_while_filling_s(
                trouble,
                store=roots.stores[corner],
                rates=self._rates[corner],
                edges=self._edges,
                place=self._place,
                reserve=roots.reserve,
            )
        self._troubles.clear()

    def _find_quick_until(self, now: Instant) -> Instant | float:
        """Until when the quick way is open: the next moment at which a day, the plants' age or
        the water of the reservoir changes."""
        if self._roots is None or self._book.day in self._drawn or self._dry_times.is_any(now):
            return -inf
        return min(self._day_end, self._age_end, self._dry_times.next_edge(now))

    # The whole way

    def _pass(self, until: Instant) -> None:
        """Carries the roots on to an instant."""
        if self._roots is not None and (self._is_full or self._gap is not None):
            self._roots.fill()
        self._is_full = False
        self._troubles.clear()  # it is all gone through again
        if self._gap is not None:
            start, end = self._gap
            self._gap = None
            self._run(start, end, is_wet=False)
        self._run(self._since, until, is_wet=self._is_wet)
        self._since = until
        self._is_full = self._is_wet and self._roots is not None and self._roots.are_full
        self._quick_until = self._find_quick_until(until)

    def _run(self, start: Instant, end: Instant, *, is_wet: bool) -> None:
        place = self._course.at(start)
        now = start
        while now < end:
            border = int(
                min(
                    end,
                    self._edges[place + 1],
                    self._day_end,
                    self._age_end,
                    self._dry_times.next_edge(now),
                    self._next_point(now),
                )
            )
            if self._roots is not None:
                self._piece(self._roots, now, border, place, is_wet=is_wet)
            now = border
            self._note_point(now)
            if now == self._day_end:
                self._end_day(now)
            if now == self._age_end:
                self._come_of_age(now)
            if now == self._edges[place + 1] and now < self._end:
                place += 1
        self._place = place

    def _piece(
        self, roots: Roots, start: Instant, end: Instant, place: int, *, is_wet: bool
    ) -> None:
        """A time over which demand and water stay the same."""
        are_wet = [
            is_wet and not self._dry_times.is_dry(corner, start) for corner in range(len(CORNERS))
        ]
        thirst_ml = roots.pass_time(
            end - start,
            demands_ml_per_s=[rates[place] for rates in self._rates],
            are_wet=are_wet,
        )
        for corner, is_corner_wet in enumerate(are_wet):
            self._book.thirst_ml[corner] += thirst_ml[corner]
            self._book.note(corner, roots.left(corner, end))
            if is_corner_wet:
                self._wet_ms[corner] += end - start

    def _end_day(self, now: Instant) -> None:
        self._judge_gaps()
        self._book_wanted(now)
        self._book.close()
        if now < self._end:
            self._day_end = self._day_ends[len(self._book.closed)]
            self._note_point(now)

    def _judge_gaps(self) -> None:
        """Finds what the gaps left that were kept until now."""
        gaps = self._gaps.take()
        if self._roots is None or not gaps:
            return
        for corner, (store, rates) in enumerate(zip(self._roots.stores, self._rates, strict=True)):
            self._book.note(corner, least_left(gaps, store, rates, self._edges))

    def _book_wanted(self, until: Instant) -> None:
        """Adds up what was wanted until now, in the light or the dark that there was."""
        now = self._wanted_until
        place = self._course.at(now)
        while now < until:
            end = min(until, self._edges[place + 1])
            length_s = (end - now) / _MS_PER_S
            for corner, rates in enumerate(self._rates):
                self._book.wanted_ml[corner] += rates[place] * length_s
            now, place = end, place + 1
        self._wanted_until = until

    def _come_of_age(self, now: Instant) -> None:
        """Sows the plants, or lets them be a day older."""
        today = self._calendar.date_of(now)
        if self._facts.sown is not None:
            self._age_end = self._calendar.midnight(day_number(today) + 1)
        age_days = self._facts.age_days_on(today)
        if age_days is None:
            return
        stores = self._facts.stores_at(age_days)
        if self._roots is None:
            self._roots = Roots(stores, self._facts.reserve)
            self._sown_with_ml = self._roots.stored_ml
        else:
            self._judge_gaps()
            self._roots.grow(stores)
        self._safe_place = -1
        self._fill_ms = max(
            _fill_ms(store, thirstiest)
            for store, thirstiest in zip(stores, self._thirstiest_ml_per_s, strict=True)
        )

    def _next_point(self, now: Instant) -> Instant | float:
        if self._book.day not in self._drawn:
            return _NEVER
        return now - now % POINTS_APART_MS + POINTS_APART_MS

    def _note_point(self, now: Instant) -> None:
        """The roots at an instant of a day that is drawn."""
        day = self._book.day
        if day is None or day not in self._drawn or self._roots is None:
            return
        points = self._points.setdefault(day, [])
        is_border = now % POINTS_APART_MS == 0 or now == self._day_end or not points
        if is_border or now - points[-1].instant >= POINTS_CLOSEST_MS:
            shares = [self._roots.left(corner, now).share for corner in range(len(CORNERS))]
            points.append(CoursePoint(now, ordered(shares)))

    def _rates_of(self, *, is_lit: bool) -> tuple[array[float], array[float], array[float]]:
        return (self._course.lit if is_lit else self._course.dark).corners


def _fill_ms(store: RootStore, demand_ml_per_s: float) -> float:
    """How long a watering surely fills even empty roots, while they drink so much."""
    gain_ml_per_s = store.caught_share * store.drip_ml_per_s - demand_ml_per_s
    if gain_ml_per_s <= 0.0:
        return inf
    return (store.held_ml + store.film_ml) / gain_ml_per_s * _MS_PER_S * _SURELY
