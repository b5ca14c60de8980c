"""Follows the roots of one stand stretch by stretch: the whole way, which always can be gone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.units import MINUTE_MS, SECOND_MS
from controller.dry_run.water.course import CORNERS
from controller.dry_run.water.roots import Roots
from controller.dry_run.water.stand_days import ordered
from controller.dry_run.water.water_account import CoursePoint

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from controller.core.units import Instant
    from controller.core.water.root_stores import RootStores
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
        roots, edges = self.roots, hours.edges
        if roots is None:
            return
        place, now = hours.place_of(start), start
        is_drawn = self._book.day in self._drawn
        are_wet = [is_wet and not self._dry_times.is_dry(one, start) for one in _PLACES]
        for corner, is_corner_wet in enumerate(are_wet):
            self.wet_ms[corner] += is_corner_wet * (end - start)
        while now < end:
            border = min(end, edges[place + 1])
            if is_drawn:
                border = min(border, now - now % POINTS_APART_MS + POINTS_APART_MS)
            demands = [rates[place] for rates in hours.corners]
            thirst_ml = roots.pass_time(border - now, demands_ml_per_s=demands, are_wet=are_wet)
            now, place = border, place + (border == edges[place + 1])
            shares = self._note(now, thirst_ml)
            if is_drawn:
                self._note_point(now, shares, is_border=now == edges[-1])

    def stay_full(self, start: Instant, end: Instant) -> None:
        """Notes a watering of roots that are full already."""
        assert self.roots is not None, "only roots can be full"
        self.add_wet(end - start)
        self._note(end, _NOTHING)

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
        if self._book.day in self._drawn and self.roots is not None:
            self._note_point(now, self.roots.left_shares, is_border=is_border)

    def _note(self, now: Instant, thirst_ml: Sequence[float]) -> list[float]:
        """Tells the day under way what is left now, and what was lacked since it was last told;
        returns the shares that are left."""
        assert self.roots is not None, "nothing is left before sowing"
        book, wetness, shares = self._book, self.roots.wetness, self.roots.left_shares
        for corner in _PLACES:
            book.thirst_ml[corner] += thirst_ml[corner]
            book.note(corner, shares[corner], wetness[corner].held_ml, now)
        return shares

    def _note_point(self, now: Instant, shares: Sequence[float], *, is_border: bool) -> None:
        """A point of the day under way, unless it is too close to the one before."""
        day = self._book.day
        assert day is not None, "the last day is over"
        points = self.points.setdefault(day, [])
        is_border = is_border or now % POINTS_APART_MS == 0 or not points
        if is_border or now - points[-1].instant >= POINTS_CLOSEST_MS:
            points.append(CoursePoint(now, ordered(shares)))


_PLACES = range(len(CORNERS))
_NOTHING = (0.0, 0.0, 0.0)
