"""A day of switching in few words: the same time on again and again is one run."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS
from controller.report.picture.recording import Blend, Run

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from controller.core.units import Instant
    from controller.report.picture.recording import Bars, Day, Recording

# More runs than this in a day are a blur in any picture of a day.
RUNS_A_DAY_MAX = 150
_BLENDS_A_DAY = 96
# A run of so many repetitions is written as one dashed line, shorter ones bar by bar.
DASHED_FROM = 5
# So many bars and lines keep a picture below its 1.5 MB.
_PIECES_MAX = 60_000
_BLENDS_MS = (15 * MINUTE_MS, HOUR_MS, 2 * HOUR_MS, 6 * HOUR_MS)


def bars_of(edges: Sequence[Instant], day: Day) -> Bars:
    """A day's times on as runs, or as blends of a quarter-hour where they are too restless.

    Args:
        edges: begin, end, begin, end, … of the times on, in order, within the day.
        day: the day.
    """
    runs = _runs(edges)
    if len(runs) <= RUNS_A_DAY_MAX:
        return tuple(runs)
    return blended(runs, day, -(-(day.end - day.begin) // _BLENDS_A_DAY))


def _runs(edges: Sequence[Instant]) -> list[Run]:
    runs: list[Run] = []
    end = 0
    for begin, stop in zip(edges[::2], edges[1::2], strict=True):
        if begin == stop:
            continue
        on_ms, off_ms = stop - begin, begin - end
        last = runs[-1] if runs else None
        # A first time on may be followed by any gap.
        if last and last.on_ms == on_ms and (last.times == 1 or last.off_ms == off_ms):
            runs[-1] = Run(last.start, on_ms, off_ms, last.times + 1)
        else:
            runs.append(Run(begin, on_ms, 0, 1))
        end = stop
    return runs


def stretches(bars: Sequence[Run | Blend]) -> Iterator[tuple[Instant, Instant]]:
    """The single times on of a day's runs; a blend counts as one stretch in its middle."""
    for bar in bars:
        if isinstance(bar, Blend):
            rest_ms = bar.end - bar.start - bar.on_ms
            yield bar.start + rest_ms // 2, bar.start + rest_ms // 2 + bar.on_ms
            continue
        period_ms = bar.on_ms + bar.off_ms
        for number in range(bar.times):
            begin = bar.start + number * period_ms
            yield begin, begin + bar.on_ms


def blended(bars: Sequence[Run | Blend], day: Day, width_ms: int) -> Bars:
    """The bars as blends of that width, counted from the day's begin; none where all is off."""
    on_ms: dict[int, int] = {}
    for begin, stop in stretches(bars):
        while begin < stop:
            number = (begin - day.begin) // width_ms
            border = min(stop, day.begin + (number + 1) * width_ms)
            on_ms[number] = on_ms.get(number, 0) + border - begin
            begin = border
    return tuple(
        Blend(start, min(day.end, start + width_ms), ms)
        for number, ms in sorted(on_ms.items())
        for start in [day.begin + number * width_ms]
    )


def drawable(recording: Recording) -> Recording:
    """The recording with blends in place of bars where those are too many to be drawn."""
    lane_days = [bars for lane in recording.lanes for bars in lane]
    if sum(map(_pieces, lane_days)) <= _PIECES_MAX:
        return recording
    fitting = (ms for ms in _BLENDS_MS if len(lane_days) * DAY_MS // ms <= _PIECES_MAX)
    width_ms = next(fitting, _BLENDS_MS[-1])
    lanes = tuple(
        tuple(blended(bars, day, width_ms) for bars, day in zip(lane, recording.days, strict=True))
        for lane in recording.lanes
    )
    return replace(recording, lanes=lanes)


def _pieces(bars: Bars) -> int:
    return sum(
        1 if isinstance(bar, Blend) or bar.times >= DASHED_FROM else bar.times for bar in bars
    )
