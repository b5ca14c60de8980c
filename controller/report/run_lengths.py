"""A day of switching in few words: the same time on again and again is one run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.report.recording import Blend, Run

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from controller.core.units import Instant
    from controller.report.recording import Bars, Day

# More runs than this in a day are a blur in any picture of a day.
RUNS_A_DAY_MAX = 150
_BLENDS_A_DAY = 96


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
