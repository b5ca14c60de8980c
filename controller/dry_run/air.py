"""What air a dry run has: from a weather file, as the plan states it, or assumed."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from controller.core.plan_rules.rule import sensors_in_use
from controller.core.water.missing_inputs import StandIn
from controller.weather.air_series import AirSeries
from controller.weather.air_source import air_source
from controller.weather.air_words import stand_in_words
from controller.weather.coverage import coverage_words
from controller.weather.file_series import series_makers
from controller.weather.typical_day import typical_air_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import date

    from controller.core.plan import Plan, Site
    from controller.weather.air_source import AirSource
    from controller.weather.weather import Weather


class Air(NamedTuple):
    """The series of each quantity that is known, and the sentence that says whence.

    `is_damp_assumed` tells that nobody measured the humidity of the series, and that there is no
    weather file whose account says so.
    """

    series: Mapping[str, AirSeries]
    note: str
    is_damp_assumed: bool = False

    def note_for(self, plan: Plan) -> str:
        """The note, and what stands in for the humidity where a sensor of the plan reads it: for
        runs without an account of water, which tells of all that stood in."""
        if not self.is_damp_assumed or not _goes_by_humidity(plan):
            return self.note
        return f"{self.note} {stand_in_words(StandIn.HUMIDITY)}."


def _goes_by_humidity(plan: Plan) -> bool:
    declared = (plan.sensors.get(name) for name in sensors_in_use(plan))
    return any(sensor is not None and sensor.measures == "humidity" for sensor in declared)


class _MadeWhenAsked(Mapping[str, AirSeries]):
    """Series that are made when they are first asked for: a year of hours takes a while."""

    def __init__(self, makers: Mapping[str, Callable[[], AirSeries]]) -> None:
        self._makers = makers
        self._made: dict[str, AirSeries] = {}

    def __getitem__(self, quantity: str) -> AirSeries:
        if quantity not in self._made:
            self._made[quantity] = self._makers[quantity]()
        return self._made[quantity]

    def __contains__(self, quantity: object) -> bool:
        return quantity in self._makers

    def __iter__(self) -> Iterator[str]:
        return iter(self._makers)

    def __len__(self) -> int:
        return len(self._makers)


class _AirOfFile(NamedTuple):
    """The series of a weather file, and what they are made from."""

    series: Mapping[str, AirSeries]
    source: AirSource


def air_of(site: Site, weather: Weather | None, *, first: date, last: date) -> Air:
    """The air of the local dates from `first` to `last`, both included."""
    if weather is not None:
        of_file = _air_of_file(site, weather)
        remark = coverage_words(of_file.source, first=first, last=last)
        return Air(of_file.series, weather.describe(remark))
    typical = typical_air_of(site)
    series = _MadeWhenAsked(
        {"air_temperature": typical.series, "humidity": typical.humidity_series}
    )
    return Air(series, typical.describe(first=first, last=last), is_damp_assumed=True)


@lru_cache(maxsize=1)
def _air_of_file(site: Site, weather: Weather) -> _AirOfFile:
    """The air of a weather file; who looks for advice carries out many runs in the same.

    What stands in for its humidity is told with the water of a run, which every run in a weather
    file has an account of.
    """
    source = air_source(site, weather)
    return _AirOfFile(_MadeWhenAsked(series_makers(source, weather)), source)
