"""How late switchings are carried out after their time."""

from __future__ import annotations

from collections import deque
from typing import NamedTuple

_KEPT = 4096  # the last ones tell how it is now; the journal has them all


class LatenessFigures(NamedTuple):
    """Of how many switchings, and how late they were, in ms; None where there were none."""

    switchings: int
    p50_ms: float | None
    p99_ms: float | None
    max_ms: float | None


class Lateness:
    """Figures over the last switchings that had a time of their own."""

    def __init__(self) -> None:
        self._late_ms: deque[float] = deque(maxlen=_KEPT)
        self._count = 0

    def add(self, late_ms: float) -> None:
        """One more."""
        self._late_ms.append(late_ms)
        self._count += 1

    def figures(self) -> LatenessFigures:
        """The figures now."""
        ordered = sorted(self._late_ms)
        if not ordered:
            return LatenessFigures(0, None, None, None)
        return LatenessFigures(
            self._count,
            ordered[len(ordered) // 2],
            ordered[min(len(ordered) - 1, len(ordered) * 99 // 100)],
            ordered[-1],
        )
