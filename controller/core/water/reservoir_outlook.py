"""What is to be expected of a reservoir, between the least and the most that is likely.

Five runs stand for all: little drawn or much, each with little salt taken or much, and the
likely one. Until the first top-up these are bounds: the level falls faster the more is
drawn, and strength is at its extremes where draw and uptake are. After it each run is a
story of its own, since they are topped up at different times.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from controller.core.water.bounds import Bounds
from controller.core.water.reservoir_run import ReservoirRun, follow_reservoir

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from controller.core.units import Instant
    from controller.core.water.draw import Draw
    from controller.core.water.reservoir import Reservoir, Solution, TopUp


class DrawBounds(NamedTuple):
    """The least, the likely and the most that plants may draw, over the same time."""

    low: Draw
    likely: Draw
    high: Draw


class Reached(NamedTuple):
    """When a mark is reached at the earliest, likely and at the latest; None: not in the run."""

    earliest: Instant | None
    likely: Instant | None
    latest: Instant | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReservoirOutlook:
    """The five runs of a reservoir; `solution` is what it began with."""

    reservoir: Reservoir
    solution: Solution
    likely: ReservoirRun
    corners: tuple[ReservoirRun, ReservoirRun, ReservoirRun, ReservoirRun]

    @property
    def runs(self) -> tuple[ReservoirRun, ...]:
        """The likely run, then the corners: little drawn, then much, each with little salt
        taken, then with much."""
        return (self.likely, *self.corners)

    @property
    def start(self) -> Instant:
        """The first instant."""
        return self.likely.start

    @property
    def end(self) -> Instant:
        """The instant after the last."""
        return self.likely.end

    def water_l(self, instant: Instant) -> Bounds:
        """How much is in it, L."""
        return _bounds(run.at(instant).water_l for run in self.runs)

    def ec_ms_per_cm(self, instant: Instant) -> Bounds | None:
        """Its strength, mS/cm at 25 °C; None where it may be dry."""
        strengths = [run.at(instant).ec_ms_per_cm for run in self.runs]
        known = [strength for strength in strengths if strength is not None]
        return _bounds(known) if len(known) == len(strengths) else None

    def falls_to(self, level_l: float) -> Reached:
        """When it first falls to a level."""
        slow, fast = self.corners[0], self.corners[2]
        return Reached(
            fast.falls_to(level_l), self.likely.falls_to(level_l), slow.falls_to(level_l)
        )

    def unmet_l(self) -> Bounds:
        """What plants would have drawn and did not get, L."""
        return _bounds(run.gone().unmet_l for run in self.runs)

    def poured_l(self) -> Bounds:
        """What was poured in, L."""
        return _bounds(run.gone().poured_l for run in self.runs)


def _bounds(values: Iterator[float] | Sequence[float]) -> Bounds:
    """The extremes of values whose first is the likely one."""
    likely, *others = values
    return Bounds(min(likely, *others), likely, max(likely, *others))


def look_ahead(
    reservoir: Reservoir,
    draw: DrawBounds,
    *,
    solution: Solution,
    uptake_ec: Bounds,
    top_ups: Sequence[TopUp] = (),
    refill_to_ec: float | None = None,
) -> ReservoirOutlook:
    """The outlook of a reservoir; arguments as of `follow_reservoir`, with bounds.

    Raises:
        ValueError: as `follow_reservoir`; or the draws do not cover the same time.
    """
    if len({(one.start, one.end) for one in draw}) > 1:
        raise ValueError("the three draws must begin and end together")

    def follow(of: Draw, uptake: float) -> ReservoirRun:
        return follow_reservoir(
            reservoir,
            of,
            solution=solution,
            uptake_ec=uptake,
            top_ups=top_ups,
            refill_to_ec=refill_to_ec,
        )

    return ReservoirOutlook(
        reservoir=reservoir,
        solution=solution,
        likely=follow(draw.likely, uptake_ec.likely),
        corners=(
            follow(draw.low, uptake_ec.low),
            follow(draw.low, uptake_ec.high),
            follow(draw.high, uptake_ec.low),
            follow(draw.high, uptake_ec.high),
        ),
    )
