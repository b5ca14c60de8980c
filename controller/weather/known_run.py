"""An unbroken stretch of known values, joined by straight lines."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

_BLOCK = 24  # points whose lowest and highest are kept, so that calm days are passed over whole


class KnownRun:
    """Known points in time order, straight lines between them; both ends belong to it.

    Each line is computed by steps that are monotone in floating point too (a division, a
    product and a sum, each correctly rounded), so between two points the value never turns
    back, and the first millisecond at which it passes a threshold can be found by halving.
    """

    __slots__ = ("_highs", "_lows", "_stamps", "_values", "end", "start")

    def __init__(self, stamps: Sequence[int], values: Sequence[float]) -> None:
        self._stamps = tuple(stamps)
        self._values = tuple(values)
        self.start = self._stamps[0]
        self.end = self._stamps[-1]
        blocks = [self._values[i : i + _BLOCK] for i in range(0, len(self._values), _BLOCK)]
        self._lows = tuple(map(min, blocks))
        self._highs = tuple(map(max, blocks))

    def value_at(self, moment: int) -> float:
        """The value at a moment from `start` to `end`, both included."""
        stamps = self._stamps
        index = bisect_right(stamps, moment) - 1
        stamp = stamps[index]
        value = self._values[index]
        if moment == stamp:
            return value
        step = self._values[index + 1] - value
        return value + step * ((moment - stamp) / (stamps[index + 1] - stamp))

    def first_outside(self, moment: int, *, before: int, above: float, below: float) -> int | None:
        """The first moment, from this one on, at which not `above` < value < `below`.

        None where there is none up to the end of the run. One at or after `before` may be
        found or not: the search stops there.
        """
        if not above < self.value_at(moment) < below:
            return moment
        values, lows, highs = self._values, self._lows, self._highs
        index = bisect_right(self._stamps, moment)
        stop = min(len(values), bisect_left(self._stamps, before) + 1)
        while index < stop:
            block, within = divmod(index, _BLOCK)
            if not within and above < lows[block] and highs[block] < below:
                index += _BLOCK
                continue
            if not above < values[index] < below:
                return self._passing(index, moment, above=above, below=below)
            index += 1
        return None

    def _passing(self, index: int, moment: int, *, above: float, below: float) -> int:
        """The first moment outside on the line that ends outside, at this point."""
        stamp, value = self._stamps[index - 1], self._values[index - 1]
        length, step = self._stamps[index] - stamp, self._values[index] - value

        def is_outside(probe: int) -> bool:
            return not above < value + step * ((probe - stamp) / length) < below

        first = max(stamp, moment) + 1
        return first + bisect_left(range(first, self._stamps[index]), True, key=is_outside)
