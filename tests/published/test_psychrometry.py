"""Moist air against the open package psychrolib, over a sweep.

psychrolib follows ASHRAE's Handbook of Fundamentals (2017), FAO-56 a shorter formula for the
saturation pressure and another standard atmosphere; each tolerance says how far that goes.
Below 0 °C psychrolib has saturation over ice, FAO-56 over water, so the sweep begins at 0 °C.
"""

from __future__ import annotations

import psychrolib
import pytest

from controller.core.water.air import (
    air_pressure_kpa,
    density_kg_per_m3,
    saturation_kpa,
    slope_kpa_per_c,
    vapour_from_wet_bulb_kpa,
    vapour_kpa,
)

TEMPERATURES_C = [0.5, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0]
HUMIDITIES_PCT = [5.0, 20.0, 50.0, 80.0, 100.0]


@pytest.fixture(autouse=True)
def _si_units() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize("temperature_c", TEMPERATURES_C)
def test_saturation(temperature_c: float) -> None:
    """The short formula is within 0.3 % up to 50 °C."""
    pascals = psychrolib.GetSatVapPres(temperature_c)
    assert saturation_kpa(temperature_c) == pytest.approx(pascals / 1000, rel=3e-3)


@pytest.mark.parametrize("temperature_c", TEMPERATURES_C)
def test_slope(temperature_c: float) -> None:
    """The slope is the saturation pressure's, by a difference of 0.002 °C."""
    rise = psychrolib.GetSatVapPres(temperature_c + 1e-3) - psychrolib.GetSatVapPres(
        temperature_c - 1e-3
    )
    assert slope_kpa_per_c(temperature_c) == pytest.approx(rise / 2, rel=1e-2)


@pytest.mark.parametrize("temperature_c", TEMPERATURES_C)
@pytest.mark.parametrize("humidity_pct", HUMIDITIES_PCT)
def test_density(temperature_c: float, humidity_pct: float) -> None:
    """Within 0.1 %: the same gas law, its constants rounded."""
    vapour = vapour_kpa(temperature_c=temperature_c, humidity_pct=humidity_pct)
    ratio = psychrolib.GetHumRatioFromVapPres(vapour * 1000, 95_000.0)
    theirs = psychrolib.GetMoistAirDensity(temperature_c, ratio, 95_000.0)
    ours = density_kg_per_m3(temperature_c=temperature_c, vapour_kpa=vapour, air_kpa=95.0)
    assert ours == pytest.approx(theirs, rel=1e-3)


@pytest.mark.parametrize("elevation_m", [-100.0, 0.0, 500.0, 1800.0, 3000.0])
def test_pressure(elevation_m: float) -> None:
    """Within 0.9 % up to 3,000 m: FAO-56's atmosphere is 20 °C at sea level, ICAO's 15 °C."""
    theirs = psychrolib.GetStandardAtmPressure(elevation_m)
    assert air_pressure_kpa(elevation_m) == pytest.approx(theirs / 1000, rel=9e-3)


@pytest.mark.parametrize("dry_c", [10.0, 20.0, 30.0, 40.0])
@pytest.mark.parametrize("lag_c", [0.0, 2.0, 5.0])
def test_wet_bulb(dry_c: float, lag_c: float) -> None:
    """A bulb with a fan tells the vapour within 2 %: the thermodynamic one is a little cooler."""
    ratio = psychrolib.GetHumRatioFromTWetBulb(dry_c, dry_c - lag_c, 101_325.0)
    theirs = psychrolib.GetVapPresFromHumRatio(ratio, 101_325.0) / 1000
    ours = vapour_from_wet_bulb_kpa(dry_bulb_c=dry_c, wet_bulb_c=dry_c - lag_c, air_kpa=101.325)
    assert ours == pytest.approx(theirs, rel=2e-2)
