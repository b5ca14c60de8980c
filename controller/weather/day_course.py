"""The hours of days of which only the ends of the temperature are known.

The course is that of a plan's typical day (`core.typical_air`; common practice, no source): from
each day's coolest at 05:00 to its warmest at 15:00 mean solar time and on to the next day's
coolest, half a cosine each. So every day's two readings are met, and midnight is no step, for all
that weather changes. Early and late hours may be cooler or warmer than the day's own readings:
where yesterday was much warmer, or tomorrow is. The vapour of the air is that of the day all day,
so that humidity follows the temperature, at most to 100 %; wind blows alike all day; the sun's
radiation is shared out as it falls above the air, as if the sky were equally clear all day.
"""

from __future__ import annotations

from math import fsum
from typing import TYPE_CHECKING, NamedTuple

from controller.core.typical_air import COOLEST_AT_H, WARMEST_AT_H, warmth
from controller.core.units import DAY_MS, HOUR_MS
from controller.core.water.air import saturation_kpa
from controller.core.water.radiation import MJ_PER_M2_H_PER_W
from controller.weather.air_gaps import WholeRow
from controller.weather.solar_days import SolarDays
from controller.weather.told_day import ToldDay
from controller.weather.whole_days import WholeDay, WholeDays

if TYPE_CHECKING:
    from controller.core.units import Instant
    from controller.weather.air_source import AirSource


class ModelledHour(NamedTuple):
    """An hour of a day; its row has the temperature and the humidity of its middle."""

    start: Instant
    end: Instant
    row: WholeRow


class DayCourse:
    """The air of a source whose file is one of days, at any instant."""

    def __init__(self, source: AirSource) -> None:
        assert source.weather is not None
        self._source = source
        self._first = source.weather.days[0].number
        self.solar = SolarDays.of(source)
        self._days = WholeDays(source)

    def told(self, number: int) -> ToldDay:
        """What the file tells of that local standard day."""
        return self._days.told(number)

    def day(self, number: int) -> WholeDay:
        """That local standard day's air, with what stands in."""
        return self._days.day(number)

    def temperature_c(self, instant: Instant) -> float:
        """The temperature at an instant, °C."""
        number, hour = self.solar.day_and_hour(instant)
        today, share = self._days.extremes(number), warmth(hour)
        coolest_c, warmest_c = today.coolest_c, today.warmest_c
        if hour < COOLEST_AT_H:
            warmest_c = self._days.extremes(number - 1).warmest_c
        elif hour > WARMEST_AT_H:
            coolest_c = self._days.extremes(number + 1).coolest_c
        return coolest_c * (1.0 - share) + warmest_c * share

    def humidity_pct(self, instant: Instant, *, number: int) -> float:
        """The relative humidity at an instant of that local standard day, %."""
        return self._humidity_pct(self.temperature_c(instant), self._days.day(number))

    def hours(self, number: int) -> list[ModelledHour]:
        """The hours of that local standard day."""
        first = self._source.start_of_day(number)
        starts = range(first, first + DAY_MS, HOUR_MS)
        shares = self._sun_shares(number)
        days = [self._days.day(number)] * 23 + [self._days.day(self._date_of_last_hour(number))]
        radiation_w_m2 = days[0].air.radiation_mj_per_m2 / MJ_PER_M2_H_PER_W
        made = []
        for start, share, day in zip(starts, shares, days, strict=True):
            temperature_c = self.temperature_c(start + HOUR_MS // 2)
            row = WholeRow(
                temperature_c=temperature_c,
                humidity_pct=self._humidity_pct(temperature_c, day),
                wind_2m_m_s=day.air.wind_2m_m_s,
                radiation_w_m2=radiation_w_m2 * share,
                stand_ins=day.stand_ins,
            )
            made.append(ModelledHour(start, start + HOUR_MS, row))
        return made

    def _date_of_last_hour(self, number: int) -> int:
        """Whose day's last hour is: the one before the file is, in summer time, the first of the
        file's first date, so that a run over its dates has nothing assumed for it."""
        return number + 1 if number + 1 == self._first else number

    def _humidity_pct(self, temperature_c: float, day: WholeDay) -> float:
        return min(100.0, 100 * day.air.vapour_kpa / saturation_kpa(temperature_c))

    def _sun_shares(self, number: int) -> list[float]:
        """The share that each hour has in the day's radiation; equal ones where the sun stays
        below the horizon, for what is measured then is twilight."""
        sun = self._source.sun_of_day(number)
        start_h = self._source.start_of_day(number) / HOUR_MS
        above = [
            sun.period_mj_per_m2(sun.hour_angle_rad(start_h + hour + 0.5), length_h=1.0)
            for hour in range(24)
        ]
        total = fsum(above)
        return [one / total for one in above] if total > 0.0 else [1 / 24] * 24
