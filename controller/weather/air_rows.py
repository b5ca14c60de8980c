"""The rows of one local standard day of air, from midnight to midnight without a gap."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from controller.core.units import DAY_MS, HOUR_MS, Instant, date_of_number
from controller.weather.air_source import AirSource
from controller.weather.assembly import ROWS_APART_MS_MAX
from controller.weather.typical_year import DAYS_OF_MONTH
from controller.weather.weather import Weather


class Row(NamedTuple):
    """What a file tells of the time from `start` to `end`; None is unknown.

    °C, %, m/s at the file's height, mean W/m² on level ground.
    """

    start: Instant
    end: Instant
    temperature_c: float | None
    humidity_pct: float | None
    wind_m_s: float | None
    radiation_w_m2: float | None


def rows_of_day(source: AirSource, number: int) -> list[Row]:
    """The rows of that local standard day, in order; each ends where the next begins.

    A row of the file ends at its stamp and tells all its time. Rows shorter than an hour are
    put together to hours, known parts standing for unknown ones, and a row that reaches over
    midnight is cut there. Where the file tells nothing there are rows of an hour at most with
    nothing in them.
    """
    start = source.start_of_day(number)
    if source.weather is None:
        return list(_unknown(start, start, start + DAY_MS))
    if source.weather.is_typical_year:
        return _typical_rows(source.weather, number, start)
    return list(_joined(_dated_rows(source.weather, start), start))


def _typical_rows(weather: Weather, number: int, start: Instant) -> list[Row]:
    """The day of that month and day; 29 February has the hours of 28 February over again."""
    day = date_of_number(number)
    in_month = min(day.day, DAYS_OF_MONTH[day.month - 1])
    first = 24 * (sum(DAYS_OF_MONTH[: day.month - 1]) + in_month - 1)
    here = slice(first, first + 24)
    return list(
        map(
            Row,
            range(start, start + DAY_MS, HOUR_MS),
            range(start + HOUR_MS, start + DAY_MS + 1, HOUR_MS),
            weather.air_temperature_c[here],
            weather.humidity_pct[here],
            weather.wind_m_s[here],
            weather.global_radiation_w_m2[here],
        )
    )


def _dated_rows(weather: Weather, day_start: Instant) -> Iterator[Row]:
    """The file's rows cut to the day, and unknown ones where there are none."""
    stamps, day_end = weather.stamps, day_start + DAY_MS
    cursor = day_start
    for index in range(bisect_right(stamps, day_start), len(stamps)):
        start = stamps[index] - row_length_ms(weather, index)
        if start >= day_end:
            break
        yield from _unknown(day_start, cursor, start)
        end = min(stamps[index], day_end)
        yield Row(
            max(start, cursor),
            end,
            weather.air_temperature_c[index],
            weather.humidity_pct[index],
            weather.wind_m_s[index],
            weather.global_radiation_w_m2[index],
        )
        cursor = end
    yield from _unknown(day_start, cursor, day_end)


def row_length_ms(weather: Weather, index: int) -> int:
    """How long the time is that a row tells: since the row before, at most 3 h.

    The first row's is as long as the second's; a row alone tells an hour.
    """
    stamps = weather.stamps
    if len(stamps) == 1:
        return HOUR_MS
    later = max(index, 1)
    return min(stamps[later] - stamps[later - 1], ROWS_APART_MS_MAX)


def _unknown(day_start: Instant, start: Instant, end: Instant) -> Iterator[Row]:
    """Rows with nothing in them, cut at the day's hours; none where the end is not later."""
    while start < end:
        next_hour = day_start + ((start - day_start) // HOUR_MS + 1) * HOUR_MS
        following = min(next_hour, end)
        yield Row(start, following, None, None, None, None)
        start = following


def _joined(rows: Iterable[Row], day_start: Instant) -> Iterator[Row]:
    """The rows, those that end within the same hour of the day made one of an hour at most."""
    together: list[Row] = []
    for row in rows:
        if together and not (
            row.end - together[0].start <= HOUR_MS
            and _hour(row, day_start) == _hour(together[0], day_start)
        ):
            yield _one_of(together)
            together = []
        together.append(row)
    if together:
        yield _one_of(together)


def _hour(row: Row, day_start: Instant) -> int:
    return (row.end - 1 - day_start) // HOUR_MS


def _one_of(rows: list[Row]) -> Row:
    """The means of several rows, each counting for its length; unknown where none knows."""
    if len(rows) == 1:
        return rows[0]
    lengths = [row.end - row.start for row in rows]
    means: list[float | None] = []
    for values in list(zip(*rows, strict=True))[2:]:
        known = [
            (value, length)
            for value, length in zip(values, lengths, strict=True)
            if value is not None
        ]
        total = sum(length for _, length in known)
        means.append(sum(value * length for value, length in known) / total if total else None)
    return Row(rows[0].start, rows[-1].end, *means)
