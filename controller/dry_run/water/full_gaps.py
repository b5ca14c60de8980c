"""Gaps between waterings that began with full roots: the quick way through most of a run.

Between two waterings that fill even empty roots a gap can matter in two ways only: as the
worst of its day, or because it leaves roots with less than the reserve. Which gaps may do so
is seen without solving any: roots that want at most r are drawn by at most r (L - f) in a gap
of length L, where f is how long their film lasts them if they want no less than r. So hours
are looked at from the thirstiest on, and as soon as the longest gap could not do either in the
next one, it is done: of a regular day one or two gaps are solved.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from math import acos, cbrt, cos, inf, sqrt
from operator import sub
from typing import TYPE_CHECKING, NamedTuple

from controller.dry_run.water.stand_days import Left

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.units import Instant
    from controller.core.water.root_store import RootStore, Wetness

_MS_PER_S = 1000.0


class FullGaps(NamedTuple):
    """Gaps in time order, one at least; whether the last of them goes on after its end."""

    starts: Sequence[Instant]
    ends: Sequence[Instant]
    lengths_s: Sequence[float]
    is_open: bool

    @classmethod
    def between(
        cls, starts: Sequence[Instant], ends: Sequence[Instant], *, is_open: bool
    ) -> FullGaps:
        """Gaps from each start to its end."""
        lengths_s = [length_ms / _MS_PER_S for length_ms in map(sub, ends, starts)]
        return cls(starts, ends, lengths_s, is_open)


class GapsTold(NamedTuple):
    """What gaps did to one corner: what the worst of them left, what the plant lacked, and for
    how long less than the reserve was left, until waterings had filled it again. Of a gap that
    goes on, `below_s` has nothing, and `open_thirst_ml` what it lacked so far."""

    worst: Left
    thirst_ml: float
    below_s: float
    open_thirst_ml: float


class CornerGaps:
    """Judges the gaps of one corner, whose roots have this store and this reserve."""

    __slots__ = ("_floor_ml", "_full", "_spare_ml", "_store")

    def __init__(self, store: RootStore, *, reserve: float) -> None:
        self._store = store
        self._full = store.full
        self._floor_ml = reserve * store.held_ml
        self._spare_ml = (1.0 - reserve) * store.held_ml

    def judge(
        self, gaps: FullGaps, *, edges: Sequence[Instant], rates: Sequence[float]
    ) -> GapsTold:
        """What the gaps did while the plant wanted those rates, mL/s, between those edges.

        The hours also cover the watering that ends the last gap, or as much of it as fills
        the roots.
        """
        starts, ends, lengths_s, is_open = gaps
        thirstiest_first = sorted(range(len(rates)), key=rates.__getitem__, reverse=True)
        film_s = self._film_lasts_s(rates[thirstiest_first[0]])
        longest_s = max(0.0, max(lengths_s) - film_s)
        spare_ml, held_ml = self._spare_ml, self._store.held_ml
        worst, worst_ml = 0, -1.0
        thirst_ml = below_s = open_thirst_ml = 0.0
        seen: set[int] = set()
        for place in thirstiest_first:
            rate = rates[place]
            if rate * longest_s <= min(worst_ml, spare_ml):
                break
            touching = range(
                bisect_right(ends, edges[place]), bisect_left(starts, edges[place + 1])
            )
            for gap in touching:
                most_ml = rate * max(0.0, lengths_s[gap] - film_s)
                if gap in seen or most_ml <= min(worst_ml, spare_ml):
                    continue
                seen.add(gap)
                drawn_ml, gap_below_s = self._drawn(starts[gap], ends[gap], edges, rates)
                asked_ml = min(held_ml, drawn_ml)
                if asked_ml > worst_ml or (asked_ml == worst_ml and gap < worst):
                    worst, worst_ml = gap, asked_ml
                if drawn_ml <= spare_ml:
                    continue
                thirst_ml += max(0.0, drawn_ml - held_ml)
                if is_open and gap == len(ends) - 1:
                    open_thirst_ml = max(0.0, drawn_ml - held_ml)
                else:
                    left_ml = max(0.0, held_ml - drawn_ml)
                    below_s += gap_below_s + self._below_while_filling_s(
                        left_ml, ends[gap], edges, rates
                    )
        left_ml = held_ml - worst_ml
        left = Left(left_ml / held_ml, left_ml, ends[worst])
        return GapsTold(left, thirst_ml, below_s, open_thirst_ml)

    def _film_lasts_s(self, rate: float) -> float:
        """How long full roots live on their film, s.

        Of `RootStore`'s film, which is gone when V / √(1 + k V² t) = r t for its volume V and
        the demand r: with u = 1/t that is V² u³ = r² u + k r² V², whose one root above 0 is
        told by Cardano's formula.
        """
        store = self._store
        if rate <= 0.0:
            return inf
        if store.film_ml <= 0.0:
            return 0.0
        square = rate * rate
        half = 0.5 * square * store.drain_per_ml2_s
        third = square / (3.0 * store.film_ml * store.film_ml)
        apart = half * half - third * third * third
        if apart >= 0.0:
            return 1.0 / _one_root(half, third, apart)
        return 0.5 / (sqrt(third) * cos(acos(half / (third * sqrt(third))) / 3.0))

    def _drawn(
        self, start: Instant, end: Instant, edges: Sequence[Instant], rates: Sequence[float]
    ) -> tuple[float, float]:
        """What a gap asks of the held water, be it there or not, mL; for how long of it less
        than the reserve is left, s."""
        store, place, since = self._store, bisect_right(edges, start) - 1, start
        wetness: Wetness | None = self._full
        drawn_ml = below_s = 0.0
        while since < end:
            until, rate = min(end, edges[place + 1]), rates[place]
            length_s = (until - since) / _MS_PER_S
            since, place = until, place + 1
            if wetness is not None:
                film_s = (
                    self._film_lasts_s(rate)
                    if wetness is self._full
                    else store.lasts_s(wetness, left_share=1.0, demand_ml_per_s=rate)
                )
                if film_s >= length_s:
                    rested = store.rested(wetness, length_s=length_s, demand_ml_per_s=rate)
                    wetness = rested.after
                    continue
                wetness, length_s = None, length_s - film_s
            drawn_ml += rate * length_s
            if drawn_ml > self._spare_ml and self._floor_ml > 0.0:  # nothing is below 0
                over_ml = drawn_ml - self._spare_ml
                below_s += length_s if rate * length_s <= over_ml else over_ml / rate
        return drawn_ml, below_s

    def _below_while_filling_s(
        self, left_ml: float, since: Instant, edges: Sequence[Instant], rates: Sequence[float]
    ) -> float:
        """For how long less than the reserve is left in a watering that fills the roots."""
        store = self._store
        missing_ml, below_s = self._floor_ml - left_ml, 0.0
        place = bisect_right(edges, since) - 1
        while missing_ml > 0.0:
            gain_ml_per_s = store.sinks_in_ml_per_s - rates[place]
            hour_s = (edges[place + 1] - since) / _MS_PER_S
            needed_s = missing_ml / gain_ml_per_s
            if needed_s <= hour_s:
                return below_s + needed_s
            below_s += hour_s
            missing_ml -= gain_ml_per_s * hour_s
            since, place = edges[place + 1], place + 1
        return below_s


def _one_root(half: float, third: float, apart: float) -> float:
    """Cardano's formula where there is one real root: two cubic roots, both above 0, whose
    product is `third`."""
    greater = cbrt(half + sqrt(apart))
    return greater + third / greater
