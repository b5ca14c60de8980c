"""Where the hours of a run's air come from, and what is taken for granted where none tells."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache, partial
from typing import TYPE_CHECKING

from controller.core.units import DAY_MS, HOUR_MS, Instant, date_of_number
from controller.core.water.sun_path import SunPath, sun_path
from controller.weather.air_series import AirSeries, series_of
from controller.weather.typical_day import TypicalAir, typical_air_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.core.plan import Site
    from controller.weather.weather import Weather

# Without a file every day is cloudless: roots are judged by the day that asks most of them.
# Ours, no source.
CLEAR_SKY_SHARE = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AirSource:
    """The air of a place: a weather file, and an assumed day for what the file leaves out.

    Degrees, north and east positive; metres above sea level. `utc_offset_ms` is local
    standard time less UTC: days are counted by it, without summer time. `clear_sky_share` is
    the share of a cloudless sky's radiation that the assumed day has, 0 to 1; `measured` makes
    a series of the temperature of a file of hours, once, when a gap asks for it.
    """

    weather: Weather | None
    assumed: TypicalAir
    latitude: float
    longitude: float
    elevation_m: float
    elevation_is_known: bool
    utc_offset_ms: int
    clear_sky_share: float = CLEAR_SKY_SHARE
    measured: Callable[[], AirSeries] | None = field(default=None, repr=False, compare=False)

    @property
    def is_of_days(self) -> bool:
        """Whether there is a file, and one of days: its hours are modelled."""
        return self.weather is not None and bool(self.weather.days)

    def day_number_at(self, instant: Instant) -> int:
        """The local standard day of an instant, in days from 1970-01-01."""
        return (instant + self.utc_offset_ms) // DAY_MS

    def start_of_day(self, number: int) -> Instant:
        """The instant at which that local standard day begins."""
        return number * DAY_MS - self.utc_offset_ms

    def sun_of_day(self, number: int) -> SunPath:
        """The sun's way on that local standard day."""
        day_of_year = date_of_number(number).timetuple().tm_yday
        return sun_path(latitude=self.latitude, longitude=self.longitude, day_of_year=day_of_year)


def air_source(
    site: Site, weather: Weather | None, *, clear_sky_share: float = CLEAR_SKY_SHARE
) -> AirSource:
    """The air of a site, with its weather file if there is one.

    The place is the file's where the file states it, since its sun shone there, and else the
    site's; at sea level where neither tells the height. Local standard time is the file's,
    or else the whole hour that is nearest to the sun's.
    """
    latitude, longitude = site.latitude, site.longitude
    elevation_m, offset_h = site.elevation_m, None
    if weather is not None:
        if weather.latitude is not None and weather.longitude is not None:
            latitude, longitude = weather.latitude, weather.longitude
        elevation_m = site.elevation_m if weather.elevation_m is None else weather.elevation_m
        offset_h = weather.utc_offset_h
        if offset_h is None and weather.is_typical_year:
            offset_h = 0.0  # its stamps are told as UTC then
    if offset_h is None:
        offset_h = float(round(longitude / 15))
    return AirSource(
        weather=weather,
        assumed=typical_air_of(site),
        latitude=latitude,
        longitude=longitude,
        elevation_m=elevation_m or 0.0,
        elevation_is_known=elevation_m is not None,
        utc_offset_ms=round(offset_h * HOUR_MS),
        clear_sky_share=clear_sky_share,
        measured=None if weather is None or weather.days else _measured(weather),
    )


def _measured(weather: Weather) -> Callable[[], AirSeries]:
    """Makes a file's temperature as a series when first asked."""
    return cache(partial(series_of, weather, "air_temperature_c"))
