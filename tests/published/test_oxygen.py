"""Oxygen in water against published tables."""

from __future__ import annotations

import pytest

from controller.core.water.oxygen import (
    LETTUCE_MG_PER_L_MAX,
    LETTUCE_MG_PER_L_MIN,
    oxygen_saturation_mg_per_l,
)


@pytest.mark.parametrize(
    ("water_c", "printed", "places"),
    [
        (15, 10.1, 1),
        (18, 9.47, 2),
        (20, 9.09, 2),
        (22, 8.74, 2),
        (25, 8.26, 2),
        (28, 7.83, 2),
        (30, 7.56, 2),
    ],
)
def test_saturation_is_the_table_s(water_c: int, printed: float, places: int) -> None:
    """To the last printed figure, at one atmosphere.

    Source: EN 25814, table of saturation, as reproduced in a meter's manual.
    """
    assert round(oxygen_saturation_mg_per_l(water_c), places) == printed


@pytest.mark.parametrize(
    ("water_c", "mg_per_l"),
    [
        (0, 14.621), (5, 12.771), (10, 11.288), (15, 10.084), (20, 9.092), (25, 8.263),
        (30, 7.559), (35, 6.949),
    ],
)  # fmt: skip
def test_saturation_is_that_of_the_published_equation(water_c: int, mg_per_l: float) -> None:
    """Source: Standard Methods for the Examination of Water and Wastewater, table 4500-O:I,
    by its equation; constants as printed in SWAT+'s documentation, eq. 7:3.5.3."""
    assert oxygen_saturation_mg_per_l(water_c) == pytest.approx(mg_per_l, abs=6e-4)


def test_pressure_acts_on_the_air_without_its_vapour() -> None:
    """At 20 °C and half an atmosphere there is a little less than half: vapour's share grows.

    By hand: water vapour at 20 °C is 2.339 kPa; (50.66 - 2.34) / (101.325 - 2.34) = 0.488.
    """
    half = oxygen_saturation_mg_per_l(20, air_kpa=50.6625) / oxygen_saturation_mg_per_l(20)
    assert half == pytest.approx(0.488, abs=0.001)


def test_saturated_water_lies_within_what_lettuce_was_seen_to_grow_in() -> None:
    """At any temperature that a reservoir should have; 8.4 mg/L at 24 °C was one treatment.

    Source: Goto et al. 1996, Acta Horticulturae 440:205, abstract: no difference from 2.1 to
    16.8 mg/L.
    """
    assert oxygen_saturation_mg_per_l(24) == pytest.approx(8.4, abs=0.05)
    for water_c in range(5, 36):
        held = oxygen_saturation_mg_per_l(water_c)
        assert LETTUCE_MG_PER_L_MIN < held < LETTUCE_MG_PER_L_MAX
