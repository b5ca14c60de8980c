"""The two typical years that pvlib ships, as we read them and as plain columns.

NREL's TMY3 of Greensboro, North Carolina, and of Sand Point, Alaska, whose winter sun stays
low for weeks.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pvlib

from controller.core.plan import Site
from controller.core.units import DAY_MS, Instant, day_number, parse_date
from controller.shell.weather_file import read_weather
from controller.weather.air_source import AirSource, air_source
from controller.weather.hours import HourOfAir, hours_of_air


class TypicalYear(NamedTuple):
    """A file that pvlib ships, and what its first line says; hours ahead of UTC."""

    file: str
    latitude: float
    longitude: float
    elevation_m: float
    utc_offset_h: int

    @property
    def path(self) -> Path:
        """Where it lies."""
        return Path(pvlib.__file__).parent / "data" / self.file

    def start_of(self, day: str) -> Instant:
        """Midnight of that day in the file's local standard time."""
        return day_number(parse_date(day)) * DAY_MS - self.utc_offset_h * 3_600_000


GREENSBORO = TypicalYear("723170TYA.CSV", 36.1, -79.95, 273.0, -5)
SAND_POINT = TypicalYear("703165TY.csv", 55.317, -160.517, 7.0, -9)

# A place of the plan that is not the file's, so that the file's is seen to be taken.
SITE = Site(latitude=36.0, longitude=-80.0, timezone="America/New_York", elevation_m=900)
YEAR = 2027  # a common year


@cache
def source_of(year: TypicalYear) -> AirSource:
    """The air of that file."""
    return air_source(SITE, read_weather(year.path))


@cache
def hours_of(year: TypicalYear) -> tuple[HourOfAir, ...]:
    """The hours of that file over a common year."""
    first, before = year.start_of(f"{YEAR}-01-01"), year.start_of(f"{YEAR + 1}-01-01")
    return tuple(hours_of_air(source_of(year), first=first, before=before))


@cache
def rows_of(year: TypicalYear) -> tuple[dict[str, str], ...]:
    """The rows of that file, not read by us."""
    with year.path.open(newline="") as file:
        next(file)
        return tuple(csv.DictReader(file))


def column(year: TypicalYear, heading: str) -> list[float]:
    """One column of that file, not read by us."""
    return [float(row[heading]) for row in rows_of(year)]
