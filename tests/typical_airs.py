"""The air of sites that nobody measured, for tests that need nothing else of a site."""

from __future__ import annotations

from controller.core.plan import Site, TypicalDay
from controller.weather.typical_day import TypicalAir, typical_air_of


def assumed_air(*, latitude: float, longitude: float, elevation_m: float | None) -> TypicalAir:
    """The air that a place suggests."""
    return typical_air_of(
        Site(latitude=latitude, longitude=longitude, timezone="Etc/UTC", elevation_m=elevation_m)
    )


def stated_air(*, coolest_c: float, warmest_c: float, longitude: float) -> TypicalAir:
    """The air that a plan states."""
    day = TypicalDay(coolest_c=coolest_c, warmest_c=warmest_c)
    return typical_air_of(
        Site(latitude=0.0, longitude=longitude, timezone="Etc/UTC", typical_day=day)
    )
