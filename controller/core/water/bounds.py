"""A value that is known only within limits."""

from __future__ import annotations

from typing import NamedTuple


class Bounds(NamedTuple):
    """The least, the likely and the highest value that sources or a grower's facts allow.

    `low` ≤ `likely` ≤ `high`; all three have the unit that the holder's name ends in.
    """

    low: float
    likely: float
    high: float

    def times(self, factor: float) -> Bounds:
        """All three times a number that is not negative."""
        return Bounds(self.low * factor, self.likely * factor, self.high * factor)
