"""What a plant wants through a part of a run, in hours cut where its lamps are lit or go out."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from operator import mul, sub
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.units import Instant
    from controller.dry_run.water.course import Course

_MS_PER_S = 1000.0


class WantedHours(NamedTuple):
    """The demand of each corner between any edge and the next, mL/s, in the order of `CORNERS`."""

    edges: list[Instant]
    corners: tuple[list[float], list[float], list[float]]

    @classmethod
    def of(
        cls, course: Course, *, start: Instant, end: Instant, lights: Sequence[tuple[Instant, bool]]
    ) -> WantedHours:
        """The demand during [start, end).

        Args:
            course: what the plant wants in the light and in the dark.
            start: of the part.
            end: after the start.
            lights: whether its lamps are lit from each instant on; the first is not after
                `start`, the others before `end`.
        """
        edges: list[Instant] = [start]
        corners: tuple[list[float], list[float], list[float]] = ([], [], [])
        untils = [*(instant for instant, _ in lights[1:]), end]
        for (instant, is_lit), until in zip(lights, untils, strict=True):
            since = max(instant, start)
            if since >= until:
                continue
            first = bisect_right(course.edges, since) - 1
            last = bisect_left(course.edges, until)
            edges += course.edges[first + 1 : last]
            edges.append(until)
            rates = course.lit if is_lit else course.dark
            for corner, of_corner in zip(corners, rates.corners, strict=True):
                corner += of_corner[first:last]
        return cls(edges, corners)

    def place_of(self, instant: Instant) -> int:
        """The place of the hour that an instant lies in; of an edge, of the hour after it."""
        return bisect_right(self.edges, instant) - 1

    def wanted_ml(self, since: Instant) -> list[float]:
        """What is wanted from an instant until the end, by each corner."""
        place = self.place_of(since)
        ends = self.edges[place + 1 :]
        lengths_ms = list(map(sub, ends, [since, *ends]))
        return [sum(map(mul, rates[place:], lengths_ms)) / _MS_PER_S for rates in self.corners]
