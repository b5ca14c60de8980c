"""Whether a weather file is of the place that it is used for."""

from __future__ import annotations

from math import asin, cos, radians, sin, sqrt
from typing import TYPE_CHECKING

from controller.core.findings import Finding

if TYPE_CHECKING:
    from controller.core.plan import Site
    from controller.weather.weather import Weather

EARTH_RADIUS_KM = 6371.0  # mean radius (IUGG), from memory
# Weather of a station farther away than this is another region's. Ours, no source.
_FAR_KM = 150.0
# And from here on its noon is not the site's noon.
_OTHER_NOON_DEGREES = 15.0


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
    """A warning where the file states a place that is far from the site."""
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
