"""The quick way through a part of a run: as far as waterings fill even empty roots."""

from __future__ import annotations

from itertools import takewhile
from math import inf
from operator import sub
from typing import TYPE_CHECKING

from controller.dry_run.water.full_gaps import CornerGaps, FullGaps

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.units import Instant
    from controller.core.water.root_store import RootStore
    from controller.core.water.root_stores import RootStores
    from controller.dry_run.water.stand_days import DayBook
    from controller.dry_run.water.stand_walk import StandWalk
    from controller.dry_run.water.wanted_hours import WantedHours

_MS_PER_S = 1000.0
_SURELY = 1.0 + 1e-9  # beyond all errors of rounding


class QuickWay:
    """Goes from full roots to full roots, and tells days what gaps between them did.

    Attributes:
        full_at: since when a gap goes on that began with full roots; None: there is no such
            gap. While there is one the state of the roots is not kept up; days know what it
            did until the end of the last part.

    Args:
        walk: the same stand's whole way.
        book: where days are noted.
        reserve: what is to be left, as a share.
        thirstiest_ml_per_s: the highest demand of each corner in the run.
    """

    def __init__(
        self,
        walk: StandWalk,
        book: DayBook,
        *,
        reserve: float,
        thirstiest_ml_per_s: Sequence[float],
    ) -> None:
        self.full_at: Instant | None = None
        self._walk = walk
        self._book = book
        self._reserve = reserve
        self._thirstiest_ml_per_s = thirstiest_ml_per_s
        self._corners: list[CornerGaps] = []
        self._fill_ms = inf
        self._told_thirst_ml = [0.0, 0.0, 0.0]  # of the gap that goes on

    def grow(self, stores: RootStores) -> None:
        """Roots of that size from now on."""
        self._corners = [CornerGaps(store, reserve=self._reserve) for store in stores]
        self._fill_ms = max(map(_fill_ms, stores, self._thirstiest_ml_per_s))

    @property
    def keeps_full(self) -> bool:
        """Whether full roots stay so in a watering: more sinks in than is ever drunk."""
        return self._fill_ms < inf

    def surely_fills(self, length_ms: int) -> bool:
        """Whether a watering of that length fills roots however dry they are."""
        return length_ms >= self._fill_ms

    def go(self, full_at: Instant, changes: Sequence[Instant], hours: WantedHours) -> int:
        """Goes on from roots that are full at an instant as long as waterings fill them.

        Returns for how many of the changes, of which the first begins a watering, that was so.
        A gap that lasts until the end of the hours goes on; a watering that lasts until then,
        and fills them, leaves the roots full.
        """
        end = hours.edges[-1]
        ons, offs = changes[::2], changes[1::2]
        lengths_ms = [*map(sub, offs, ons)]
        if len(ons) > len(offs):
            lengths_ms.append(end - ons[-1])
        filling = len(lengths_ms)
        if lengths_ms and min(lengths_ms) < self._fill_ms:
            filling = sum(1 for _ in takewhile(self.surely_fills, lengths_ms))
        self._walk.add_wet(sum(lengths_ms[:filling]))
        starts = [full_at, *offs[:filling]]
        is_open = filling == len(offs) == len(ons)
        ends = [*ons, end] if is_open else ons[:filling]
        if ends:
            gaps = FullGaps.between(starts[: len(ends)], ends, is_open=is_open)
            self._tell(gaps, hours)
        if filling > len(offs):
            self._walk.fill()
            self.full_at = None
            return len(changes)
        self.full_at = starts[-1]
        return 2 * filling

    def catch_up(self, since: Instant, hours: WantedHours) -> Instant:
        """Makes the state of the roots known again.

        Returns when that state is: at `since`, which is where the last part ended, or where
        the gap that goes on began, if that is later.
        """
        if self.full_at is None:
            return since
        until = max(self.full_at, since)
        self._walk.catch_up(self.full_at, until, hours)
        self.full_at = None
        self._told_thirst_ml = [0.0, 0.0, 0.0]
        return until

    def _tell(self, gaps: FullGaps, hours: WantedHours) -> None:
        """Tells the day under way of its gaps."""
        for place, (corner, rates) in enumerate(zip(self._corners, hours.corners, strict=True)):
            told = corner.judge(gaps, edges=hours.edges, rates=rates)
            self._book.note(place, *told.worst)
            self._book.thirst_ml[place] += told.thirst_ml - self._told_thirst_ml[place]
            self._told_thirst_ml[place] = told.open_thirst_ml
            self._walk.add_below(place, told.below_s)


def _fill_ms(store: RootStore, demand_ml_per_s: float) -> float:
    """How long a watering surely fills even empty roots, while they drink so much."""
    gain_ml_per_s = store.sinks_in_ml_per_s - demand_ml_per_s
    if gain_ml_per_s <= 0.0:
        return inf
    return (store.held_ml + store.film_ml) / gain_ml_per_s * _MS_PER_S * _SURELY
