"""A Weather put together from what a reader found, with short gaps filled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from controller.core.units import HOUR_MS, Instant
from controller.weather.place import Place
from controller.weather.told_day import DayColumn
from controller.weather.weather import COLUMN_NAMES, Column, ColumnName, MissingRows, Weather

ROWS_APART_MS_MAX = 3 * HOUR_MS  # air changes too much in longer to be drawn as a line
HOURS_MISSING_MAX = 3  # in a row, in a file of hours


def assemble(
    source: str,
    *,
    stamps: Sequence[Instant],
    columns: Mapping[ColumnName | DayColumn, list[float | None]],
    place: Place,
    is_typical_year: bool,
    known_apart_ms_max: int,
) -> Weather:
    """The Weather of these rows; a column that is not given is unknown throughout.

    Missing rows are filled where the known rows on both sides are no more than
    `known_apart_ms_max` apart.
    """
    missing: list[MissingRows] = []
    filled: dict[ColumnName, Column] = {}
    for name in COLUMN_NAMES:
        values = columns.get(name)
        if values is None:
            filled[name] = (None,) * len(stamps)
            missing.append(MissingRows(name, len(stamps), 0, is_absent=True))
            continue
        before = values.count(None)
        filled[name] = fill_gaps(values, stamps=stamps, known_apart_ms_max=known_apart_ms_max)
        if before:
            after = filled[name].count(None)
            missing.append(MissingRows(name, before, before - after, is_absent=False))
    return Weather(
        source=source,
        is_typical_year=is_typical_year,
        stamps=tuple(stamps),
        air_temperature_c=filled["air_temperature_c"],
        humidity_pct=filled["humidity_pct"],
        wind_m_s=filled["wind_m_s"],
        global_radiation_w_m2=filled["global_radiation_w_m2"],
        pressure_kpa=filled["pressure_kpa"],
        latitude=place.latitude,
        longitude=place.longitude,
        elevation_m=place.elevation_m,
        utc_offset_h=place.utc_offset_h,
        wind_height_m=place.wind_height_m,
        missing=tuple(missing),
    )


def fill_gaps(
    values: Sequence[float | None], *, stamps: Sequence[Instant], known_apart_ms_max: int
) -> Column:
    """The values with short gaps filled along the straight line between their neighbours.

    A gap at either end, or between known values further apart than that, stays unknown.
    """
    if None not in values:
        return tuple(values)
    filled = list(values)
    last = -1  # index of the last known value
    for index, value in enumerate(values):
        if value is None:
            continue
        start = values[last] if last >= 0 else None
        if start is not None and last < index - 1:
            length_ms = stamps[index] - stamps[last]
            if length_ms <= known_apart_ms_max:
                for hole in range(last + 1, index):
                    share = (stamps[hole] - stamps[last]) / length_ms
                    filled[hole] = start + (value - start) * share
        last = index
    return tuple(filled)
