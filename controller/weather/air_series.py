"""What one quantity of the air is at an instant, and when it next passes a threshold."""

from __future__ import annotations

from abc import ABC, abstractmethod
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from datetime import date
from math import inf, nextafter
from typing import Literal, TypeAlias

from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, Instant, day_number
from controller.weather.assembly import ROWS_APART_MS_MAX
from controller.weather.known_run import KnownRun
from controller.weather.typical_year import HOURS_OF_YEAR
from controller.weather.weather import Column, Weather

SeriesName: TypeAlias = Literal[
    "air_temperature_c", "humidity_pct", "global_radiation_w_m2", "pressure_kpa"
]

_HALF_HOUR_MS = 30 * MINUTE_MS
_FEBRUARY_28 = 31 + 27  # days of a common year before it
_YEAR_STARTS_MS = tuple(day_number(date(year, 1, 1)) * DAY_MS for year in range(1969, 2202))


class AirSeries(ABC):
    """One quantity over time: straight lines between points, unknown where there are none."""

    __slots__ = ()

    @abstractmethod
    def value_at(self, instant: Instant) -> float | None:
        """The value at the instant, None where it is unknown."""

    def next_crossing(
        self, *, after: Instant, before: Instant, thresholds: Sequence[float]
    ) -> Instant | None:
        """The first instant later than `after` and earlier than `before` that changes sides.

        A value is below, at or above each threshold, or unknown: four sides. The answer is
        the first millisecond at which `value_at` is on another side of any threshold than
        it is at `after`; so whoever compares by > and whoever compares by >= both see every
        change there, never a millisecond early or late. A value that meets a threshold
        exactly and goes on has two such instants, one for arriving and one for leaving.
        Without thresholds only becoming known or unknown counts. Thresholds are finite.
        """
        value = self.value_at(after)
        if value is None:
            return self.first_known(after, before=before)
        above, below = -inf, inf
        for threshold in thresholds:
            if threshold < value:
                above = max(above, threshold)
            elif threshold > value:
                below = min(below, threshold)
            else:
                above, below = nextafter(value, -inf), nextafter(value, inf)
                break
        return self.first_outside(after, before=before, above=above, below=below)

    @abstractmethod
    def first_known(self, after: Instant, *, before: Instant) -> Instant | None:
        """The first instant between the two, neither included, whose value is known."""

    @abstractmethod
    def first_outside(
        self, after: Instant, *, before: Instant, above: float, below: float
    ) -> Instant | None:
        """The first between the two at which the value is unknown or not within the open range."""


class DatedSeries(AirSeries):
    """Points at instants of their own; neighbours more than 3 h apart are not joined."""

    __slots__ = ("_runs", "_starts")

    def __init__(self, stamps: Sequence[Instant], values: Sequence[float | None]) -> None:
        self._runs = tuple(_known_runs(stamps, values))
        self._starts = tuple(run.start for run in self._runs)

    def value_at(self, instant: Instant) -> float | None:
        """The value at the instant, None where it is unknown."""
        index = bisect_right(self._starts, instant) - 1
        if index < 0:
            return None
        run = self._runs[index]
        return run.value_at(instant) if instant <= run.end else None

    def first_known(self, after: Instant, *, before: Instant) -> Instant | None:
        """The first instant between the two, neither included, whose value is known."""
        first = after + 1
        index = bisect_right(self._starts, first) - 1
        if index < 0 or first > self._runs[index].end:
            if index + 1 == len(self._runs):
                return None
            first = self._starts[index + 1]
        return first if first < before else None

    def first_outside(
        self, after: Instant, *, before: Instant, above: float, below: float
    ) -> Instant | None:
        """The first between the two at which the value is unknown or not within the open range."""
        first = after + 1
        index = bisect_right(self._starts, first) - 1
        if index >= 0 and first <= self._runs[index].end:
            run = self._runs[index]
            outside = run.first_outside(first, before=before, above=above, below=below)
            first = run.end + 1 if outside is None else outside
        return first if first < before else None


class YearSeries(AirSeries):
    """The hours of a typical year, told for any calendar year from 1969 to 2200.

    An instant is taken to its local standard time; its month, day and hour find the point.
    29 February has the hours of 28 February over again, and the year's end is joined to its
    beginning.
    """

    __slots__ = ("_common", "_leap", "_utc_offset_ms")

    def __init__(self, values: Sequence[float | None], *, utc_offset_ms: int) -> None:
        assert len(values) == HOURS_OF_YEAR
        self._utc_offset_ms = utc_offset_ms
        # Value i ends hour i of the year; the year starts where the last hour ended.
        hours = (values[-1], *values)
        end = (_FEBRUARY_28 + 1) * 24 + 1
        doubled = (*hours[:end], *hours[end - 24 : end], *hours[end:])
        self._common = _hourly(hours)
        self._leap = _hourly(doubled)

    def value_at(self, instant: Instant) -> float | None:
        """The value at the instant, None where it is unknown."""
        local = instant + self._utc_offset_ms
        index = bisect_right(_YEAR_STARTS_MS, local)
        if not 0 < index < len(_YEAR_STARTS_MS):
            return None
        start = _YEAR_STARTS_MS[index - 1]
        is_leap = _YEAR_STARTS_MS[index] - start > 365 * DAY_MS
        return (self._leap if is_leap else self._common).value_at(local - start)

    def _years(
        self, after: Instant, before: Instant
    ) -> Iterable[tuple[DatedSeries, Instant, Instant]]:
        """Each calendar year between the two: its points, its start and its end."""
        index = max(0, bisect_right(_YEAR_STARTS_MS, after + 1 + self._utc_offset_ms) - 1)
        for year in range(index, len(_YEAR_STARTS_MS) - 1):
            start, end = _YEAR_STARTS_MS[year], _YEAR_STARTS_MS[year + 1]
            if start - self._utc_offset_ms >= before:
                return
            series = self._leap if end - start > 365 * DAY_MS else self._common
            yield series, start - self._utc_offset_ms, end - self._utc_offset_ms

    def first_known(self, after: Instant, *, before: Instant) -> Instant | None:
        """The first instant between the two, neither included, whose value is known."""
        for series, start, end in self._years(after, before):
            first = series.first_known(max(after - start, -1), before=min(before, end) - start)
            if first is not None:
                return start + first
        return None

    def first_outside(
        self, after: Instant, *, before: Instant, above: float, below: float
    ) -> Instant | None:
        """The first between the two at which the value is unknown or not within the open range."""
        for series, start, end in self._years(after, before):
            first = series.first_outside(
                max(after - start, -1), before=min(before, end) - start, above=above, below=below
            )
            if first is not None:
                return start + first
        return None


def series_of(weather: Weather, name: SeriesName) -> AirSeries:
    """The series of one quantity of a weather file.

    Radiation is a mean over the time up to its stamp, so its points stand in the middle of
    that time; all else stands at the stamp.
    """
    is_mean = name == "global_radiation_w_m2"
    column = weather.column(name)
    if weather.is_typical_year:
        offset_ms = round((weather.utc_offset_h or 0.0) * HOUR_MS)
        return YearSeries(column, utc_offset_ms=offset_ms + (_HALF_HOUR_MS if is_mean else 0))
    return DatedSeries(_middles(weather.stamps) if is_mean else weather.stamps, column)


def _middles(stamps: Sequence[Instant]) -> list[Instant]:
    """The middle of the time between each stamp and the one before, at most 3 h long.

    The first has no stamp before it: its time is taken to be as long as the next one's.
    """
    steps_ms = [
        min(stamps[index] - stamps[index - 1], ROWS_APART_MS_MAX) for index in range(1, len(stamps))
    ]
    steps_ms.insert(0, steps_ms[0] if steps_ms else 0)
    return [stamp - step_ms // 2 for stamp, step_ms in zip(stamps, steps_ms, strict=True)]


def _hourly(values: Column) -> DatedSeries:
    return DatedSeries(range(0, len(values) * HOUR_MS, HOUR_MS), values)


def _known_runs(stamps: Sequence[Instant], values: Sequence[float | None]) -> Iterable[KnownRun]:
    """The stretches of known values whose neighbours are no more than 3 h apart."""
    run_stamps: list[Instant] = []
    run_values: list[float] = []
    for stamp, value in zip(stamps, values, strict=True):
        is_joined = bool(run_stamps) and stamp - run_stamps[-1] <= ROWS_APART_MS_MAX
        if run_stamps and (value is None or not is_joined):
            yield KnownRun(run_stamps, run_values)
            run_stamps, run_values = [], []
        if value is not None:
            run_stamps.append(stamp)
            run_values.append(value)
    if run_stamps:
        yield KnownRun(run_stamps, run_values)
