"""The hours of a run's air, each with its reference evapotranspiration.

Source: ASCE-EWRI, The ASCE standardized reference evapotranspiration equation, 2005: hourly,
short surface. Air pressure comes from the height above sea level, humidity from the file's
relative humidity, the sun's place from the middle of the hour, all as the standard has it; a
row's values count for its whole time. Of a file of days the hours are modelled (`day_course`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from controller.core.units import HOUR_MS, Instant
from controller.core.water.air import air_pressure_kpa
from controller.core.water.missing_inputs import StandIn
from controller.core.water.radiation import MJ_PER_M2_H_PER_W, clear_sky_mj_per_m2
from controller.core.water.reference_et import open_hour_et_mm
from controller.core.water.sky import UNSEEN
from controller.core.water.sun_path import SunPath
from controller.core.water.wind import STANDARD_HEIGHT_M, wind_at_2_m
from controller.weather.air_gaps import WholeRow, gaps_of_day
from controller.weather.air_rows import Row, rows_of_day
from controller.weather.air_source import AirSource
from controller.weather.day_course import DayCourse

# A sky is carried along for a day at most: with this lead the first hour is like any other.
_LEAD_DAYS = 2


class HourOfAir(NamedTuple):
    """The air from `start` to `end`, an hour where the file has hours.

    °C, %, m/s at 2 m, mean W/m² on level ground; `et0_mm` is the reference evapotranspiration
    over that time, below 0 in a night with dew: take `max(0.0, et0_mm)` for what leaves lose.
    `assumed` tells what stands in for what was not measured.
    """

    start: Instant
    end: Instant
    temperature_c: float
    humidity_pct: float
    wind_2m_m_s: float
    radiation_w_m2: float
    et0_mm: float
    assumed: tuple[StandIn, ...]


def hours_of_air(source: AirSource, *, first: Instant, before: Instant) -> list[HourOfAir]:
    """All hours of the local standard days that the time from `first` to `before` touches.

    They are in order, and each ends where the next begins; the first may begin up to a day
    before `first`, the last may end up to a day after `before`. An hour's values do not
    depend on which time is asked for.
    """
    assert first < before
    start = source.day_number_at(first)
    maker = _HourMaker(source)
    for number in range(start - _LEAD_DAYS, start):
        maker.hours_of_day(number)
    return [
        hour
        for number in range(start, source.day_number_at(before - 1) + 1)
        for hour in maker.hours_of_day(number)
    ]


def assumed_h(hours: Iterable[HourOfAir]) -> dict[StandIn, float]:
    """How many hours each stand-in was taken for, in the order of `StandIn`."""
    lengths_ms: Counter[StandIn] = Counter()
    for hour in hours:
        for stand_in in hour.assumed:
            lengths_ms[stand_in] += hour.end - hour.start
    return {one: lengths_ms[one] / HOUR_MS for one in StandIn if lengths_ms[one]}


class _HourMaker:
    """Makes the hours of one day after another, and carries the sky along from each to the next."""

    def __init__(self, source: AirSource) -> None:
        self._source = source
        self._air_kpa = air_pressure_kpa(source.elevation_m)
        height_m = source.weather.wind_height_m if source.weather else STANDARD_HEIGHT_M
        self._wind_factor = wind_at_2_m(1.0, height_m=height_m)
        self._course = DayCourse(source) if source.is_of_days else None
        self._sky = UNSEEN

    def hours_of_day(self, number: int) -> list[HourOfAir]:
        """The hours of that local standard day; days must be asked for in order."""
        sun = self._source.sun_of_day(number)
        if self._course is not None:
            modelled = self._course.hours(number)
            return [self._hour(start, end, row, sun) for start, end, row in modelled]
        rows = rows_of_day(self._source, number)
        gaps = None
        hours: list[HourOfAir] = []
        for index, row in enumerate(rows):
            if None in row:
                gaps = gaps or gaps_of_day(
                    self._source, rows, sun=sun, wind_factor=self._wind_factor
                )
                whole = gaps.fill(index, row)
            else:
                whole = self._whole(row)
            hours.append(self._hour(row.start, row.end, whole, sun))
        return hours

    def _whole(self, row: Row) -> WholeRow:
        """The row where nothing is missing; over 100 % is a sensor's error."""
        _, _, temperature_c, humidity_pct, wind_m_s, radiation_w_m2 = row
        assert temperature_c is not None
        assert humidity_pct is not None
        assert wind_m_s is not None
        assert radiation_w_m2 is not None
        wind_2m_m_s = wind_m_s * self._wind_factor
        return WholeRow(temperature_c, min(humidity_pct, 100.0), wind_2m_m_s, radiation_w_m2, ())

    def _hour(self, start: Instant, end: Instant, whole: WholeRow, sun: SunPath) -> HourOfAir:
        """The row with its reference evapotranspiration; the sky moves on by it."""
        temperature_c, humidity_pct, wind_2m_m_s, radiation_w_m2, stand_ins = whole
        length_h = (end - start) / HOUR_MS
        angle_rad = sun.hour_angle_rad((start + end) / (2 * HOUR_MS))
        radiation_mj_per_m2_h = radiation_w_m2 * MJ_PER_M2_H_PER_W
        above_mj_per_m2_h = sun.period_mj_per_m2(angle_rad, length_h=length_h) / length_h
        self._sky = self._sky.after(
            radiation_mj_per_m2=radiation_mj_per_m2_h,
            clear_sky_mj_per_m2=clear_sky_mj_per_m2(
                above_mj_per_m2_h, elevation_m=self._source.elevation_m
            ),
            sun_height_rad=sun.height_rad(angle_rad),
            length_h=length_h,
        )
        et0_mm_per_h = open_hour_et_mm(
            temperature_c=temperature_c,
            humidity_pct=humidity_pct,
            wind_2m_m_s=wind_2m_m_s,
            radiation_mj_per_m2=radiation_mj_per_m2_h,
            clearness=self._sky.clearness,
            air_kpa=self._air_kpa,
        )
        return HourOfAir(
            start,
            end,
            temperature_c,
            humidity_pct,
            wind_2m_m_s,
            radiation_w_m2,
            et0_mm_per_h * length_h,
            stand_ins,
        )
