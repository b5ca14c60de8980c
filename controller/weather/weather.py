"""The hours or the days of a weather file as values, whatever format they came in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

from controller.core.units import Instant
from controller.weather.told_day import ToldDay

ColumnName: TypeAlias = Literal[
    "air_temperature_c", "humidity_pct", "wind_m_s", "global_radiation_w_m2", "pressure_kpa"
]
Column: TypeAlias = tuple[float | None, ...]

COLUMN_NAMES: tuple[ColumnName, ...] = (
    "air_temperature_c",
    "humidity_pct",
    "wind_m_s",
    "global_radiation_w_m2",
    "pressure_kpa",
)
COLUMN_WORDS: dict[ColumnName, str] = {
    "air_temperature_c": "air temperature",
    "humidity_pct": "humidity",
    "wind_m_s": "wind",
    "global_radiation_w_m2": "global radiation",
    "pressure_kpa": "pressure",
}


class MissingRows(NamedTuple):
    """How many rows of a column the file leaves out, and how many of them were filled.

    A filled row lies on the straight line between its known neighbours; the others are
    unknown. `is_absent` tells that the file has no such column at all.
    """

    column: ColumnName
    missing: int
    filled: int
    is_absent: bool

    def words(self) -> str:
        """The count as a report prints it."""
        name = COLUMN_WORDS[self.column]
        if self.is_absent:
            return f"{name} is not in the file"
        rows = "1 row" if self.missing == 1 else f"{self.missing} rows"
        if not self.filled:
            return f"{name} missing in {rows}"
        if self.filled == self.missing:
            return f"{name} missing in {rows}, filled from the neighbours"
        return f"{name} missing in {rows}, {self.filled} filled from the neighbours"


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    """One row for each stamp of a weather file; columns are as long as `stamps`.

    A stamp is the instant for which temperature, humidity, wind and pressure stand; it ends
    the interval (an hour in TMY3 and EPW) over which `global_radiation_w_m2` is the mean.
    The months of a typical year come from different years: its stamps are told as those of
    the common year 2001, so that month, day and hour are right and the year means nothing.
    None in a column is an unknown value. `missing` has one entry for each column in which
    the file left something out.
    A file of days has `days`, in order, in the place of stamps and columns, which are empty then.

    Units: °C, % relative, m/s at `wind_height_m` above ground, W/m² on the horizontal, kPa
    at the station (not reduced to sea level); degrees north and east; metres above sea
    level; `utc_offset_h` is local standard time less UTC, in hours. None where the file
    does not say.
    """

    source: str
    is_typical_year: bool
    stamps: tuple[Instant, ...]
    air_temperature_c: Column
    humidity_pct: Column
    wind_m_s: Column
    global_radiation_w_m2: Column
    pressure_kpa: Column
    latitude: float | None
    longitude: float | None
    elevation_m: float | None
    utc_offset_h: float | None
    wind_height_m: float
    missing: tuple[MissingRows, ...]
    days: tuple[ToldDay, ...] = ()

    def column(self, name: ColumnName) -> Column:
        """The column of that name."""
        values: Column = getattr(self, name)
        return values

    def describe(self, remark: str = "") -> str:
        """What a report says about where the air comes from, with a remark that follows on the
        file's name, and what is missing of it."""
        text = f"Weather from {self.source}{remark}"
        if self.days:
            text += "; hours modelled from each day's coolest and warmest"
        if self.is_typical_year:
            text += ", a typical year that stands for any calendar year"
        if self.missing:
            text += f"; {'; '.join(entry.words() for entry in self.missing)}"
        return text + "."
