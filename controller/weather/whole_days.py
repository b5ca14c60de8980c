"""The days of a file of days without a gap: what it tells, and what stands in for the rest."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.typical_air import COOLEST_AT_H, WARMEST_AT_H
from controller.core.units import date_of_number
from controller.core.water.air import (
    saturation_kpa,
    vapour_from_highest_humidity_kpa,
    vapour_from_humidities_kpa,
    vapour_from_mean_humidity_kpa,
)
from controller.core.water.missing_inputs import StandIn, complete
from controller.core.water.radiation import clear_sky_mj_per_m2, from_sunshine_mj_per_m2
from controller.core.water.reference_et import hargreaves_day_et_mm
from controller.core.water.wind import wind_at_2_m
from controller.weather.air_gaps import NEAR_DAYS_MAX
from controller.weather.told_day import ToldDay

if TYPE_CHECKING:
    from controller.core.water.day_of_air import DayOfAir
    from controller.core.water.sun_path import SunPath
    from controller.weather.air_source import AirSource

_OF_TEMPERATURES_ALONE = frozenset({StandIn.HUMIDITY, StandIn.WIND, StandIn.RADIATION})


class Extremes(NamedTuple):
    """The coolest and the warmest of a day, °C, and what stands in for either."""

    coolest_c: float
    warmest_c: float
    stand_ins: tuple[StandIn, ...] = ()


class WholeDay(NamedTuple):
    """A day's air without gaps, and what stands in for what was missing."""

    air: DayOfAir
    stand_ins: tuple[StandIn, ...]

    @property
    def hargreaves_mm(self) -> float | None:
        """What Hargreaves has the day evaporate, where its file tells temperatures alone, mm.

        FAO-56, chapter 3, has the equation of Penman and Monteith with stand-ins first, and this
        one (eq. 52) as the alternative.
        """
        if not _OF_TEMPERATURES_ALONE.issubset(self.stand_ins):
            return None
        return hargreaves_day_et_mm(
            warmest_c=self.air.warmest_c,
            coolest_c=self.air.coolest_c,
            extraterrestrial_mj_per_m2=self.air.extraterrestrial_mj_per_m2,
        )


class WholeDays:
    """The local standard days of a source whose file is one of days.

    Temperatures of days that the file does not tell are those of the nearest within three days,
    before and after, or else the assumed day's; a sky that neither sun nor temperatures tell is
    the assumed one. Source of all else: FAO-56, chapter 3, in its order of preference.
    """

    def __init__(self, source: AirSource) -> None:
        assert source.weather is not None
        self._source = source
        self._told = {day.number: day for day in source.weather.days}
        self._wind_factor = wind_at_2_m(1.0, height_m=source.weather.wind_height_m)
        self._extremes: dict[int, Extremes] = {}
        self._made: dict[int, WholeDay] = {}

    def told(self, number: int) -> ToldDay:
        """What the file tells of that day; often nothing."""
        return self._told.get(number) or ToldDay(number)

    def extremes(self, number: int) -> Extremes:
        """The ends of that day's temperatures; the coolest is never more than the warmest."""
        if number not in self._extremes:
            self._extremes[number] = self._find_extremes(self.told(number))
        return self._extremes[number]

    def day(self, number: int) -> WholeDay:
        """That day's air."""
        if number not in self._made:
            sun = self._source.sun_of_day(number)
            self._made[number] = self._complete(self.told(number), self.extremes(number), sun)
        return self._made[number]

    def _find_extremes(self, told: ToldDay) -> Extremes:
        if told.coolest_c is not None and told.warmest_c is not None:
            return Extremes(told.coolest_c, told.warmest_c)
        coolest_c = self._near_c(told.number, is_warmest=False)
        warmest_c = self._near_c(told.number, is_warmest=True)
        stand_in = StandIn.NEAR_TEMPERATURE
        if coolest_c is None or warmest_c is None:
            stand_in = StandIn.TEMPERATURE
            coolest_c = self._assumed_c(told.number, hour=COOLEST_AT_H)
            warmest_c = self._assumed_c(told.number, hour=WARMEST_AT_H)
        # One that is told is kept; the other gives way to it.
        if told.warmest_c is not None:
            return Extremes(min(coolest_c, told.warmest_c), told.warmest_c, (stand_in,))
        if told.coolest_c is not None:
            return Extremes(told.coolest_c, max(warmest_c, told.coolest_c), (stand_in,))
        return Extremes(min(coolest_c, warmest_c), max(coolest_c, warmest_c), (stand_in,))

    def _assumed_c(self, number: int, *, hour: float) -> float:
        """The assumed day's temperature at that hour of mean solar time, °C."""
        day_of_year = date_of_number(number).timetuple().tm_yday
        course = self._source.assumed.course
        return course.in_hour_c(day_of_year=day_of_year + hour / 24, hour=hour)

    def _near_c(self, number: int, *, is_warmest: bool) -> float | None:
        """The mean of the nearest days before and after that tell it, as near as each other."""
        for away in range(1, NEAR_DAYS_MAX + 1):
            around = (self.told(number + way * away) for way in (-1, 1))
            values = (day.warmest_c if is_warmest else day.coolest_c for day in around)
            known = [value for value in values if value is not None]
            if known:
                return sum(known) / len(known)
        return None

    def _complete(self, told: ToldDay, extremes: Extremes, sun: SunPath) -> WholeDay:
        coolest_c, warmest_c, stand_ins = extremes
        above_mj_per_m2 = sun.day_mj_per_m2()
        radiation_mj_per_m2 = told.radiation_mj_per_m2
        if radiation_mj_per_m2 is None and told.sunshine_h is not None:
            stand_ins += (StandIn.SUNSHINE,)
            # The plain horizon of the equations has no refraction, and hills are none of theirs.
            radiation_mj_per_m2 = from_sunshine_mj_per_m2(
                above_mj_per_m2,
                sunshine_h=min(told.sunshine_h, sun.daylight_hours),
                daylight_h=sun.daylight_hours,
            )
        elif radiation_mj_per_m2 is None and not told.has_temperature:
            stand_ins += (StandIn.CLEAR_SKY,)
            radiation_mj_per_m2 = self._source.clear_sky_share * clear_sky_mj_per_m2(
                above_mj_per_m2, elevation_m=self._source.elevation_m
            )
        completed = complete(
            warmest_c=warmest_c,
            coolest_c=coolest_c,
            vapour_kpa=_vapour_kpa(told, coolest_c=coolest_c, warmest_c=warmest_c),
            wind_2m_m_s=None if told.wind_m_s is None else told.wind_m_s * self._wind_factor,
            radiation_mj_per_m2=radiation_mj_per_m2,
            extraterrestrial_mj_per_m2=above_mj_per_m2,
            elevation_m=self._source.elevation_m,
        )
        return WholeDay(completed.day, (*stand_ins, *completed.stand_ins))


def _vapour_kpa(told: ToldDay, *, coolest_c: float, warmest_c: float) -> float | None:
    """The mean vapour pressure of a day, kPa, by the best of what is told; None: nothing is.

    Source: FAO-56, chapter 3: dew point (eq. 14), highest and lowest humidity (eq. 17), highest
    alone (eq. 18), mean (eq. 19).
    """
    if told.dew_point_c is not None:
        return saturation_kpa(told.dew_point_c)
    highest_pct, lowest_pct = told.humidity_highest_pct, told.humidity_lowest_pct
    if highest_pct is not None and lowest_pct is not None:
        return vapour_from_humidities_kpa(
            warmest_c=warmest_c,
            coolest_c=coolest_c,
            highest_pct=highest_pct,
            lowest_pct=lowest_pct,
        )
    if highest_pct is not None:
        return vapour_from_highest_humidity_kpa(coolest_c=coolest_c, highest_pct=highest_pct)
    if told.humidity_pct is not None:
        return vapour_from_mean_humidity_kpa(
            warmest_c=warmest_c, coolest_c=coolest_c, mean_pct=told.humidity_pct
        )
    return None
