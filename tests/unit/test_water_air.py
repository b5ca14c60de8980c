"""Moist air and wind at the edges of what their formulae are made for."""

from __future__ import annotations

import pytest

from controller.core.water.air import (
    air_pressure_kpa,
    density_kg_per_m3,
    saturation_kpa,
    vapour_from_wet_bulb_kpa,
    vapour_kpa,
)
from controller.core.water.wind import STANDARD_HEIGHT_M, wind_at_2_m


def test_saturated_air_has_a_wet_bulb_as_warm_as_the_dry_one() -> None:
    """Nothing evaporates from the bulb."""
    vapour = vapour_from_wet_bulb_kpa(dry_bulb_c=20.0, wet_bulb_c=20.0, air_kpa=101.3)
    assert vapour == saturation_kpa(20.0)


def test_bulbs_that_cannot_belong_together_tell_less_than_nothing() -> None:
    """A wet bulb at 0 °C in air of 60 °C: below 0, for the caller to see."""
    assert vapour_from_wet_bulb_kpa(dry_bulb_c=60.0, wet_bulb_c=0.0, air_kpa=101.3) < 0


def test_half_of_saturation_is_50_percent() -> None:
    """And nothing at all is 0 %."""
    assert vapour_kpa(temperature_c=25.0, humidity_pct=50.0) == saturation_kpa(25.0) / 2
    assert vapour_kpa(temperature_c=25.0, humidity_pct=0.0) == 0.0


def test_damp_air_is_lighter() -> None:
    """Water's molecules weigh less than those that they push aside."""
    dry = density_kg_per_m3(temperature_c=20.0, vapour_kpa=0.0, air_kpa=101.3)
    damp = density_kg_per_m3(temperature_c=20.0, vapour_kpa=2.3, air_kpa=101.3)
    assert damp < dry == pytest.approx(1.204, abs=1e-3)  # dry air at 20 °C; ISO 2533, from memory


def test_pressure_falls_with_height() -> None:
    """From 101.3 kPa at sea level, over all heights that a station may have."""
    assert air_pressure_kpa(0.0) == 101.3
    pressures = [air_pressure_kpa(height) for height in (-500.0, 0.0, 450.0, 3000.0, 9000.0)]
    assert pressures == sorted(pressures, reverse=True)
    assert pressures[-1] > 30


def test_wind_at_2_m_is_itself_there() -> None:
    """Within the rounding of the published coefficients, 0.1 %; calm is calm at any height."""
    assert wind_at_2_m(5.0, height_m=STANDARD_HEIGHT_M) == pytest.approx(5.0, rel=2e-3)
    assert wind_at_2_m(0.0, height_m=10.0) == 0.0


def test_wind_within_the_grass_is_refused() -> None:
    """The logarithmic profile has no meaning there."""
    with pytest.raises(AssertionError):
        wind_at_2_m(1.0, height_m=0.09)
