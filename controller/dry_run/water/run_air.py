"""The air of a run as its water is reckoned by: hours, days, and what leaves feel of them."""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum
from typing import TYPE_CHECKING

from controller.core.units import HOUR_MS
from controller.core.water.air import air_pressure_kpa
from controller.core.water.leaf_hour import LeafHour
from controller.weather.air_source import air_source
from controller.weather.air_words import assumption_sentences
from controller.weather.days import days_of_air
from controller.weather.hours import assumed_h, hours_of_air

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.plan import Site
    from controller.core.units import Instant
    from controller.core.water.missing_inputs import StandIn
    from controller.weather.air_source import AirSource
    from controller.weather.days import AirDay
    from controller.weather.hours import HourOfAir
    from controller.weather.weather import Weather


@dataclass(frozen=True, slots=True, kw_only=True)
class RunAir:
    """The air from `start` to `end`.

    `hours` cover that time and more at both ends; `days` are those that it is about, one at
    least, each whole. `edges` tell where an hour ends and the next begins, from the start of the
    run to its end.
    """

    start: Instant
    end: Instant
    source: AirSource
    hours: Sequence[HourOfAir]
    edges: Sequence[Instant]
    days: Sequence[AirDay]

    @classmethod
    def of(cls, site: Site, weather: Weather | None, *, start: Instant, end: Instant) -> RunAir:
        """The air of a site during [start, end): a file's, or the assumed day's."""
        source = air_source(site, weather)
        hours = hours_of_air(source, first=start, before=end)
        days = days_of_air(hours, source, first=start, before=end)
        within = [hour for hour in hours if hour.end > start and hour.start < end]
        edges = [start, *(hour.start for hour in within[1:]), end]
        return cls(start=start, end=end, source=source, hours=within, edges=edges, days=days)

    @property
    def day_ends(self) -> list[Instant]:
        """Until when each of the days counts; the last until the end of the run."""
        return [*(day.end for day in self.days[:-1]), self.end]

    @property
    def air_kpa(self) -> float:
        """The air's pressure at that height, kPa."""
        return air_pressure_kpa(self.source.elevation_m)

    @property
    def mean_c(self) -> float:
        """The mean temperature of the air, °C."""
        lengths = [hour.end - hour.start for hour in self.hours]
        warmth = fsum(
            hour.temperature_c * length for hour, length in zip(self.hours, lengths, strict=True)
        )
        return warmth / sum(lengths)

    @property
    def assumed_h(self) -> dict[StandIn, float]:
        """For how many hours something stood in for what nobody measured."""
        return assumed_h(self.hours)

    @property
    def assumptions(self) -> list[str]:
        """A sentence on everything that stood in."""
        return assumption_sentences(self.source, self.hours)

    def warmest_and_mildest(self) -> tuple[AirDay, AirDay | None]:
        """The day that asked most of leaves and the one that asked least; of equals the first."""
        warmest = max(self.days, key=lambda day: day.et0_mm)
        others = [day for day in self.days if day is not warmest]
        return warmest, min(others, key=lambda day: day.et0_mm, default=None)

    def leaf_hours(self) -> list[LeafHour]:
        """The hours as leaves outdoors and under glass feel them."""
        air_kpa = self.air_kpa
        return [
            LeafHour.outdoors(
                temperature_c=hour.temperature_c,
                humidity_pct=hour.humidity_pct,
                wind_2m_m_s=hour.wind_2m_m_s,
                radiation_w_m2=hour.radiation_w_m2,
                et0_mm=hour.et0_mm / ((hour.end - hour.start) / HOUR_MS),
                pressure_kpa=air_kpa,
            )
            for hour in self.hours
        ]
