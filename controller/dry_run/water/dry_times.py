"""When a reservoir gives nothing because its inlet draws air, for each corner of a stand."""

from __future__ import annotations

from bisect import bisect_right
from itertools import pairwise
from math import inf
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.units import Instant
    from controller.core.water.reservoir_outlook import ReservoirOutlook
    from controller.core.water.reservoir_run import ReservoirRun


class DryTimes:
    """For each corner the times without water, half open, in order."""

    __slots__ = ("_corners", "_edges", "for_good_from")

    def __init__(
        self, corners: Sequence[Sequence[tuple[Instant, Instant]]], *, end: Instant
    ) -> None:
        self._corners = corners
        self._edges = sorted({edge for times in corners for time in times for edge in time})
        lasts = [times[-1] if times else None for times in corners]
        begins = [last[0] for last in lasts if last is not None and last[1] >= end]
        # From here on no corner gets water until the end of the run.
        self.for_good_from = max(begins) if len(begins) == len(corners) else inf

    @classmethod
    def none(cls) -> DryTimes:
        """A stand whose water never ends."""
        return cls(((), (), ()), end=0)

    @classmethod
    def of(cls, outlook: ReservoirOutlook) -> DryTimes:
        """Those of the stands on a reservoir: the driest roots have the highest draw."""
        slow, fast = outlook.corners[0], outlook.corners[2]
        times = [_dry_times(run) for run in (fast, outlook.likely, slow)]
        return cls(times, end=outlook.end)

    def is_dry(self, corner: int, instant: Instant) -> bool:
        """Whether nothing comes down at an instant."""
        return any(start <= instant < end for start, end in self._corners[corner])

    def is_any(self, instant: Instant) -> bool:
        """Whether nothing comes down in any corner."""
        return any(self.is_dry(corner, instant) for corner in range(len(self._corners)))

    def next_edge(self, instant: Instant) -> Instant | float:
        """When that next changes for any corner; infinity where it does not."""
        place = bisect_right(self._edges, instant)
        return self._edges[place] if place < len(self._edges) else inf


def _dry_times(run: ReservoirRun) -> list[tuple[Instant, Instant]]:
    times = [
        (stretch.inlet_at, stretch.end)
        for stretch in run.stretches
        if stretch.inlet_at is not None and stretch.inlet_at < stretch.end
    ]
    joined: list[tuple[Instant, Instant]] = times[:1]
    for before, after in pairwise(times):
        if before[1] == after[0]:  # filled up, and at once drawn dry again
            joined[-1] = (joined[-1][0], after[1])
        else:
            joined.append(after)
    return joined
