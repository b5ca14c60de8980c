"""A day's rows of air with something in the place of whatever nobody measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from controller.core.units import DAY_MS, HOUR_MS
from controller.core.water.missing_inputs import (
    WIND_2M_M_S,
    StandIn,
    humidity_from_coolest_pct,
)
from controller.core.water.radiation import (
    MJ_PER_M2_H_PER_W,
    clear_sky_mj_per_m2,
    from_temperatures_mj_per_m2,
)
from controller.core.water.sun_path import SunPath
from controller.weather.air_rows import Row
from controller.weather.air_source import AirSource

# A spell of weather lasts for some days; ours, no source.
NEAR_DAYS_MAX = 3


class WholeRow(NamedTuple):
    """The air of a time without gaps: °C, % (at most 100), m/s at 2 m, mean W/m²."""

    temperature_c: float
    humidity_pct: float
    wind_2m_m_s: float
    radiation_w_m2: float
    stand_ins: tuple[StandIn, ...]


class Temperature(NamedTuple):
    """What a row's temperature is taken to be, °C, and what stands in for it where it does."""

    value_c: float
    stand_in: StandIn | None


@dataclass(frozen=True, slots=True)
class DayGaps:
    """What fills the gaps of one day: its temperatures, one a row, and the sun above it.

    Source: FAO-56, chapters 3 and 4, by `controller.core.water.missing_inputs`. A day's
    radiation is shared out over its hours as the radiation above the air is: a sky that is
    equally clear all day.
    """

    source: AirSource
    sun: SunPath
    temperatures: Sequence[Temperature]
    warmest_c: float
    coolest_c: float
    wind_factor: float  # wind at 2 m by wind at the file's height

    def fill(self, index: int, row: Row) -> WholeRow:
        """The row of that index without gaps, and what stands in for what was missing."""
        _, _, temperature_c, humidity_pct, wind_m_s, radiation_w_m2 = row
        stand_ins: list[StandIn] = []
        if radiation_w_m2 is None:
            is_told = temperature_c is not None
            stand_ins.append(StandIn.RADIATION if is_told else StandIn.CLEAR_SKY)
            radiation_w_m2 = self._radiation_w_m2(row, from_temperatures=is_told)
        if temperature_c is None:
            temperature_c, stand_in = self.temperatures[index]
            assert stand_in is not None
            stand_ins.append(stand_in)
        if humidity_pct is None:
            humidity_pct = humidity_from_coolest_pct(
                temperature_c=temperature_c, coolest_c=self.coolest_c
            )
            stand_ins.append(StandIn.HUMIDITY)
        if wind_m_s is None:
            wind_2m_m_s = WIND_2M_M_S
            stand_ins.append(StandIn.WIND)
        else:
            wind_2m_m_s = wind_m_s * self.wind_factor
        return WholeRow(
            temperature_c, min(humidity_pct, 100.0), wind_2m_m_s, radiation_w_m2, tuple(stand_ins)
        )

    def _radiation_w_m2(self, row: Row, *, from_temperatures: bool) -> float:
        length_h = (row.end - row.start) / HOUR_MS
        middle_h = (row.start + row.end) / 2 / HOUR_MS
        above = self.sun.period_mj_per_m2(self.sun.hour_angle_rad(middle_h), length_h=length_h)
        if from_temperatures:
            below = from_temperatures_mj_per_m2(
                above, warmest_c=self.warmest_c, coolest_c=self.coolest_c
            )
        else:
            clear = clear_sky_mj_per_m2(above, elevation_m=self.source.elevation_m)
            below = self.source.clear_sky_share * clear
        return below / length_h / MJ_PER_M2_H_PER_W


def gaps_of_day(
    source: AirSource, rows: Sequence[Row], *, sun: SunPath, wind_factor: float
) -> DayGaps:
    """What fills the gaps of the day that has these rows."""
    temperatures = temperatures_of(source, rows)
    values_c = [one.value_c for one in temperatures]
    return DayGaps(
        source=source,
        sun=sun,
        temperatures=temperatures,
        warmest_c=max(values_c),
        coolest_c=min(values_c),
        wind_factor=wind_factor,
    )


def temperatures_of(source: AirSource, rows: Sequence[Row]) -> list[Temperature]:
    """The temperature of each row; where the file tells none, what stands in for it."""
    return [
        _stand_in(source, row)
        if row.temperature_c is None
        else Temperature(row.temperature_c, None)
        for row in rows
    ]


def _stand_in(source: AirSource, row: Row) -> Temperature:
    """The mean of the nearest days before and after that have that time, or else the assumed day:
    that may be another season's, and would cool a hot spell down."""
    if source.measured is not None:
        measured = source.measured()
        for days in range(1, NEAR_DAYS_MAX + 1):
            around = (measured.value_at(row.end + way * days * DAY_MS) for way in (-1, 1))
            known = [value for value in around if value is not None]
            if known:
                return Temperature(sum(known) / len(known), StandIn.NEAR_TEMPERATURE)
    value = source.assumed.series().value_at((row.start + row.end) // 2)
    assert value is not None, "the assumed day has no gaps in the years that plans may run in"
    return Temperature(value, StandIn.TEMPERATURE)
