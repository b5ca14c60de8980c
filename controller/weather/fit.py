"""Whether a weather file is of the place that it is used for."""

from __future__ import annotations

from math import asin, cos, radians, sin, sqrt
from typing import TYPE_CHECKING

from controller.core.findings import Finding
from controller.core.phrases import counted
from controller.core.units import date_of_number
from controller.weather.air_source import air_source

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Site
    from controller.weather.air_source import AirSource
    from controller.weather.told_day import ToldDay
    from controller.weather.weather import Weather

EARTH_RADIUS_KM = 6371.0  # mean radius (IUGG), from memory
# Weather of a station farther away than this is another region's. Ours, no source.
_FAR_KM = 150.0
# And from here on its noon is not the site's noon.
_OTHER_NOON_DEGREES = 15.0
# Twilight and a bent horizon make a day longer than the equations have it. Ours, no source.
_TWILIGHT_H = 0.5
_TWILIGHT_MJ_PER_M2 = 0.5


def distance_km(a: tuple[float, float], b: tuple[float, float]) -> float:
    """Great-circle distance between two places, each (latitude, longitude) in degrees.

    Source: the haversine formula (Sinnott, Sky and Telescope 68, 1984, p. 159; from memory).
    """
    (north_a, east_a), (north_b, east_b) = a, b
    half_north, half_east = radians(north_b - north_a) / 2, radians(east_b - east_a) / 2
    square = (
        sin(half_north) ** 2 + cos(radians(north_a)) * cos(radians(north_b)) * sin(half_east) ** 2
    )
    return 2 * EARTH_RADIUS_KM * asin(sqrt(min(1.0, square)))


def fit_findings(site: Site, weather: Weather) -> list[Finding]:
    """Warnings where the file states a place that is far from the site, or days with more sun than
    there is at the place."""
    return [*_of_place(site, weather), *_of_sun(air_source(site, weather), weather)]


def _of_place(site: Site, weather: Weather) -> list[Finding]:
    if weather.latitude is None or weather.longitude is None:
        return []
    place = (weather.latitude, weather.longitude)
    away_km = distance_km((site.latitude, site.longitude), place)
    if away_km <= _FAR_KM:
        return []
    text = (
        f"the weather is of a place {away_km:,.0f} km away ({weather.latitude:.2f}, "
        f"{weather.longitude:.2f})"
    )
    turned = abs(site.longitude - weather.longitude) % 360
    apart = min(turned, 360 - turned)
    if apart >= _OTHER_NOON_DEGREES:
        text += f"; its noon is {apart / 15:.1f} h off the site's"
    return [Finding("warning", "site", text, "take a weather file of a station nearby")]


def _of_sun(source: AirSource, weather: Weather) -> list[Finding]:
    """A file of days whose radiation or sunshine is in another unit, or of another place."""
    too_bright = list(_too_bright(source, weather))
    if not too_bright:
        return []
    day, words = too_bright[0]
    text = f"the weather file has {words} on {date_of_number(day.number)}"
    if too_bright[1:]:
        text += f", and on {counted(len(too_bright) - 1, 'more day')} of the file"
    return [
        Finding("warning", "site", text, "check the column's unit, its dates and the site's place")
    ]


def _too_bright(source: AirSource, weather: Weather) -> Iterator[tuple[ToldDay, str]]:
    for day in weather.days:
        sun = source.sun_of_day(day.number)
        above_mj_per_m2, light_h = sun.day_mj_per_m2(), sun.daylight_hours
        if (day.radiation_mj_per_m2 or 0.0) > above_mj_per_m2 + _TWILIGHT_MJ_PER_M2:
            found = f"{day.radiation_mj_per_m2:.1f} MJ/m² of radiation"
            yield day, f"{found}, where {above_mj_per_m2:.1f} MJ/m² fall above the air,"
        elif (day.sunshine_h or 0.0) > light_h + _TWILIGHT_H:
            yield (
                day,
                f"{day.sunshine_h:.1f} h of sunshine, where the sun is up for {light_h:.1f} h,",
            )
