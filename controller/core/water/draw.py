"""What plants take out of a reservoir through time."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import accumulate, pairwise
from math import ceil, isfinite
from typing import TYPE_CHECKING

from controller.core.units import shown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.units import Instant


class Draw:
    """Litres drawn from the first instant on: a sum that grows along straight pieces.

    Between two edges (hours, as a rule) water is drawn evenly. It is summed up once, so that
    any stretch is a subtraction, and the instant of any sum one bisection.
    """

    __slots__ = ("_edges", "_sums_l")

    def __init__(self, edges: Sequence[Instant], litres: Sequence[float]) -> None:
        """Takes the edges, rising, and what is drawn between each and the next, L.

        Raises:
            ValueError: edges do not rise, counts do not fit, or an amount is no amount.
        """
        if len(edges) != len(litres) + 1 or not litres:
            raise ValueError(
                f"{len(litres)} amounts need {len(litres) + 1} edges and there must be one at "
                f"least; {len(edges)} edges were given"
            )
        if any(start >= end for start, end in pairwise(edges)):
            raise ValueError("the edges of a draw must rise")
        for amount in litres:
            if not (isfinite(amount) and amount >= 0):
                raise ValueError(
                    f"{shown(amount)} L drawn: a number that is not negative is needed"
                )
        self._edges = tuple(edges)
        self._sums_l = tuple(accumulate(litres, initial=0.0))

    @property
    def start(self) -> Instant:
        """The first instant."""
        return self._edges[0]

    @property
    def end(self) -> Instant:
        """The instant after the last."""
        return self._edges[-1]

    def until(self, instant: Instant) -> float:
        """Litres drawn from the start until an instant, which lies from start to end."""
        self._check(instant)
        piece = min(bisect_right(self._edges, instant), len(self._edges) - 1) - 1
        start, end = self._edges[piece], self._edges[piece + 1]
        low_l, high_l = self._sums_l[piece], self._sums_l[piece + 1]
        return low_l + (high_l - low_l) * ((instant - start) / (end - start))

    def between(self, start: Instant, end: Instant) -> float:
        """Litres drawn in [start, end)."""
        return self.until(end) - self.until(start)

    def reaching(
        self, total_l: float, *, after: Instant, lost_l_per_ms: float = 0.0
    ) -> Instant | None:
        """The first instant at which so much has gone since `after`; None if not before the end.

        What has gone is what was drawn, and a steady loss beside it. Rounded up to a whole
        millisecond.
        """
        if total_l <= 0:
            self._check(after)
            return after
        before_l = self.until(after)

        def gone_l(edge: int) -> float:
            steady_l = lost_l_per_ms * (self._edges[edge] - after)
            return self._sums_l[edge] - before_l + steady_l

        first = bisect_right(self._edges, after)
        edge = bisect_left(range(len(self._edges)), total_l, lo=first, key=gone_l)
        if edge == len(self._edges):
            return None
        from_ = max(after, self._edges[edge - 1])
        from_l = gone_l(edge - 1) if from_ > after else 0.0
        share = (total_l - from_l) / (gone_l(edge) - from_l)
        # Rounding errors of the sums must not carry it over the edge.
        return min(from_ + max(0, ceil(share * (self._edges[edge] - from_))), self._edges[edge])

    def _check(self, instant: Instant) -> None:
        if not self.start <= instant <= self.end:
            raise ValueError(f"{instant} lies outside of {self.start} to {self.end}")
