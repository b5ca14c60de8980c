"""A reservoir through time: its level, its strength, and when it falls to a mark.

Between two top-ups everything is a closed form over the sums of a `Draw`. Plants take water
with salts in it, losses take water alone. At the inlet the pump draws air: plants get
nothing from there on, and what they would have drawn is told as unmet. Losses go on until
nothing is left. Water that is on its way, in hoses and on roots, counts as in the reservoir.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace
from math import ceil, fsum, isfinite
from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import HOUR_MS, Instant, shown
from controller.core.water.reservoir import Reservoir, Solution, TopUp, ec_to_pour, topped_up

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.water.draw import Draw

# Ours: nobody fills a reservoir more often than that.
_REFILLS_APART_MS = HOUR_MS


class Gone(NamedTuple):
    """Where water went, L: into plants, into the air, over the rim; poured in; and what
    plants would have drawn if the inlet had not drawn air. `salts_taken` in mS/cm × L."""

    taken_l: float = 0.0
    lost_l: float = 0.0
    unmet_l: float = 0.0
    salts_taken: float = 0.0
    poured_l: float = 0.0
    run_over_l: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A time without a top-up, half open; `solution` is what it begins with."""

    reservoir: Reservoir
    draw: Draw
    start: Instant
    end: Instant
    solution: Solution
    uptake_ec: float
    inlet_at: Instant | None  # when the inlet draws air; None: not before the draw's end
    top_up: TopUp | None = None  # what it begins with, after the pouring
    run_over_l: float = 0.0

    def gone_by(self, instant: Instant) -> Gone:
        """What has gone since its start, at an instant from start to end."""
        wanted_l = self.draw.between(self.start, instant)
        steady_l = self.reservoir.losses_l_per_ms * (instant - self.start)
        taken_l = wanted_l
        if self.inlet_at is not None and instant >= self.inlet_at:
            taken_l = self._taken_at_inlet_l(self.inlet_at)
        lost_l = max(0.0, min(steady_l, self.solution.water_l - taken_l))
        return Gone(
            taken_l=taken_l,
            lost_l=lost_l,
            unmet_l=max(0.0, wanted_l - taken_l),
            salts_taken=min(self.solution.salts, self.uptake_ec * taken_l),
            poured_l=0.0 if self.top_up is None else self.top_up.litres,
            run_over_l=self.run_over_l,
        )

    def _taken_at_inlet_l(self, inlet_at: Instant) -> float:
        """What plants have had when the inlet draws air: by the level, so that the whole
        millisecond to which that instant is rounded takes nothing more."""
        above_l = self.solution.water_l - self.reservoir.inlet_at_l
        return max(0.0, above_l - self.reservoir.losses_l_per_ms * (inlet_at - self.start))

    def solution_at(self, instant: Instant) -> Solution:
        """What is in the reservoir at an instant from start to end."""
        gone = self.gone_by(instant)
        return Solution(
            max(0.0, self.solution.water_l - gone.taken_l - gone.lost_l),
            self.solution.salts - gone.salts_taken,
        )

    def falls_to(self, level_l: float) -> Instant | None:
        """The first instant with no more than so much in it; None if not before the end."""
        above_l = self.solution.water_l - level_l
        rate = self.reservoir.losses_l_per_ms
        if above_l <= 0:
            return self.start
        if level_l >= self.reservoir.inlet_at_l:
            at = self.draw.reaching(above_l, after=self.start, lost_l_per_ms=rate)
        elif self.inlet_at is None or rate == 0:
            at = None
        else:
            left_l = self.solution_at(self.inlet_at).water_l - level_l
            at = self.inlet_at + max(0, ceil(left_l / rate))
        return None if at is None or at >= self.end else at


class ReservoirRun:
    """What became of a reservoir: stretches without a gap from the draw's start to its end."""

    __slots__ = ("_starts", "stretches")

    def __init__(self, stretches: Sequence[Stretch]) -> None:
        self.stretches = tuple(stretches)
        self._starts = [stretch.start for stretch in stretches]

    @property
    def start(self) -> Instant:
        """The first instant."""
        return self.stretches[0].start

    @property
    def end(self) -> Instant:
        """The instant after the last."""
        return self.stretches[-1].end

    @property
    def top_ups(self) -> list[TopUp]:
        """What was poured in, in order."""
        return [one.top_up for one in self.stretches if one.top_up is not None]

    @property
    def inlet_drew_air_at(self) -> Instant | None:
        """When the inlet first drew air; None if it never did."""
        ends = ((one.inlet_at, one.end) for one in self.stretches)
        return next((at for at, end in ends if at is not None and at < end), None)

    def at(self, instant: Instant) -> Solution:
        """What is in it at an instant from start to end; at a top-up, after the pouring."""
        if not self.start <= instant <= self.end:
            raise ValueError(f"{instant} lies outside of {self.start} to {self.end}")
        return self.stretches[bisect_right(self._starts, instant) - 1].solution_at(instant)

    def falls_to(self, level_l: float) -> Instant | None:
        """The first instant with no more than so much in it; None if there is none."""
        instants = (one.falls_to(level_l) for one in self.stretches)
        return next((at for at in instants if at is not None), None)

    def gone(self) -> Gone:
        """Where all water went, from start to end."""
        parts = [one.gone_by(one.end) for one in self.stretches]
        return Gone(*(fsum(column) for column in zip(*parts, strict=True)))


def follow_reservoir(
    reservoir: Reservoir,
    draw: Draw,
    *,
    solution: Solution,
    uptake_ec: float = 0.0,
    top_ups: Sequence[TopUp] = (),
    refill_to_ec: float | None = None,
) -> ReservoirRun:
    """Follows a reservoir through a draw.

    Args:
        reservoir: what it is.
        draw: what plants want of it.
        solution: what is in it at the draw's start.
        uptake_ec: strength of what plants take, mS/cm at 25 °C; 0: all salts stay.
        top_ups: what is poured in, and when; what has no room runs over.
        refill_to_ec: if given, it is filled up whenever it falls to `top_up_at_l` (once an
            hour at the most), with a solution that brings all of it to that strength, mS/cm at
            25 °C, or with water alone where salts are too many for that.

    Raises:
        ValueError: it holds more than it can, a top-up is not of the run, or an amount is none.
    """
    _check(reservoir, draw, solution, uptake_ec, top_ups)
    given = sorted(top_ups, key=lambda top_up: top_up.at)
    stretch = _stretch(reservoir, draw, draw.start, solution, uptake_ec)
    stretches: list[Stretch] = []
    while True:
        refill = _refill(stretch, refill_to_ec)
        if given and (refill is None or given[0].at <= refill.at):
            top_up = given.pop(0)
        elif refill is not None:
            top_up = refill
        else:
            return ReservoirRun([*stretches, stretch])
        before = stretch.solution_at(top_up.at)
        stretches.append(_until(stretch, top_up.at))
        after, over = topped_up(before, reservoir, top_up.solution)
        stretch = _stretch(reservoir, draw, top_up.at, after, uptake_ec, top_up, over.water_l)


def _check(
    reservoir: Reservoir,
    draw: Draw,
    solution: Solution,
    uptake_ec: float,
    top_ups: Sequence[TopUp],
) -> None:
    if not 0 <= solution.water_l <= reservoir.full_l:
        raise ValueError(
            f"{shown(solution.water_l)} L in a reservoir that holds 0 to {reservoir.full_l} L"
        )
    if not (isfinite(uptake_ec) and uptake_ec >= 0):
        raise ValueError(f"{shown(uptake_ec)} mS/cm taken up: no negative number can be")
    for top_up in top_ups:
        if not draw.start <= top_up.at < draw.end:
            raise ValueError(f"a top-up at {top_up.at} lies outside of the run")


def _refill(stretch: Stretch, to_ec: float | None) -> TopUp | None:
    """The next filling up, if there is to be one before the stretch's end."""
    reservoir = stretch.reservoir
    if to_ec is None or reservoir.top_up_at_l is None:
        return None
    at = stretch.falls_to(reservoir.top_up_at_l)
    if at is not None and stretch.top_up is not None:
        at = max(at, stretch.top_up.at + _REFILLS_APART_MS)
    if at is None or at >= stretch.end:
        return None
    left = stretch.solution_at(at)
    missing_l = max(0.0, reservoir.full_l - left.water_l)
    return TopUp(at, missing_l, ec_to_pour(left, reservoir, to_ec=to_ec))


def _stretch(
    reservoir: Reservoir,
    draw: Draw,
    start: Instant,
    solution: Solution,
    uptake_ec: float,
    top_up: TopUp | None = None,
    run_over_l: float = 0.0,
) -> Stretch:
    """A stretch until the draw's end."""
    above_l = solution.water_l - reservoir.inlet_at_l
    return Stretch(
        reservoir=reservoir,
        draw=draw,
        start=start,
        end=draw.end,
        solution=solution,
        uptake_ec=uptake_ec,
        inlet_at=draw.reaching(above_l, after=start, lost_l_per_ms=reservoir.losses_l_per_ms),
        top_up=top_up,
        run_over_l=run_over_l,
    )


def _until(stretch: Stretch, end: Instant) -> Stretch:
    """The same, ending earlier."""
    is_later = stretch.inlet_at is not None and stretch.inlet_at > end
    return replace(stretch, end=end, inlet_at=None if is_later else stretch.inlet_at)
