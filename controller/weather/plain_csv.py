"""Weather as plain CSV, the format for a grower's own logger or thermometer.

Lines that start with # may come first; of them `# latitude = 47.1` and the like state a
fact (`latitude`, `longitude`, `elevation_m`, `utc_offset_h`, `wind_height_m`). Then one
line names the columns, units included (`csv_vocabulary`): `time` makes it a file of hours,
`date` one of days (`daily_csv`). `time` is an RFC 3339 instant with its offset. A row tells
the temperature, humidity, wind and pressure at its time, and the mean of the global radiation
since the row before. Rows may be any time apart: what lies between rows up to 3 h apart is
interpolated, what lies between others is unknown. An empty cell was not measured.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from typing import NamedTuple

from controller.core.errors import BadInstantError
from controller.core.units import Instant, parse_rfc3339, rfc3339, shown
from controller.weather.assembly import ROWS_APART_MS_MAX, assemble
from controller.weather.cells import read_cells
from controller.weather.complaints import Complaints
from controller.weather.csv_header import read_comments, read_headings
from controller.weather.csv_vocabulary import DAYS, HOURS, TIME
from controller.weather.daily_csv import daily_weather
from controller.weather.place import Place
from controller.weather.weather import Weather

_OFFSET = re.compile(r".*(?P<sign>[+-])(?P<h>[0-9]{2}):(?P<m>[0-9]{2})\s*")


class _Rows(NamedTuple):
    lines: list[int]
    cells: list[list[str]]


def parse_plain_csv(lines: Sequence[str], *, name: str) -> Weather:
    """The rows in these lines of the file called `name`, at their own dates.

    One of the lines is a header: `formats` has seen it.

    Raises:
        BadWeatherError: tells line, column, what was found and what is allowed.
    """
    complaints = Complaints(name)
    start = first_line_of_data(lines)
    place = read_comments(lines[:start], complaints)
    rows = _read_rows(lines[start:], start + 1, complaints)
    kind, headings = read_headings(rows.cells[0], line=rows.lines[0], complaints=complaints)
    rows = _of_one_width(rows, len(headings), complaints)
    if kind is DAYS:
        return daily_weather(
            name,
            headings=headings,
            rows=rows.cells,
            lines=rows.lines,
            place=place,
            complaints=complaints,
        )
    times = [row[headings.index(TIME)] for row in rows.cells]
    stamps = _read_stamps(times, rows.lines, complaints)
    columns = {
        HOURS.rules[heading].column: read_cells(
            [row[index] for row in rows.cells],
            lines=rows.lines,
            rule=HOURS.rules[heading],
            complaints=complaints,
        )
        for index, heading in enumerate(headings)
        if heading != TIME
    }
    complaints.raise_if_any()
    return assemble(
        f"{name} (plain CSV)",
        stamps=stamps,
        columns=columns,
        place=_with_offset(place, times),
        is_typical_year=False,
        known_apart_ms_max=ROWS_APART_MS_MAX,
    )


def first_line_of_data(lines: Sequence[str]) -> int:
    """The index of the first line that is neither a comment nor blank."""
    for index, line in enumerate(lines):
        if line.strip() and not line.lstrip().startswith("#"):
            return index
    return len(lines)


def _read_rows(lines: Sequence[str], first_line: int, complaints: Complaints) -> _Rows:
    """Every row that is not blank, the header among them, and the line on which it ends.

    Raises:
        BadWeatherError: the quotes do not pair up.
    """
    reader = csv.reader(lines, strict=True)
    rows = _Rows([], [])
    try:
        for row in reader:
            if row:
                rows.lines.append(first_line + reader.line_num - 1)
                rows.cells.append(row)
    except csv.Error as error:
        complaints.add(
            first_line + reader.line_num - 1,
            "row",
            found=str(error),
            allowed='cells parted by commas, in plain text or each in one pair of "quotes"',
            mend="look for a quote without its partner",
        )
    complaints.raise_if_any()
    return rows


def _of_one_width(rows: _Rows, width: int, complaints: Complaints) -> _Rows:
    """The rows below the header.

    Raises:
        BadWeatherError: one has more or fewer cells than the header, or there is none.
    """
    body = _Rows(rows.lines[1:], rows.cells[1:])
    for line, row in zip(body.lines, body.cells, strict=True):
        if len(row) != width and not complaints.are_enough("row"):
            complaints.add(
                line,
                "row",
                found=f"{len(row)} cell{'s' if len(row) != 1 else ''}",
                allowed=f"{width}, as in the header",
                mend="write decimals after a point, and nothing but its comma for an empty cell",
            )
    if not body.cells:
        complaints.add(0, "", found="no rows", allowed="one row or more", mend="add the rows")
    complaints.raise_if_any()
    return body


def _read_stamps(
    times: Sequence[str], lines: Sequence[int], complaints: Complaints
) -> list[Instant]:
    stamps: list[Instant] = []
    for time, line in zip(times, lines, strict=True):
        if complaints.are_enough(TIME):
            break
        try:
            stamp = parse_rfc3339(time.strip())
        except BadInstantError as error:
            complaints.add(
                line,
                TIME,
                found=str(error),
                allowed="instants with their offset, each later than the one before",
                mend="give every row the offset that its clock had",
            )
            continue
        if stamps and stamp <= stamps[-1]:
            complaints.add(
                line,
                TIME,
                found=f"{shown(time.strip())}, not after {rfc3339(stamps[-1])}",
                allowed="instants in order, each later than the one before",
                mend="sort the rows; when clocks were set back, the offset must change",
            )
            continue
        stamps.append(stamp)
    if not complaints and not _has_near_rows(stamps):
        complaints.add(
            0,
            TIME,
            found="no two rows within 3 h of each other",
            allowed="rows 3 h apart or less, with a longer gap here and there",
            mend="use hourly values; a file of days has date, coolest_c and warmest_c",
        )
    return stamps


def _has_near_rows(stamps: Sequence[Instant]) -> bool:
    return any(
        stamps[index] - stamps[index - 1] <= ROWS_APART_MS_MAX for index in range(1, len(stamps))
    )


def _with_offset(place: Place, times: Sequence[str]) -> Place:
    """The place with the offset that all times share, unless a comment states one."""
    if place.utc_offset_h is not None:
        return place
    offsets = {match.groups() for match in map(_OFFSET.fullmatch, times) if match is not None}
    if len(offsets) != 1 or not all(map(_OFFSET.fullmatch, times)):
        return place
    sign, hours, minutes = offsets.pop()
    offset_h = (int(hours) + int(minutes) / 60) * (1 if sign == "+" else -1)
    return place._replace(utc_offset_h=offset_h)
