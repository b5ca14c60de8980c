"""The quantities of a weather file that sensors measure, as series; each is made when asked for."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from controller.core.units import DAY_MS, HOUR_MS
from controller.weather.air_series import DatedSeries, series_of
from controller.weather.day_course import DayCourse
from controller.weather.humidity import humidity_series

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from controller.core.units import Instant
    from controller.weather.air_series import AirSeries
    from controller.weather.air_source import AirSource
    from controller.weather.weather import Weather


def series_makers(source: AirSource, weather: Weather) -> dict[str, Callable[[], AirSeries]]:
    """What makes the series of each quantity, by the plan's word for it: °C, %, W/m².

    Args:
        source: the air that has this file, for its place and its days.
        weather: the file.
    """
    if weather.days:
        course = DayCourse(source)
        return {
            "air_temperature": partial(_temperature, source, weather, course),
            "humidity": partial(_humidity, source, weather, course),
            "light": partial(_light, weather, course),
        }
    return {
        "air_temperature": partial(series_of, weather, "air_temperature_c"),
        "humidity": partial(humidity_series, source, weather),
        "light": partial(series_of, weather, "global_radiation_w_m2"),
    }


def _temperature(source: AirSource, weather: Weather, course: DayCourse) -> AirSeries:
    """Both readings of every day are among the points; unknown on days without them."""
    stamps = [stamp for _, stamp in _points(source, weather, course)]
    return DatedSeries(stamps, [course.temperature_c(stamp) for stamp in stamps])


def _humidity(source: AirSource, weather: Weather, course: DayCourse) -> AirSeries:
    """Known where the temperature is, as in a file of hours."""
    points = list(_points(source, weather, course))
    return DatedSeries(
        [stamp for _, stamp in points],
        [course.humidity_pct(stamp, number=number) for number, stamp in points],
    )


def _light(weather: Weather, course: DayCourse) -> AirSeries:
    """The hours' means in their middles; unknown on days whose sun the file does not tell."""
    hours = [hour for day in weather.days if day.has_sun for hour in course.hours(day.number)]
    return DatedSeries(
        [(hour.start + hour.end) // 2 for hour in hours],
        [hour.row.radiation_w_m2 for hour in hours],
    )


def _points(
    source: AirSource, weather: Weather, course: DayCourse
) -> Iterator[tuple[int, Instant]]:
    """Each day's midnight, its hours of mean solar time and its last millisecond, on days whose
    temperature is told; the hour before as well where no day is told before: in summer time the
    date begins then."""
    for day in weather.days:
        if not day.has_temperature:
            continue
        start = source.start_of_day(day.number)
        if not course.told(day.number - 1).has_temperature:
            yield day.number, start - HOUR_MS
        yield day.number, start
        first = start + HOUR_MS - (start + course.solar.offset_ms) % HOUR_MS
        last = start + DAY_MS - 1
        for stamp in range(first, last, HOUR_MS):
            yield day.number, stamp
        yield day.number, last
