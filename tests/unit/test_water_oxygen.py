"""What water can hold of oxygen, and what is said about it."""

from __future__ import annotations

from itertools import pairwise

import pytest

from controller.core.water.oxygen import (
    STANDARD_KPA,
    oxygen_meaning,
    oxygen_saturation_mg_per_l,
)


def test_warm_water_holds_less() -> None:
    """From 0 to 40 °C, without an exception."""
    held = [oxygen_saturation_mg_per_l(float(water_c)) for water_c in range(41)]
    assert all(colder > warmer for colder, warmer in pairwise(held))


def test_high_places_hold_less() -> None:
    """From 110 kPa to 45, at each temperature."""
    for water_c in (0.0, 20.0, 40.0):
        held = [oxygen_saturation_mg_per_l(water_c, air_kpa=kpa) for kpa in range(110, 44, -5)]
        assert all(lower > higher for lower, higher in pairwise(held))
        assert held[-1] > 0


def test_it_is_said_in_words_what_is_known_and_what_is_not() -> None:
    """A figure for the water, and none for the roots."""
    assert oxygen_meaning(24.0, air_kpa=STANDARD_KPA) == (
        "At 24 °C this water holds at most 8.4 mg/L of oxygen; the warmer it is, the less. "
        "Lettuce in solution grew no worse at 2.1 mg/L. How much a film on roots in air holds, "
        "no source known to us says."
    )


@pytest.mark.parametrize("water_c", [-0.1, 40.1, float("nan")])
def test_temperatures_beyond_the_formula_are_refused(water_c: float) -> None:
    """With the range."""
    with pytest.raises(ValueError, match="from 0 to 40 °C"):
        oxygen_saturation_mg_per_l(water_c)


@pytest.mark.parametrize("air_kpa", [44.9, 110.1, 1013.25, float("nan")])
def test_pressures_that_no_land_has_are_refused(air_kpa: float) -> None:
    """Hectopascals in place of kilopascals among them."""
    with pytest.raises(ValueError, match="45 to 110 kPa"):
        oxygen_saturation_mg_per_l(20.0, air_kpa=air_kpa)
