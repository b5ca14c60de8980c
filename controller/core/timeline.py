"""A load's timeline: its state at any instant, found directly, and when it changes.

Pure plan: no guard, hold or variant. Rule 4 of the core lives here.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING, NamedTuple

from controller.core.spans_in_force import SIGHT_MS, Piece, SpansInForce
from controller.core.units import DAY_MS, Instant, date_of_number

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.cycle import Cycle


class Look(NamedTuple):
    """What the plan says at an instant: the piece in force, the state, the next change.

    Without a change in sight (`LOOK_DAYS`), `until` is the end of sight and `is_change`
    is False.
    """

    piece: Piece
    is_on: bool
    until: Instant
    is_change: bool


class Timeline(SpansInForce):
    """The timeline of one list of spans at one site: the spans in force, and what they say."""

    def state_at(self, instant: Instant) -> bool:
        """Whether the plan has the load on at an instant."""
        piece = self.piece_at(instant)
        return piece.cycle.state_at(instant - piece.start)

    def state_began(self, piece: Piece, instant: Instant) -> Instant:
        """Since when, within its piece, the state of an instant lasts."""
        return piece.start + piece.cycle.segment_start_ms(instant - piece.start)

    def look(self, instant: Instant) -> Look:
        """What the plan says at an instant, and when that changes."""
        return Look(*self.glance(instant))

    def glance(self, instant: Instant) -> tuple[Piece, bool, Instant, bool]:
        """The parts of a look, for those who ask a million times."""
        number = instant // DAY_MS  # as in `piece_at`, without its call
        edges, pieces = self._blocks.get(number) or self._block(number)
        piece = pieces[bisect_right(edges, instant) - 1]
        start, end, _, cycle, _ = piece
        is_on, change_ms = cycle.look_ms(instant - start)
        if change_ms is not None and start + change_ms < end:
            return piece, is_on, start + change_ms, True
        until, is_change = self._look_beyond(piece, is_on=is_on, horizon=instant + SIGHT_MS)
        return piece, is_on, until, is_change

    def _look_beyond(self, piece: Piece, *, is_on: bool, horizon: Instant) -> tuple[Instant, bool]:
        """When a state ends that lasts at least until the end of its piece, and whether it
        does so within sight."""
        at = piece.end
        while at < horizon:
            following = self.piece_at(at)
            state, change_ms = following.cycle.look_ms(at - following.start)
            if state is not is_on:
                return at, True
            if change_ms is not None and at + change_ms < following.end:
                return at + change_ms, True
            at = following.end
        return horizon, False

    def changes(self, start: Instant, end: Instant) -> Iterator[tuple[Instant, bool]]:
        """Every change after `start` and before `end`, with the state that it leads to."""
        state = self.state_at(start)
        for piece in self.pieces(start, end):
            begin, stop, _, cycle, _ = piece
            if begin > start:
                entered = cycle.states[0]
                if entered is not state:
                    yield begin, entered
                    state = entered
            if cycle.steady is not None:
                continue
            stop = min(stop, end)
            # The periods cut by a border are walked with care, the whole ones between them
            # at full speed and without a generator inside this one.
            period_ms, edges = cycle.period_ms, cycle.edges
            base = begin + max(0, start - begin) // period_ms * period_ms
            whole = max(base + period_ms, begin + (stop - begin) // period_ms * period_ms)
            yield from _of_cut_period(cycle, base, after=max(begin, start), stop=stop)
            if len(edges) == 2:
                (first_ms, first), (second_ms, second) = edges
                for period in range(base + period_ms, whole, period_ms):
                    yield period + first_ms, first
                    yield period + second_ms, second
            else:
                for period in range(base + period_ms, whole, period_ms):
                    yield from _of_cut_period(cycle, period, after=period - 1, stop=stop)
            yield from _of_cut_period(cycle, whole, after=begin, stop=stop)
            state = cycle.state_at(stop - 1 - begin)

    def first_change_on(self, number: int, *, to_on: bool) -> Instant | None:
        """The first change to a state while clocks show a local date; None where there is none."""
        begin, end = self._calendar.local_day(number)
        day = date_of_number(number)
        for at, is_on in self.changes(begin - 1, end):
            # Where clocks go back over midnight, the next date shows before this one ends.
            if is_on is to_on and self._calendar.date_of(at) == day:
                return at
        return None


def _of_cut_period(
    cycle: Cycle, base: Instant, *, after: Instant, stop: Instant
) -> list[tuple[Instant, bool]]:
    """The changes of one period that lie after an instant and before another."""
    return [
        (base + offset_ms, is_on)
        for offset_ms, is_on in cycle.edges
        if after < base + offset_ms < stop
    ]
