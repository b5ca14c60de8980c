"""What air a dry run has: from a weather file, as the plan states it, or assumed."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from controller.core.plan_rules.rule import sensors_in_use
from controller.core.water.missing_inputs import StandIn
from controller.weather.air_series import AirSeries, SeriesName, series_of
from controller.weather.air_words import stand_in_words
from controller.weather.typical_day import typical_air_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import date

    from controller.core.plan import Plan, Site
    from controller.weather.weather import Weather

_SERIES: dict[str, SeriesName] = {
    "air_temperature": "air_temperature_c",
    "humidity": "humidity_pct",
    "light": "global_radiation_w_m2",
}


class Air(NamedTuple):
    """The series of each quantity that is known, and the sentence that says whence.

    `is_damp_assumed` tells that nobody measured the humidity of the series.
    """

    series: Mapping[str, AirSeries]
    note: str
    is_damp_assumed: bool = False

    def note_for(self, plan: Plan) -> str:
        """The note, and what stands in for the humidity where a sensor of the plan reads it; where
        there are plants or water, their account tells of all that stood in."""
        if not self.is_damp_assumed or plan.stands or plan.reservoirs:
            return self.note
        if not _goes_by_humidity(plan):
            return self.note
        return f"{self.note} {stand_in_words(StandIn.HUMIDITY)}."


def _goes_by_humidity(plan: Plan) -> bool:
    declared = (plan.sensors.get(name) for name in sensors_in_use(plan))
    return any(sensor is not None and sensor.measures == "humidity" for sensor in declared)


class _MadeWhenAsked(Mapping[str, AirSeries]):
    """Series that are made when they are first asked for: a year of hours takes a while."""

    def __init__(self, makers: Mapping[str, Callable[[], AirSeries]]) -> None:
        self._makers = makers

    def __getitem__(self, quantity: str) -> AirSeries:
        return self._makers[quantity]()

    def __contains__(self, quantity: object) -> bool:
        return quantity in self._makers

    def __iter__(self) -> Iterator[str]:
        return iter(self._makers)

    def __len__(self) -> int:
        return len(self._makers)


def air_of(site: Site, weather: Weather | None, *, first: date, last: date) -> Air:
    """The air of the local dates from `first` to `last`, both included."""
    if weather is not None:
        return _air_of_file(weather)
    typical = typical_air_of(site)
    series = _MadeWhenAsked(
        {"air_temperature": typical.series, "humidity": typical.humidity_series}
    )
    return Air(series, typical.describe(first=first, last=last), is_damp_assumed=True)


@lru_cache(maxsize=1)
def _air_of_file(weather: Weather) -> Air:
    """The air of a weather file; who looks for advice carries out many runs in the same."""
    series = {quantity: series_of(weather, name) for quantity, name in _SERIES.items()}
    return Air(series, weather.describe())
