"""The summer of a weather file: the days of it that ask most of leaves."""

from __future__ import annotations

from datetime import date
from itertools import accumulate
from typing import TYPE_CHECKING

from controller.core.errors import NoAdviceError
from controller.core.units import DATE_MAX, DAY_MS, HOUR_MS, day_number, utc_datetime
from controller.dry_run.water.run_air import RunAir
from controller.weather.air_source import air_source
from controller.weather.coverage import time_told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.plan import Plan
    from controller.core.units import Instant
    from controller.weather.days import AirDay
    from controller.weather.weather import Weather

SUMMER_DAYS = 92  # June to August, or December to February and two days
# A summer is looked for in so much of a file of many years.
_LOOKED_AT_DAYS = 4 * 366


def summer_of(plan: Plan, weather: Weather, *, days: int = SUMMER_DAYS) -> tuple[date, int]:
    """The first of so many days in a row of a file that together ask most of leaves, and how
    many they are: all that the file has, if it has fewer.

    What a day asks is its reference evapotranspiration. A typical year stands for the year in
    which the plan's stands are sown, or, where none is, for the one that its stamps name.

    Raises:
        NoAdviceError: the file has no whole day.
    """
    start, end = _span_of(plan, weather, days)
    if end - start < DAY_MS:
        raise NoAdviceError(
            f"{weather.source} has less than a day: give --from and --days, or a file of some days"
        )
    air_days = RunAir.of(plan.site, weather, start=start, end=end).days
    count = min(days, len(air_days))
    return air_days[_thirstiest(air_days, count)].date, count


def _thirstiest(days: Sequence[AirDay], count: int) -> int:
    """The place of the first of `count` days with the highest sum; of equals the earliest."""
    sums = list(accumulate((day.et0_mm for day in days), initial=0.0))
    return max(range(len(days) - count + 1), key=lambda first: sums[first + count] - sums[first])


def _span_of(plan: Plan, weather: Weather, days: int) -> tuple[Instant, Instant]:
    """The time that the file covers; a typical year goes on into the next, so that a summer
    about New Year is found whole."""
    source = air_source(plan.site, weather)
    if not weather.is_typical_year:
        first, last = time_told(source, weather)
        return first, min(last + HOUR_MS, first + _LOOKED_AT_DAYS * DAY_MS)
    sown = [stand.sown for stand in plan.stands.values() if stand.sown is not None]
    year = min(sown).year if sown else _year_of(weather)
    first_day = day_number(date(year, 1, 1))
    last_day = min(day_number(date(year + 1, 1, 1)) + days - 1, day_number(DATE_MAX))
    return source.start_of_day(first_day), source.start_of_day(last_day)


def _year_of(weather: Weather) -> int:
    """The year that a typical year's stamps name."""
    return utc_datetime(weather.stamps[len(weather.stamps) // 2]).year
