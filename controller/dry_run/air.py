"""What air a dry run has: from a weather file, as the plan states it, or assumed."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from controller.weather.air_series import AirSeries, SeriesName, series_of
from controller.weather.typical_day import typical_air_of

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from controller.core.plan import Site
    from controller.weather.weather import Weather

_SERIES: dict[str, SeriesName] = {
    "air_temperature": "air_temperature_c",
    "humidity": "humidity_pct",
    "light": "global_radiation_w_m2",
}


class Air(NamedTuple):
    """The series of each quantity that is known, and the sentence that says whence."""

    series: Mapping[str, AirSeries]
    note: str


def air_of(site: Site, weather: Weather | None, *, first: date, last: date) -> Air:
    """The air of the local dates from `first` to `last`, both included."""
    if weather is not None:
        return _air_of_file(weather)
    typical = typical_air_of(site)
    return Air({"air_temperature": typical.series()}, typical.describe(first=first, last=last))


@lru_cache(maxsize=1)
def _air_of_file(weather: Weather) -> Air:
    """The air of a weather file; who looks for advice carries out many runs in the same."""
    series = {quantity: series_of(weather, name) for quantity, name in _SERIES.items()}
    return Air(series, weather.describe())
