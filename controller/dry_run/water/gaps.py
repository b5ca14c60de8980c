"""The dry gaps of a day that may have left least, of all that began with full roots.

A gap cannot have left least if another of the day was as long and as thirsty all through.
So of those within one hour of air only the longest counts, and each border of two hours
lies in one gap at the most: a day keeps few of them, however often a pump switches.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.dry_run.water.stand_days import Left

if TYPE_CHECKING:
    from array import array
    from collections.abc import Sequence

    from controller.core.units import Instant
    from controller.core.water.root_store import RootStore

_MS_PER_S = 1000.0


class Gap(NamedTuple):
    """A time without water, and the places of the hours in which it begins and ends."""

    start: Instant
    end: Instant
    first: int
    last: int

    @property
    def length_ms(self) -> int:
        """How long it lasted."""
        return self.end - self.start


class Gaps:
    """The gaps of a day, as far as they matter."""

    __slots__ = ("_across", "_within")

    def __init__(self) -> None:
        self._within: dict[int, tuple[Instant, Instant]] = {}
        self._across: list[Gap] = []

    def add(self, start: Instant, end: Instant, first: int, last: int) -> None:
        """One more gap, after those before it."""
        if first != last:
            self._across.append(Gap(start, end, first, last))
            return
        longest = self._within.get(first)
        if longest is None or end - start > longest[1] - longest[0]:
            self._within[first] = (start, end)

    def take(self) -> list[Gap]:
        """Those that matter; the next day begins without."""
        within = [Gap(start, end, place, place) for place, (start, end) in self._within.items()]
        gaps = [*within, *self._across]
        self._within, self._across = {}, []
        return gaps


def least_left(
    gaps: Sequence[Gap], store: RootStore, rates: array[float], edges: Sequence[Instant]
) -> Left:
    """What the worst of the gaps, of which there is one at least, left in one corner's store."""
    known = [(gap, rates[gap.first : gap.last + 1]) for gap in gaps]
    # The one that asked most is the worst nearly always, and shows that the others are not.
    worst, of_worst = max(known, key=lambda one: one[0].length_ms * max(one[1]))
    slowest = min(of_worst)
    least = _left_after(worst, store, of_worst, edges)
    for gap, of_gap in known:
        is_outdone = gap.length_ms <= worst.length_ms and max(of_gap) <= slowest
        if not is_outdone and gap is not worst:
            left = _left_after(gap, store, of_gap, edges)
            if left.share < least.share:
                least = left
    return least


def _left_after(
    gap: Gap, store: RootStore, rates: Sequence[float], edges: Sequence[Instant]
) -> Left:
    wetness = store.full
    since = gap.start
    for place, rate in enumerate(rates, gap.first):
        until = min(gap.end, edges[place + 1])
        length_s = (until - since) / _MS_PER_S
        wetness = store.rested(wetness, length_s=length_s, demand_ml_per_s=rate).after
        since = until
    return Left(store.left_share(wetness), wetness.held_ml, gap.end)
