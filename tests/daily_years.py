"""The two typical years of `typical_years` reduced to days, as the text of a file of days."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from controller.core.units import DAY_MS, date_of_number, day_number, parse_date
from controller.weather.air_source import AirSource, air_source
from controller.weather.days import AirDay, days_of_air
from controller.weather.formats import parse_weather
from controller.weather.hours import hours_of_air
from tests.typical_years import SITE, YEAR, TypicalYear, column

FIRST = day_number(parse_date(f"{YEAR}-01-01"))
TEMPERATURES = ("coolest_c", "warmest_c")
WHOLE = (*TEMPERATURES, "humidity_highest_pct", "humidity_lowest_pct", "wind_m_s",
         "global_radiation_mj_m2")  # fmt: skip


@cache
def reduced(year: TypicalYear, name: str) -> Any:
    """A column of the 365 days, from the rows of the hours as the file has them."""

    def rows(heading: str) -> Any:
        return np.array(column(year, heading)).reshape(365, 24)

    match name:
        case "coolest_c":
            return rows("Dry-bulb (C)").min(axis=1)
        case "warmest_c":
            return rows("Dry-bulb (C)").max(axis=1)
        case "humidity_highest_pct":
            return rows("RHum (%)").max(axis=1)
        case "humidity_lowest_pct":
            return rows("RHum (%)").min(axis=1)
        case "wind_m_s":
            return rows("Wspd (m/s)").mean(axis=1)
        case _:
            assert name == "global_radiation_mj_m2"
            return rows("GHI (W/m^2)").sum(axis=1) * 0.0036


def text_of(year: TypicalYear, columns: tuple[str, ...]) -> str:
    """A file of those days with these columns."""
    lines = [
        f"# latitude = {year.latitude}",
        f"# longitude = {year.longitude}",
        f"# elevation_m = {year.elevation_m}",
        f"# utc_offset_h = {year.utc_offset_h}",
        ",".join(["date", *columns]),
    ]
    for day in range(365):
        cells = [f"{reduced(year, name)[day]:.9g}" for name in columns]
        lines.append(",".join([date_of_number(FIRST + day).isoformat(), *cells]))
    return "\n".join(lines) + "\n"


@cache
def daily_source(year: TypicalYear, columns: tuple[str, ...]) -> AirSource:
    """The air of that file."""
    return air_source(SITE, parse_weather(text_of(year, columns).encode(), name="days.csv"))


@cache
def days_from(source: AirSource) -> tuple[AirDay, ...]:
    """The year's days as a source has them."""
    first = source.start_of_day(FIRST)
    before = first + 365 * DAY_MS
    hours = hours_of_air(source, first=first, before=before)
    return tuple(days_of_air(hours, source, first=first, before=before))
