"""One row of a weather file of days."""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

DayColumn: TypeAlias = Literal[
    "coolest_c",
    "warmest_c",
    "humidity_pct",
    "humidity_highest_pct",
    "humidity_lowest_pct",
    "dew_point_c",
    "wind_m_s",
    "radiation_mj_per_m2",
    "sunshine_h",
]


class ToldDay(NamedTuple):
    """What a file tells of a local standard day, `number` days after 1970-01-01; None is unknown.

    °C, %, m/s at the file's height and MJ/m² on level ground in the day; what has no other word
    in its name is the mean of the day.
    """

    number: int
    coolest_c: float | None = None
    warmest_c: float | None = None
    humidity_pct: float | None = None
    humidity_highest_pct: float | None = None
    humidity_lowest_pct: float | None = None
    dew_point_c: float | None = None
    wind_m_s: float | None = None
    radiation_mj_per_m2: float | None = None
    sunshine_h: float | None = None

    @property
    def has_temperature(self) -> bool:
        """Whether both ends of the day's temperatures are known."""
        return self.coolest_c is not None and self.warmest_c is not None

    @property
    def has_humidity(self) -> bool:
        """Whether anything tells the vapour of the air."""
        told = (self.dew_point_c, self.humidity_highest_pct, self.humidity_pct)
        return any(value is not None for value in told)

    @property
    def has_sun(self) -> bool:
        """Whether anything tells the sun."""
        return self.radiation_mj_per_m2 is not None or self.sunshine_h is not None
