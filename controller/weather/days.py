"""The days of a run's air: what each asked of the leaves, and how warm, damp and bright it was."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import groupby
from math import fsum
from typing import NamedTuple

from controller.core.units import DAY_MS, HOUR_MS, Instant, date_of_number
from controller.core.water.missing_inputs import StandIn
from controller.core.water.radiation import MJ_PER_M2_H_PER_W
from controller.weather.air_source import AirSource
from controller.weather.day_course import DayCourse
from controller.weather.hours import HourOfAir
from controller.weather.whole_days import WholeDay


class AirDay(NamedTuple):
    """The air of one local standard day, midnight to midnight.

    `et0_mm` is the sum over its hours of ASCE-EWRI's standardised short reference, the hours
    below 0 in it. Temperatures are the extremes of its rows, °C; humidity is the mean, %;
    radiation the sum on level ground, MJ/m². `assumed` tells what stands in for what was not
    measured in any of its hours.
    Of a file of days the temperatures are its own, and beside the sum of the modelled hours stands
    what the day asks by its own means, `et0_daily_mm` (FAO-56, eq. 6), and, where it tells
    temperatures alone, by these alone, `et0_hargreaves_mm` (eq. 52); else these two are None.
    """

    date: date
    start: Instant
    end: Instant
    et0_mm: float
    warmest_c: float
    coolest_c: float
    humidity_pct: float
    radiation_mj_per_m2: float
    assumed: tuple[StandIn, ...]
    et0_daily_mm: float | None = None
    et0_hargreaves_mm: float | None = None


def days_of_air(
    hours: Sequence[HourOfAir], source: AirSource, *, first: Instant, before: Instant
) -> list[AirDay]:
    """The days that the time from `first` to `before` is about, each told whole.

    They are the local standard days whose noon lies in that time, so that a run over a
    number of summer days has as many; of a time without a noon it is the day of its start.
    `hours` are those of `hours_of_air` for that time.
    """
    noon_first = source.day_number_at(first + DAY_MS // 2 - 1)
    noon_before = source.day_number_at(before + DAY_MS // 2 - 1)
    numbers = range(noon_first, noon_before)
    wanted = set(numbers) or {source.day_number_at(first)}
    days = [
        (number, _day(number, list(group), source))
        for number, group in groupby(hours, lambda hour: source.day_number_at(hour.start))
        if number in wanted
    ]
    if not source.is_of_days:
        return [day for _, day in days]
    course = DayCourse(source)
    return [_with_daily_figures(day, course.day(number)) for number, day in days]


def _with_daily_figures(day: AirDay, whole: WholeDay) -> AirDay:
    """The day with its file's own temperatures, and what it asks by them and by its means."""
    return day._replace(
        warmest_c=whole.air.warmest_c,
        coolest_c=whole.air.coolest_c,
        et0_daily_mm=whole.air.et0_mm(),
        et0_hargreaves_mm=whole.hargreaves_mm,
    )


def _day(number: int, hours: Sequence[HourOfAir], source: AirSource) -> AirDay:
    lengths_h = [(hour.end - hour.start) / HOUR_MS for hour in hours]
    temperatures_c = [hour.temperature_c for hour in hours]
    start = source.start_of_day(number)
    assumed = {stand_in for hour in hours for stand_in in hour.assumed}
    return AirDay(
        date=date_of_number(number),
        start=start,
        end=start + DAY_MS,
        et0_mm=fsum(hour.et0_mm for hour in hours),
        warmest_c=max(temperatures_c),
        coolest_c=min(temperatures_c),
        humidity_pct=_total([hour.humidity_pct for hour in hours], lengths_h) / 24,
        radiation_mj_per_m2=_total([hour.radiation_w_m2 for hour in hours], lengths_h)
        * MJ_PER_M2_H_PER_W,
        assumed=tuple(stand_in for stand_in in StandIn if stand_in in assumed),
    )


def _total(values: Sequence[float], lengths_h: Sequence[float]) -> float:
    return fsum(value * length_h for value, length_h in zip(values, lengths_h, strict=True))
