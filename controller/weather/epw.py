"""Weather in the EPW format of EnergyPlus.

Source: EnergyPlus, Auxiliary Programs, chapter "EnergyPlus Weather File (EPW) Data
Dictionary": eight lines of header from LOCATION to DATA PERIODS, then one line an hour in
local standard time, hours 1 to 24 named after their end. Radiation is summed over that hour
(Wh/m², so the mean in W/m²); the rest stands for the time indicated. Missing: 99.9 °C,
999 %, 999999 Pa, 9999 Wh/m², 999 m/s.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from datetime import date

from controller.core.units import DAY_MS, HOUR_MS, Instant, day_number, shown
from controller.weather.assembly import HOURS_MISSING_MAX, assemble
from controller.weather.cells import CellRule, read_cells
from controller.weather.complaints import Complaints
from controller.weather.place import Place, label, read_place
from controller.weather.typical_year import CALENDAR_HOURS, stand_in_stamps
from controller.weather.weather import Weather

_HEADER_LINES = 8
_CELLS_MIN = 22  # up to wind speed, the last that is read; a whole line has 35
_RULES: tuple[tuple[int, CellRule], ...] = (
    (6, CellRule("air_temperature_c", "dry bulb temperature", "°C", missing=99.9)),
    (8, CellRule("humidity_pct", "relative humidity", "%", missing=999.0)),
    (9, CellRule("pressure_kpa", "station pressure", "Pa", per=1000.0, missing=999999.0)),
    (
        13,
        CellRule("global_radiation_w_m2", "global horizontal radiation", "Wh/m²", missing=9999.0),
    ),
    (21, CellRule("wind_m_s", "wind speed", "m/s", missing=999.0)),
)
_STAMP = "year, month, day, hour"
_STATION = ("latitude", "longitude", "utc_offset_h", "elevation_m")
_DATE_WITH_YEAR = re.compile(r"\s*[0-9]{1,2}\s*/\s*[0-9]{1,2}\s*/\s*[0-9]{4}\s*")
_INTEGER = re.compile(r"\s*[0-9]{1,4}\s*")


def is_epw(lines: Sequence[str]) -> bool:
    """Whether the first line is the LOCATION line of EPW."""
    return bool(lines) and lines[0][:9].upper() == "LOCATION,"


def parse_epw(lines: Sequence[str], *, name: str) -> Weather:
    """The hours in these lines of the file called `name`.

    They are a typical year where they are the 8,760 hours of a common year and the
    DATA PERIODS line states no year; else they are taken at the years on their lines.

    Raises:
        BadWeatherError: tells line, column, what was found and what is allowed.
    """
    complaints = Complaints(name)
    station, place = _read_location(lines[0], complaints)
    has_year = _read_data_periods(lines, complaints)
    complaints.raise_if_any()
    rows = _read_rows(lines[_HEADER_LINES:], complaints)
    stamps = _read_stamps(
        rows, utc_offset_ms=place.utc_offset_ms, has_year=has_year, complaints=complaints
    )
    numbers = range(_HEADER_LINES + 1, _HEADER_LINES + 1 + len(rows))
    columns = {
        rule.column: read_cells(
            [row[index] for row in rows], lines=numbers, rule=rule, complaints=complaints
        )
        for index, rule in _RULES
    }
    complaints.raise_if_any()
    is_typical_year = stamps is None
    return assemble(
        f"{name} (EPW, {station})" if station else f"{name} (EPW)",
        stamps=stand_in_stamps(place.utc_offset_ms) if stamps is None else stamps,
        columns=columns,
        place=place,
        is_typical_year=is_typical_year,
        known_apart_ms_max=(HOURS_MISSING_MAX + 1) * HOUR_MS,
    )


def _read_location(line: str, complaints: Complaints) -> tuple[str, Place]:
    cells = next(csv.reader([line]))
    if len(cells) < 10:
        complaints.add(
            1,
            "LOCATION",
            found=shown(line),
            allowed="LOCATION, city, state, country, source, number, latitude, longitude, "
            "offset from UTC, elevation",
            mend="fetch the file anew",
        )
        complaints.raise_if_any()
    texts = dict(zip(_STATION, cells[6:10], strict=True))
    place = read_place(texts, lines=dict.fromkeys(_STATION, 1), complaints=complaints)
    return label(cells[1], cells[3]), place


def _read_data_periods(lines: Sequence[str], complaints: Complaints) -> bool:
    """Whether the DATA PERIODS line states the year of its dates."""
    line = lines[_HEADER_LINES - 1] if len(lines) >= _HEADER_LINES else ""
    cells = next(csv.reader([line]))
    allowed = "DATA PERIODS, 1 period, 1 record an hour, name, weekday, first date, last date"
    if len(cells) < 7 or cells[0].strip().upper() != "DATA PERIODS":
        complaints.add(
            _HEADER_LINES,
            "DATA PERIODS",
            found=shown(line) if line else "no such line",
            allowed=allowed,
            mend=f"fetch the file anew; EPW has {_HEADER_LINES} lines of header",
        )
        return False
    if [cell.strip() for cell in cells[1:3]] != ["1", "1"]:
        complaints.add(
            _HEADER_LINES,
            "DATA PERIODS",
            found=f"{shown(cells[1])} periods, {shown(cells[2])} records an hour",
            allowed=allowed,
            mend="cut the file to one period of hourly records, or give it as plain CSV",
        )
    return any(_DATE_WITH_YEAR.fullmatch(cell) for cell in cells[5:7])


def _read_rows(lines: Sequence[str], complaints: Complaints) -> list[list[str]]:
    rows = [line.split(",") for line in lines]
    for number, row in enumerate(rows, _HEADER_LINES + 1):
        if len(row) < _CELLS_MIN and not complaints.are_enough("cells"):
            complaints.add(
                number,
                "cells",
                found=f"{len(row)} of them",
                allowed=f"at least {_CELLS_MIN} (35 in a whole line)",
                mend="fetch the file anew; this line is cut short",
            )
    if not rows:
        complaints.add(0, "", found="no hours", allowed="one line an hour", mend="fetch it anew")
    complaints.raise_if_any()
    return rows


def _read_stamps(
    rows: list[list[str]], *, utc_offset_ms: int, has_year: bool, complaints: Complaints
) -> list[Instant] | None:
    """The ends of the hours; None where they are those of a year that stands for any.

    Raises:
        BadWeatherError: a date is none, or an hour is not the one after the line before.
    """
    stamps: list[Instant] = []
    hours: list[tuple[int, int, int]] = []
    for number, row in enumerate(rows, _HEADER_LINES + 1):
        if complaints.are_enough(_STAMP):
            break
        start = _date_and_hour(row, number, complaints)
        if start is not None:
            day, hour = start
            stamps.append(day_number(day) * DAY_MS + hour * HOUR_MS - utc_offset_ms)
            hours.append((day.month, day.day, hour))
    complaints.raise_if_any()
    if not has_year and tuple(hours) == CALENDAR_HOURS:
        return None
    for index in range(1, len(stamps)):
        if stamps[index] - stamps[index - 1] != HOUR_MS:
            complaints.add(
                _HEADER_LINES + 1 + index,
                _STAMP,
                found=shown(",".join(rows[index][:4])),
                allowed=f"the hour after {','.join(rows[index - 1][:4])}",
                mend="every hour must be there, in order; only the 8,760 hours of a whole "
                "typical year may come from different years",
            )
            break
    complaints.raise_if_any()
    return stamps


def _date_and_hour(row: list[str], number: int, complaints: Complaints) -> tuple[date, int] | None:
    if all(_INTEGER.fullmatch(cell) for cell in row[:4]):
        year, month, day, hour = map(int, row[:4])
        start = _date_of(year, month, day)
        if start is not None and 1 <= hour <= 24:
            return start, hour
    complaints.add(
        number,
        _STAMP,
        found=shown(",".join(row[:4])),
        allowed="a date, and an hour from 1 to 24",
        mend="fetch the file anew; a program may have rewritten the dates",
    )
    return None


def _date_of(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
