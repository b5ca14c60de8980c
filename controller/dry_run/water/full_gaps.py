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
from operator import sub
from typing import TYPE_CHECKING, NamedTuple

from controller.dry_run.water.stand_days import Left

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.units import Instant
    from controller.core.water.root_store import RootStore

_MS_PER_S = 1000.0


class FullGaps(NamedTuple):
    """Gaps in time order, one at least; whether the last of them goes on after its end."""

    starts: Sequence[Instant]
    ends: Sequence[Instant]
    lengths_s: Sequence[float]
    longest_s: float
    is_open: bool

    @classmethod
    def between(
        cls, starts: Sequence[Instant], ends: Sequence[Instant], *, is_open: bool
    ) -> FullGaps:
        """Gaps from each start to its end."""
        lengths_s = [length_ms / _MS_PER_S for length_ms in map(sub, ends, starts)]
        return cls(starts, ends, lengths_s, max(lengths_s), is_open)


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
        starts, ends, lengths_s, longest_s, is_open = gaps
        thirstiest_first = sorted(range(len(rates)), key=rates.__getitem__, reverse=True)
        hours = _Hours(self._store, edges, rates)
        film_s = hours.film_s(thirstiest_first[0])
        longest_s = longest_s - film_s if longest_s > film_s else 0.0
        spare_ml, held_ml = self._spare_ml, self._store.held_ml
        worst, worst_ml = 0, -1.0
        matters_ml = worst_ml  # no gap that draws less can be the worst, or leave too little
        thirst_ml = below_s = open_thirst_ml = 0.0
        seen: set[int] = set()
        for place in thirstiest_first:
            rate = rates[place]
            if rate * longest_s <= matters_ml:
                break
            over = bisect_left(starts, edges[place + 1])
            for gap in range(bisect_right(ends, edges[place]), over):
                length_s = lengths_s[gap]
                most_ml = rate * (length_s - film_s) if length_s > film_s else 0.0
                if most_ml <= matters_ml or gap in seen:
                    continue
                seen.add(gap)
                drawn_ml, gap_below_s = self._drawn(starts[gap], ends[gap], place, hours)
                asked_ml = drawn_ml
                if drawn_ml > held_ml:
                    asked_ml = held_ml
                if asked_ml > worst_ml or (asked_ml == worst_ml and gap < worst):
                    worst, worst_ml = gap, asked_ml
                    matters_ml = min(worst_ml, spare_ml)
                if drawn_ml <= spare_ml:
                    continue
                lacked_ml = drawn_ml - asked_ml
                thirst_ml += lacked_ml
                if is_open and gap == len(ends) - 1:
                    open_thirst_ml = lacked_ml
                else:
                    left_ml = held_ml - asked_ml
                    below_s += gap_below_s + self._below_while_filling_s(left_ml, ends[gap], hours)
        left_ml = held_ml - worst_ml
        left = Left(left_ml / held_ml, left_ml, ends[worst])
        return GapsTold(left, thirst_ml, below_s, open_thirst_ml)

    def _drawn(
        self, start: Instant, end: Instant, touched: int, hours: _Hours
    ) -> tuple[float, float]:
        """What a gap that touches an hour asks of the held water, be it there or not, mL; for how
        long of it less than the reserve is left, s."""
        edges, rates, spare_ml = hours.edges, hours.rates, self._spare_ml
        place, since = touched, start
        while edges[place] > start:
            place -= 1
        film_s = hours.film_s(place)
        if film_s >= (edges[place + 1] - start) / _MS_PER_S:
            since, place, film_s = self._where_film_ends(start, end, place, hours)
        drawn_ml = below_s = 0.0
        while since < end:
            until, rate = edges[place + 1], rates[place]
            if until > end:
                until = end
            length_s = (until - since) / _MS_PER_S - film_s
            since, place, film_s = until, place + 1, 0.0
            if length_s <= 0.0:
                continue
            drawn_ml += rate * length_s
            if drawn_ml > spare_ml and self._floor_ml > 0.0:  # nothing is below 0
                over_ml = drawn_ml - spare_ml
                below_s += length_s if rate * length_s <= over_ml else over_ml / rate
        return drawn_ml, below_s

    def _where_film_ends(
        self, start: Instant, end: Instant, place: int, hours: _Hours
    ) -> tuple[Instant, int, float]:
        """In which hour the film is gone that lasts beyond the first: from when the gap is in it,
        its place, and for how long of it the film lasts, s. The end, if it outlasts the gap."""
        store, edges, since, wetness = self._store, hours.edges, start, self._full
        film_s = hours.film_s(place)
        while since < end:
            until, rate = min(end, edges[place + 1]), hours.rates[place]
            length_s = (until - since) / _MS_PER_S
            if film_s < length_s:
                return since, place, film_s
            wetness = store.rested(wetness, length_s=length_s, demand_ml_per_s=rate).after
            since, place = until, place + 1
            if since < end:
                film_s = store.lasts_s(wetness, left_share=1.0, demand_ml_per_s=hours.rates[place])
        return end, place, 0.0

    def _below_while_filling_s(self, left_ml: float, since: Instant, hours: _Hours) -> float:
        """For how long less than the reserve is left in a watering that fills the roots."""
        missing_ml, below_s = self._floor_ml - left_ml, 0.0
        if missing_ml <= 0.0:
            return 0.0
        edges, rates, sinks_in_ml_per_s = hours.edges, hours.rates, self._store.sinks_in_ml_per_s
        place = bisect_right(edges, since) - 1
        while missing_ml > 0.0:
            gain_ml_per_s = sinks_in_ml_per_s - rates[place]
            hour_s = (edges[place + 1] - since) / _MS_PER_S
            needed_s = missing_ml / gain_ml_per_s
            if needed_s <= hour_s:
                return below_s + needed_s
            below_s += hour_s
            missing_ml -= gain_ml_per_s * hour_s
            since, place = edges[place + 1], place + 1
        return below_s


class _Hours:
    """The hours of one corner: what is wanted in each, mL/s, between which edges; and how long
    full roots live on their film in it, which is found once, where it matters."""

    __slots__ = ("_films_s", "_store", "edges", "rates")

    def __init__(self, store: RootStore, edges: Sequence[Instant], rates: Sequence[float]) -> None:
        self.edges = edges
        self.rates = rates
        self._store = store
        self._films_s: dict[int, float] = {}

    def film_s(self, place: int) -> float:
        """How long full roots live on their film in that hour, s."""
        film_s = self._films_s.get(place)
        if film_s is None:
            film_s = self._films_s[place] = self._store.film_lasts_s(self.rates[place])
        return film_s
