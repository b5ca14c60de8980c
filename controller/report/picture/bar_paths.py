"""Times on as path data: x in minutes of the dial, one line a lane, dashed where regular."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.units import MINUTE_MS, SECOND_MS
from controller.report.picture.recording import Blend, Run
from controller.report.picture.run_lengths import DASHED_FROM, stretches
from controller.report.picture.svg import add, number, path

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree.ElementTree import Element

    from controller.core.units import Instant
    from controller.report.picture.day_rows import DayRow

# A shorter time on is drawn that long, so that it is seen; but never as more than a sixth
# of its cycle.
_SEEN_MS = 90 * SECOND_MS
_SHARE_OF_CYCLE = 6
_TONES = 8


def minutes(length_ms: float) -> str:
    """Milliseconds of the dial as its x, in minutes."""
    return number(length_ms / MINUTE_MS)


class BarPaths:
    """Path data of times on, gathered over one or many lanes of one load.

    `is_stretched` tells whether a time on was drawn longer than it is, `has_blends`
    whether some are told only as a tone.
    """

    def __init__(self) -> None:
        self._plain: list[str] = []
        self._halves: list[str] = []
        self._dashed: dict[str, list[str]] = {}
        self._tones: dict[int, list[str]] = {}
        self.is_stretched = False

    @property
    def has_blends(self) -> bool:
        """Whether some of it is only a tone."""
        return bool(self._tones)

    def gather(self, row: DayRow, bars: Sequence[Run | Blend], y: float, height: float) -> None:
        """Takes in what a load did in a row, drawn around the height `y`."""
        for bar in bars:
            if isinstance(bar, Blend):
                self._blend(row, bar, y)
            elif row.is_plain and bar.times >= DASHED_FROM:
                self._dash(row, bar, y)
            else:
                drawn_ms = self._seen_ms(bar)
                for begin, _ in stretches([bar]):
                    self._line(row, begin, begin + drawn_ms, y, height)

    def _seen_ms(self, run: Run) -> int:
        most_ms = (run.on_ms + run.off_ms) // _SHARE_OF_CYCLE if run.times > 1 else _SEEN_MS
        seen_ms = max(run.on_ms, min(_SEEN_MS, most_ms))
        self.is_stretched |= seen_ms > run.on_ms
        return seen_ms

    def _dash(self, row: DayRow, run: Run, y: float) -> None:
        drawn_ms = self._seen_ms(run)
        period_ms = run.on_ms + run.off_ms
        whole_ms = (run.times - 1) * period_ms + drawn_ms
        pattern = f"{minutes(drawn_ms)} {minutes(period_ms - drawn_ms)}"
        x = minutes(next(row.spans(run.start, run.start + 1)).low_ms)
        self._dashed.setdefault(pattern, []).append(f"M{x} {number(y)}h{minutes(whole_ms)}")

    def _line(self, row: DayRow, start: Instant, end: Instant, y: float, height: float) -> None:
        for low, high, turn in row.spans(start, end):
            into = self._halves if turn else self._plain
            at = y + (0, -height / 4, height / 4)[turn]
            into.append(f"M{minutes(low)} {number(at)}h{minutes(high - low)}")

    def _blend(self, row: DayRow, blend: Blend, y: float) -> None:
        share = blend.on_ms / (blend.end - blend.start)
        tones = self._tones.setdefault(max(1, round(share * _TONES)), [])
        for low, high, _ in row.spans(blend.start, blend.end):
            tones.append(f"M{minutes(low)} {number(y)}h{minutes(high - low)}")

    def draw(self, parent: Element, kind: str, height: float) -> None:
        """Draws all that was gathered, as lines as thick as a lane is high."""
        look = {"class_": f"bar {kind}", "stroke_width": number(height)}
        if self._plain:
            add(parent, "path", d=path(self._plain), **look)
        for pattern, parts in self._dashed.items():
            add(parent, "path", d=path(parts), stroke_dasharray=pattern, **look)
        if self._halves:
            half = {**look, "stroke_width": number(height / 2)}
            add(parent, "path", d=path(self._halves), **half)
        for tone, parts in sorted(self._tones.items()):
            add(parent, "path", d=path(parts), stroke_opacity=number(tone / _TONES), **look)
