"""A day's waterings as a dry run carried them out, and which gaps between them matter."""

from __future__ import annotations

from bisect import bisect_right
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import SECOND_MS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.advice.courses import Wanted
    from controller.core.orders import Notice, Reason
    from controller.core.units import Instant


class Wettings:
    """The listener that keeps when one load moves water, by its place in the plan."""

    def __init__(self, place: int) -> None:
        self._place = place
        self.changes: list[tuple[Instant, bool]] = []

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """The state at the start."""
        self.changes = [(start, states[self._place][0])]

    def change(
        self,
        instant: Instant,
        place: int,
        reason: Reason,  # noqa: ARG002 - water does not ask why
        *,
        is_on: bool,  # noqa: ARG002
        is_wet: bool,
    ) -> None:
        """Keeps when water begins or ceases to move."""
        if place == self._place and is_wet is not self.changes[-1][1]:
            self.changes.append((instant, is_wet))

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Notices move no water."""

    def finish(self, end: Instant) -> None:
        """The end is a change too."""
        self.changes.append((end, not self.changes[-1][1]))


class Part(NamedTuple):
    """A time of even demand, s, and what the least thirsty and the thirstiest plant that the
    sources allow drinks in it, mL/s."""

    length_s: float
    low_ml_per_s: float
    high_ml_per_s: float


class Stretch(NamedTuple):
    """A watering or a gap, cut where the demand changes."""

    is_wet: bool
    parts: tuple[Part, ...]

    @property
    def length_s(self) -> float:
        """How long it lasts."""
        return sum(part.length_s for part in self.parts)


def stretches_of(changes: Sequence[tuple[Instant, bool]], wanted: Wanted) -> list[Stretch]:
    """The waterings and gaps of a run for one stand, in time order; `changes` end with the end
    of the run, and `wanted` covers all of it."""
    highs, _, lows = wanted.corners
    edges = wanted.edges
    stretches = []
    for (start, is_wet), (end, _) in pairwise(changes):
        parts, since = [], start
        place = bisect_right(edges, since) - 1
        while since < end:
            until = min(end, edges[place + 1])
            parts.append(Part((until - since) / SECOND_MS, lows[place], highs[place]))
            since, place = until, place + 1
        if parts:
            stretches.append(Stretch(is_wet, tuple(parts)))
    return stretches


def gaps_that_matter(stretches: Sequence[Stretch]) -> list[Stretch]:
    """Of gaps that all begin with full roots, those of which no other is as long and all
    through at least as thirsty."""
    kept: list[Stretch] = []
    gaps = [stretch for stretch in stretches if not stretch.is_wet]
    for gap in sorted(gaps, key=lambda one: (-one.length_s, -_least(one)[1])):
        if not any(_outdoes(other, gap) for other in kept):
            kept.append(gap)
    return kept


def _outdoes(other: Stretch, gap: Stretch) -> bool:
    """Whether a gap that is no shorter is at least as thirsty all through."""
    most_low = max(part.low_ml_per_s for part in gap.parts)
    most_high = max(part.high_ml_per_s for part in gap.parts)
    least_low, least_high = _least(other)
    return least_low >= most_low and least_high >= most_high


def _least(stretch: Stretch) -> tuple[float, float]:
    lows = [part.low_ml_per_s for part in stretch.parts]
    return min(lows), min(part.high_ml_per_s for part in stretch.parts)
