"""A local date as a row: where on the dial of 24 hours each of its instants lies."""

from __future__ import annotations

from datetime import datetime
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import DAY_MS, HOUR_MS, SECOND_MS, Instant
from controller.core.wall_clock import local_datetime

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date, timedelta
    from zoneinfo import ZoneInfo

    from controller.core.calendar import Calendar
    from controller.report.picture.recording import Day


class _Piece(NamedTuple):
    """A time without a change of the clocks; `dial_ms` is what they show at its start."""

    start: Instant
    end: Instant
    dial_ms: int

    @property
    def dial_end_ms(self) -> int:
        return self.dial_ms + self.end - self.start


class DialSpan(NamedTuple):
    """A stretch on the dial, in ms after 00:00. `turn` is 0, or 1 and 2 where the clocks
    show these times twice that day."""

    low_ms: int
    high_ms: int
    turn: int = 0


class DayRow(NamedTuple):
    """A local date as its clocks show it.

    `doubled` are the stretches of the dial that come twice, `skipped` those that do not
    come at all.
    """

    day: date
    begin: Instant
    end: Instant
    pieces: tuple[_Piece, ...]
    doubled: tuple[tuple[int, int], ...]
    skipped: tuple[tuple[int, int], ...]

    @property
    def is_plain(self) -> bool:
        """Whether every time of the dial comes once, as on nearly all days."""
        return not self.doubled and not self.skipped

    @property
    def clock_change(self) -> tuple[Instant, Instant] | None:
        """From when to when the dial shows times that come twice that day; where it only
        skips some, the moment after the skip, within the day. None on a plain day."""
        doubled = [
            instant
            for low, high in self.doubled
            for piece in self.pieces
            if piece.dial_ms <= low and high <= piece.dial_end_ms
            for instant in (piece.start + low - piece.dial_ms, piece.start + high - piece.dial_ms)
        ]
        if doubled:
            return min(doubled), max(doubled)
        if not self.skipped:
            return None
        low, _ = self.skipped[0]
        moments = [p.start for p in self.pieces if p.dial_ms >= low] or [self.end - 1]
        return moments[0], moments[0]

    def spans(self, start: Instant, end: Instant) -> Iterator[DialSpan]:
        """Where on the dial the part of [start, end) lies that is in this row."""
        for number, piece in enumerate(self.pieces):
            begin, stop = max(start, piece.start), min(end, piece.end)
            if begin < stop:
                low = piece.dial_ms + begin - piece.start
                yield from self._by_turns(number, low, low + stop - begin)

    def _by_turns(self, number: int, low: int, high: int) -> Iterator[DialSpan]:
        borders = {edge for double in self.doubled for edge in double if low < edge < high}
        edges = [low, *sorted(borders), high]
        for begin, stop in pairwise(edges):
            is_double = any(double[0] <= begin < double[1] for double in self.doubled)
            turn = (1 if self._comes_again(number, begin) else 2) if is_double else 0
            yield DialSpan(begin, stop, turn)

    def _comes_again(self, number: int, dial_ms: int) -> bool:
        return any(p.dial_ms <= dial_ms < p.dial_end_ms for p in self.pieces[number + 1 :])


def day_row(calendar: Calendar, day: Day) -> DayRow:
    """The row of a local date."""
    pieces = tuple(_pieces(calendar.zone, day))
    doubled = tuple(
        (max(a.dial_ms, b.dial_ms), min(a.dial_end_ms, b.dial_end_ms))
        for a, b in combinations(pieces, 2)
        if max(a.dial_ms, b.dial_ms) < min(a.dial_end_ms, b.dial_end_ms)
    )
    return DayRow(calendar.date_of(day.begin), *day, pieces, doubled, tuple(_holes(pieces)))


def _pieces(zone: ZoneInfo, day: Day) -> Iterator[_Piece]:
    borders = [day.begin, *_clock_changes(zone, day), day.end]
    for start, end in pairwise(borders):
        dial_ms = _dial_ms(local_datetime(zone, start))
        past_midnight_ms = dial_ms + end - start - DAY_MS
        if past_midnight_ms > 0:  # clocks that went back over midnight
            yield _Piece(start, end - past_midnight_ms, dial_ms)
            yield _Piece(end - past_midnight_ms, end, 0)
        else:
            yield _Piece(start, end, dial_ms)


def _dial_ms(local_time: datetime) -> int:
    seconds = (local_time.hour * 60 + local_time.minute) * 60 + local_time.second
    return seconds * SECOND_MS + local_time.microsecond // 1000


def _clock_changes(zone: ZoneInfo, day: Day) -> Iterator[Instant]:
    """When within the day the zone's offset changes; rules change on whole seconds."""

    def offset(instant: Instant) -> timedelta | None:
        return local_datetime(zone, instant).utcoffset()

    if day.end - day.begin == DAY_MS and offset(day.begin) == offset(day.end - 1):
        return
    for start in range(day.begin, day.end, HOUR_MS):
        end = min(start + HOUR_MS, day.end - 1)
        before = offset(start)
        if before == offset(end):
            continue
        low, high = start // SECOND_MS, -(-end // SECOND_MS)
        while high - low > 1:
            middle = (low + high) // 2
            if offset(middle * SECOND_MS) == before:
                low = middle
            else:
                high = middle
        yield high * SECOND_MS


def _holes(pieces: tuple[_Piece, ...]) -> Iterator[tuple[int, int]]:
    """The stretches of the dial that no piece covers."""
    covered = 0
    for piece in sorted(pieces, key=lambda piece: piece.dial_ms):
        if piece.dial_ms > covered:
            yield covered, piece.dial_ms
        covered = max(covered, piece.dial_end_ms)
    if covered < DAY_MS:
        yield covered, DAY_MS
