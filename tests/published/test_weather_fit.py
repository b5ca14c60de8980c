"""Distances between places against published ones, and what is said of far weather."""

from __future__ import annotations

import pytest

from controller.core.plan import Site
from controller.weather.fit import distance_km, fit_findings
from controller.weather.formats import parse_weather

_CSV = (
    b"# latitude = 36.1\n# longitude = -79.95\ntime,air_temperature_c\n"
    b"2026-07-01T00:00:00Z,20\n2026-07-01T01:00:00Z,21\n"
)


@pytest.mark.parametrize(
    ("a", "b", "km"),
    [
        # A quarter of a meridian: the metre was meant to make it 10,000 km (WGS 84: 10,002).
        ((0.0, 0.0), (90.0, 0.0), 10_002),
        # One minute of latitude is a nautical mile of 1.852 km (by definition, BIPM).
        ((47.0, 8.0), (47.0 + 1 / 60, 8.0), 1.852),
        # Half around the equator, across the date line (WGS 84: 20,037 km).
        ((0.0, 90.0), (0.0, -90.0), 20_037),
    ],
)
def test_distances_are_the_published_ones(
    a: tuple[float, float], b: tuple[float, float], km: float
) -> None:
    """Within half a percent: the earth is no sphere."""
    assert distance_km(a, b) == pytest.approx(km, rel=5e-3)


def _site(latitude: float, longitude: float) -> Site:
    return Site(latitude=latitude, longitude=longitude, timezone="Etc/UTC")


def test_weather_of_the_place_itself_is_not_remarked() -> None:
    """A station in the region fits."""
    weather = parse_weather(_CSV, name="w.csv")
    assert fit_findings(_site(36.5, -80.5), weather) == []


def test_weather_of_another_continent_is_a_warning_with_its_noon() -> None:
    """A hot afternoon would fall into the night."""
    weather = parse_weather(_CSV, name="w.csv")
    (found,) = fit_findings(_site(47.1, 8.3), weather)
    assert found.level == "warning"
    assert found.message == (
        "the weather is of a place 7,045 km away (36.10, -79.95); its noon is 5.9 h off the site's"
    )


def test_weather_across_the_date_line_is_near() -> None:
    """179 degrees east and 179 degrees west are neighbours."""
    weather = parse_weather(_CSV.replace(b"-79.95", b"179.5"), name="w.csv")
    (found,) = fit_findings(_site(36.1, -178.0), weather)
    assert "noon" not in found.message
