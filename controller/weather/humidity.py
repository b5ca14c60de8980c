"""The humidity of a weather file as a series, with what stands in where nobody measured it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from controller.core.water.missing_inputs import humidity_from_coolest_pct
from controller.weather.air_gaps import temperatures_of
from controller.weather.air_rows import rows_of_day
from controller.weather.air_series import series_of

if TYPE_CHECKING:
    from controller.weather.air_series import AirSeries
    from controller.weather.air_source import AirSource
    from controller.weather.weather import Weather


def humidity_series(source: AirSource, weather: Weather) -> AirSeries:
    """The relative humidity of a file, %: of `hours_of_air` at each hour's end, but unknown where
    the file has no temperature either.

    Source: FAO-56, eq. 10 and 48: the dew point is the coolest temperature of the local standard
    day.

    Args:
        source: the air that has this file, for its days.
        weather: the file.
    """
    if None not in weather.humidity_pct:
        return series_of(weather, "humidity_pct")

    @cache
    def coolest_c(day_number: int) -> float:
        rows = rows_of_day(source, day_number)
        return min(one.value_c for one in temperatures_of(source, rows))

    column = tuple(
        humidity_from_coolest_pct(
            temperature_c=temperature_c,
            # A row ends at its stamp, which may be the midnight after its day.
            coolest_c=coolest_c(source.day_number_at(stamp - 1)),
        )
        if humidity_pct is None and temperature_c is not None
        else humidity_pct
        for stamp, temperature_c, humidity_pct in zip(
            weather.stamps, weather.air_temperature_c, weather.humidity_pct, strict=True
        )
    )
    return series_of(replace(weather, humidity_pct=column), "humidity_pct")
