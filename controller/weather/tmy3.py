"""Typical meteorological years in the TMY3 format.

Source: S. Wilcox and W. Marion, Users Manual for TMY3 Data Sets, NREL/TP-581-43156, 2008:
a line on the station, a line of headings, 8,760 lines of hours in local standard time.
Radiation is summed over the 60 minutes before the stamp (Wh/m² in an hour, so the mean in
W/m²); the rest stands for the time of the stamp. -9900 is a missing value.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence

from controller.core.units import HOUR_MS, shown
from controller.weather.assembly import HOURS_MISSING_MAX, assemble
from controller.weather.cells import CellRule, read_cells
from controller.weather.complaints import Complaints
from controller.weather.place import Place, label, read_place
from controller.weather.typical_year import CALENDAR_HOURS, HOURS_OF_YEAR, stand_in_stamps
from controller.weather.weather import Weather

DATE_HEADING = "Date (MM/DD/YYYY)"
TIME_HEADING = "Time (HH:MM)"
_MISSING = -9900.0
_RULES = (
    CellRule("air_temperature_c", "Dry-bulb (C)", "°C", missing=_MISSING),
    CellRule("humidity_pct", "RHum (%)", "%", missing=_MISSING),
    CellRule("wind_m_s", "Wspd (m/s)", "m/s", missing=_MISSING),
    CellRule("global_radiation_w_m2", "GHI (W/m^2)", "W/m²", missing=_MISSING),
    CellRule("pressure_kpa", "Pressure (mbar)", "mbar", per=10.0, missing=_MISSING),
)
_STATION = ("utc_offset_h", "latitude", "longitude", "elevation_m")
_FIRST_LINE = 3  # of the hours
_STAMPS = [(f"{month:02}/{day:02}/", f"{hour:02}:00") for month, day, hour in CALENDAR_HOURS]


def is_tmy3(lines: Sequence[str]) -> bool:
    """Whether the second line holds the headings of TMY3."""
    return len(lines) > 1 and lines[1].startswith(f"{DATE_HEADING},{TIME_HEADING}")


def parse_tmy3(lines: Sequence[str], *, name: str) -> Weather:
    """The typical year in these lines of the file called `name`.

    Raises:
        BadWeatherError: tells line, column, what was found and what is allowed.
    """
    complaints = Complaints(name)
    station, place = _read_station(lines[0], complaints)
    headings = lines[1].split(",")
    for rule in _RULES:
        if rule.heading not in headings:
            complaints.add(
                2,
                rule.heading,
                found="no such column",
                allowed="the headings of TMY3 as NREL published them",
                mend="fetch the file anew, or give it as plain CSV",
            )
    complaints.raise_if_any()
    places = {rule: headings.index(rule.heading) for rule in _RULES}
    rows = _read_rows(lines[2:], max(places.values()) + 1, complaints)
    numbers = range(_FIRST_LINE, _FIRST_LINE + len(rows))
    columns = {
        rule.column: read_cells(
            [row[index] for row in rows], lines=numbers, rule=rule, complaints=complaints
        )
        for rule, index in places.items()
    }
    complaints.raise_if_any()
    return assemble(
        f"{name} (TMY3, {station})" if station else f"{name} (TMY3)",
        stamps=stand_in_stamps(place.utc_offset_ms),
        columns=columns,
        place=place,
        is_typical_year=True,
        known_apart_ms_max=(HOURS_MISSING_MAX + 1) * HOUR_MS,
    )


def _read_station(line: str, complaints: Complaints) -> tuple[str, Place]:
    cells = next(csv.reader([line]))
    if len(cells) < 7:
        complaints.add(
            1,
            "station",
            found=shown(line),
            allowed="number, name, state, offset from UTC, latitude, longitude, elevation",
            mend="fetch the file anew",
        )
        complaints.raise_if_any()
    texts = dict(zip(_STATION, cells[3:7], strict=True))
    place = read_place(texts, lines=dict.fromkeys(_STATION, 1), complaints=complaints)
    return label(cells[1], cells[2]), place


def _read_rows(lines: Sequence[str], width: int, complaints: Complaints) -> list[list[str]]:
    """The cells of every hour, once all 8,760 are there and wide enough.

    Raises:
        BadWeatherError: they are not; without them no column can be read.
    """
    rows = [line.split(",") for line in lines]
    for number, row in enumerate(rows[:HOURS_OF_YEAR], _FIRST_LINE):
        date, time = _STAMPS[number - _FIRST_LINE]
        if len(row) < 2 or row[1] != time or not row[0].startswith(date) or len(row[0]) != 10:
            complaints.add(
                number,
                "date and time",
                found=shown(",".join(row[:2])),
                allowed=f"{date}YYYY,{time} here, each hour of the year in order, 01:00 to 24:00",
                mend="fetch the file anew; a spreadsheet may have rewritten the dates",
            )
            break
        if len(row) < width:
            complaints.add(
                number,
                "cells",
                found=f"{len(row)} of them",
                allowed=f"at least {width}",
                mend="fetch the file anew; this line is cut short",
            )
    if not complaints and len(rows) != HOURS_OF_YEAR:
        complaints.add(
            0,
            "",
            found=f"{len(rows):,} lines of hours",
            allowed=f"{HOURS_OF_YEAR:,}",
            mend="fetch the file anew",
        )
    complaints.raise_if_any()
    return rows
