"""Readings summed up as they come, in a few numbers however many they are."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True)
class Tally:
    """The readings of one sensor so far."""

    count: int = 0
    least: float = 0.0
    mean: float = 0.0
    most: float = 0.0

    def add(self, value: float) -> None:
        """Takes one reading in."""
        self.least = min(self.least, value) if self.count else value
        self.most = max(self.most, value) if self.count else value
        self.count += 1
        # The running mean, which equals the value where all are equal; a sum does not.
        self.mean += (value - self.mean) / self.count
