"""Follows the roots of one stand stretch by stretch: the whole way, which always can be gone."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from controller.core.units import MINUTE_MS, SECOND_MS
from controller.dry_run.water.course import CORNERS
from controller.dry_run.water.roots import Roots
from controller.dry_run.water.stand_days import ordered
from controller.dry_run.water.water_account import CoursePoint

if TYPE_CHECKING:
    from datetime import date

    from controller.core.units import Instant
    from controller.core.water.root_store import RootStores
    from controller.dry_run.water.dry_times import DryTimes
    from controller.dry_run.water.stand_days import DayBook
    from controller.dry_run.water.wanted_hours import WantedHours

# A day that is drawn has a point so often, and at changes that are not closer than that.
POINTS_APART_MS = 10 * MINUTE_MS
POINTS_CLOSEST_MS = 20 * SECOND_MS


class StandWalk:
    """Asks the models at each change of the pump, cut where the demand changes.

    Args:
        book: where days are noted.
        reserve: what is to be left, as a share.
        drawn: days of which the course of the roots is wanted.
        dry_times: when the reservoir gives nothing.
    """

    def __init__(
        self, book: DayBook, *, reserve: float, drawn: frozenset[date], dry_times: DryTimes
    ) -> None:
        self._book = book
        self._reserve = reserve
        self._drawn = drawn
        self._dry_times = dry_times
        self.roots: Roots | None = None  # None before sowing
        self.sown_with_ml = [0.0, 0.0, 0.0]
        self.wet_ms = [0, 0, 0]
        self.points: dict[date, list[CoursePoint]] = {}

    def grow(self, stores: RootStores) -> None:
        """Sows the plants, or gives them the stores of another age."""
        if self.roots is None:
            self.roots = Roots(stores, self._reserve)
            self.sown_with_ml = self.roots.stored_ml
        else:
            self.roots.grow(stores)

    def carry(self, start: Instant, end: Instant, hours: WantedHours, *, is_wet: bool) -> None:
        """Carries the roots on, and notes it; pump, day and the reservoir's water stay the same."""
        roots = self.roots
        if roots is None:
            return
        place, now = hours.place_of(start), start
        are_wet = [is_wet and not self._dry_times.is_dry(one, start) for one in _PLACES]
        while now < end:
            border = int(min(end, hours.edges[place + 1], self._next_point(now)))
            demands = [rates[place] for rates in hours.corners]
            thirst_ml = roots.pass_time(border - now, demands_ml_per_s=demands, are_wet=are_wet)
            for corner, is_corner_wet in enumerate(are_wet):
                self._book.thirst_ml[corner] += thirst_ml[corner]
                self._book.note(corner, roots.left(corner, border))
                if is_corner_wet:
                    self.wet_ms[corner] += border - now
            now = border
            place += now == hours.edges[place + 1]
            self.note_point(now, is_border=now == hours.edges[-1])

    def stay_full(self, start: Instant, end: Instant) -> None:
        """Notes a watering of roots that are full already."""
        assert self.roots is not None, "only roots can be full"
        self.add_wet(end - start)
        for corner in _PLACES:
            self._book.note(corner, self.roots.left(corner, end))

    def add_wet(self, length_ms: int) -> None:
        """So much watering more, in every corner."""
        self.wet_ms = [wet_ms + length_ms for wet_ms in self.wet_ms]

    def add_below(self, corner: int, below_s: float) -> None:
        """So much longer less than the reserve was left."""
        assert self.roots is not None, "only roots can be dry"
        self.roots.below_s[corner] += below_s

    def fill(self) -> None:
        """Roots as wet as at the end of a long watering."""
        assert self.roots is not None, "only roots can be full"
        self.roots.fill()

    def catch_up(self, full_at: Instant, until: Instant, hours: WantedHours) -> None:
        """Carries roots that were full at an instant through a gap of which days know already
        what it left and lacked."""
        assert self.roots is not None, "only roots can be full"
        self.fill()
        place, now = hours.place_of(full_at), full_at
        while now < until:
            border = min(until, hours.edges[place + 1])
            demands = [rates[place] for rates in hours.corners]
            self.roots.pass_time(
                border - now, demands_ml_per_s=demands, are_wet=(False, False, False)
            )
            now, place = border, place + 1

    def note_point(self, now: Instant, *, is_border: bool) -> None:
        """The roots at an instant of a day that is drawn; surely at a border of the day."""
        day = self._book.day
        if day is None or day not in self._drawn or self.roots is None:
            return
        points = self.points.setdefault(day, [])
        is_border = is_border or now % POINTS_APART_MS == 0 or not points
        if is_border or now - points[-1].instant >= POINTS_CLOSEST_MS:
            shares = [self.roots.left(corner, now).share for corner in _PLACES]
            points.append(CoursePoint(now, ordered(shares)))

    def _next_point(self, now: Instant) -> Instant | float:
        if self._book.day not in self._drawn:
            return inf
        return now - now % POINTS_APART_MS + POINTS_APART_MS


_PLACES = range(len(CORNERS))
