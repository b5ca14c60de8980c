"""Which span of a list is in force at any instant, found directly. Rules 2 and 3 of the core live
here."""

from __future__ import annotations

from bisect import bisect_right
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple, Protocol, TypeAlias

from controller.core.anchor import LoadChange
from controller.core.calendar import (
    ALL_KNOWN_MS,
    Calendar,
    Start,
    days_around,
    keep,
    remember,
)
from controller.core.cycle import STEADY_OFF, Cycle
from controller.core.units import DAY_MS, Instant

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from controller.core.plan_parts.spans import DemandBounds, Span

# How far back a span that starts only on some days (a lamp's anchor) is looked for, and
# how far ahead a change: beyond that, "no span" and "no change in sight".
LOOK_DAYS = 8
SIGHT_MS = LOOK_DAYS * DAY_MS
_BLOCKS_AT_ONCE = 8


class Piece(NamedTuple):
    """One stretch of a span in force: from its start until the next span starts.

    `span` is the place in the list of spans, or -1 where none has started for
    `LOOK_DAYS` days, which only anchors that follow a load can bring about; a piece without
    span ends with the UTC day at the latest. `watering_ms` is what a watering of a
    span on demand is measured by, since its cycle does not tell: its shortest, and once one
    runs, the length that was asked for; else None.
    """

    start: Instant
    end: Instant
    span: int
    cycle: Cycle
    watering_ms: int | None = None


# The starts of pieces, for bisection, and the pieces.
_Block: TypeAlias = tuple[tuple[Instant, ...], tuple[Piece, ...]]


class Followed(Protocol):
    """What an anchor that follows a load asks of that load's timeline."""

    def first_change_on(self, number: int, *, to_on: bool) -> Instant | None:
        """The first change to a state on a local date; None where there is none."""


class SpansInForce:
    """The pieces of time in which each span of one list at one site is in force.

    Args:
        spans: as listed in the plan.
        calendar: of the site.
        others: the timelines of the loads that anchors name.
    """

    def __init__(
        self, spans: Sequence[Span], calendar: Calendar, others: Mapping[str, Followed]
    ) -> None:
        self.spans = tuple(spans)
        self._calendar = calendar
        self._others = others
        self._anchors = tuple((i, span.anchor) for i, span in enumerate(spans))
        self._cycles = tuple(span.cycle for span in spans)
        # What each span demands; empty where none is on demand, so that asking costs nothing.
        demands = tuple(span.demand for span in spans)
        self.demands = demands if any(demands) else ()
        self._shortest_waterings_ms = tuple(
            None if demand is None else demand.shortest_watering_ms for demand in demands
        )
        self._starts_of_days: dict[object, tuple[tuple[Start, int], ...]] = {}
        self._blocks: dict[object, _Block] = {}

    def demand_of(self, piece: Piece) -> DemandBounds | None:
        """What the span of a piece demands; None where it has a cycle or is of another timeline."""
        return self.demands[piece.span] if 0 <= piece.span < len(self.demands) else None

    def dry_gap_ms(self, piece: Piece) -> int | None:
        """The longest that the span of a piece leaves roots dry by itself; None where it never
        waters, or where there is none."""
        return None if piece.span < 0 else self.spans[piece.span].dry_gap_ms

    # From anchors to pieces

    def starts_of_day(self, number: int) -> tuple[tuple[Start, int], ...]:
        """The starts that the anchors of one day give, each with its span's place."""
        return remember(self._starts_of_days, number, lambda: self._find_starts(number))

    def _find_starts(self, number: int) -> tuple[tuple[Start, int], ...]:
        found = []
        for span, anchor in self._anchors:
            base = anchor.base
            if isinstance(base, LoadChange):
                change = self._others[base.load].first_change_on(number, to_on=base.to_on)
                start = None if change is None else Start(change + anchor.offset_ms)
            else:
                start = self._calendar.start_of(anchor, number)
            if start is not None:
                found.append((start, span))
        return tuple(found)

    def _block(self, number: int) -> _Block:
        """The pieces that touch one UTC day, and their starts for bisection."""
        block = self._blocks.get(number)
        if block is None:
            self._find_blocks(number - number % _BLOCKS_AT_ONCE)
            block = self._blocks[number]
        return block

    def _find_blocks(self, first: int) -> None:
        """Finds the blocks of some days together, which costs little more than that of one."""
        begin, end = first * DAY_MS, (first + _BLOCKS_AT_ONCE) * DAY_MS
        days = days_around(begin, end)
        starts = self._starts_in(days)
        if not _reaches_over(starts, begin, end):
            # Anchors that follow a load need not happen every day.
            starts = self._starts_in(range(days.start - LOOK_DAYS, days.stop + LOOK_DAYS))
        pieces = [
            Piece(
                start,
                min(following, start + SIGHT_MS),
                span,
                self._cycles[span],
                self._shortest_waterings_ms[span],
            )
            for (start, span), (following, _) in pairwise([*starts, (end + SIGHT_MS, -1)])
        ]
        for number in range(first, first + _BLOCKS_AT_ONCE):
            keep(self._blocks, number, _cut_to_day(pieces, number))

    def _starts_in(self, days: range) -> list[tuple[Instant, int]]:
        """(start, span) of all that start on some days: one an instant, in time order."""
        ordered = sorted(
            (start.instant, start.precedence, span)
            for number in days
            for start, span in self.starts_of_day(number)
        )
        return list({instant: span for instant, _, span in ordered}.items())  # the last wins

    # The piece in force

    def piece_at(self, instant: Instant) -> Piece:
        """The piece in force at an instant."""
        number = instant // DAY_MS
        edges, pieces = self._blocks.get(number) or self._block(number)
        return pieces[bisect_right(edges, instant) - 1]

    def pieces(self, start: Instant, end: Instant) -> Iterator[Piece]:
        """The pieces in force during [start, end), in time order, uncut."""
        piece = self.piece_at(start)
        while True:
            yield piece
            if piece.end >= end:
                return
            piece = self.piece_at(piece.end)


def _reaches_over(starts: Sequence[tuple[Instant, int]], begin: Instant, end: Instant) -> bool:
    """Whether the last start before an interval and the first after it are surely known."""
    return any(begin - ALL_KNOWN_MS <= start <= begin for start, _ in starts) and any(
        end <= start <= end + ALL_KNOWN_MS for start, _ in starts
    )


def _cut_to_day(pieces: Sequence[Piece], number: int) -> _Block:
    """The pieces that touch one UTC day; what they leave open belongs to no span."""
    begin, end = number * DAY_MS, (number + 1) * DAY_MS
    touching: list[Piece] = []
    covered = begin
    for piece in pieces:
        if piece.end <= begin or piece.start >= end:
            continue
        if piece.start > covered:
            touching.append(Piece(covered, piece.start, -1, STEADY_OFF))
        touching.append(piece)
        covered = piece.end
    if covered < end:
        touching.append(Piece(covered, end, -1, STEADY_OFF))
    return tuple(piece.start for piece in touching), tuple(touching)
