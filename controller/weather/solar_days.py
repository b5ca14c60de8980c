"""The days of a place by the mean sun, each beside the local standard day that it belongs to."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import DAY_MS, HOUR_MS

if TYPE_CHECKING:
    from controller.core.units import Instant
    from controller.weather.air_source import AirSource


class SolarDays(NamedTuple):
    """Mean solar time, `offset_ms` ahead of UTC, its days numbered as the local standard days
    whose noon is nearest to theirs: also where a country keeps another's date."""

    offset_ms: int

    @classmethod
    def of(cls, source: AirSource) -> SolarDays:
        """Those of a source's place."""
        solar_ms = round(source.longitude / 15 * HOUR_MS)
        behind_ms = source.utc_offset_ms - solar_ms
        return cls(solar_ms + round(behind_ms / DAY_MS) * DAY_MS)

    def day_and_hour(self, instant: Instant) -> tuple[int, float]:
        """The number of the day that an instant lies in, and the hour of it."""
        number, within_ms = divmod(instant + self.offset_ms, DAY_MS)
        return number, within_ms / HOUR_MS
