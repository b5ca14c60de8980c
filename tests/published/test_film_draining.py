"""Draining films against the equations that they must obey.

Jeffreys, The draining of a vertical plate, Mathematical Proceedings of the Cambridge
Philosophical Society 26 (1930) 204-205, and Nusselt, Die Oberflächenkondensation des
Wasserdampfes, 1916. Both follow from the flow of a thin film on an upright wall, g h³ / (3 ν)
for each metre of width.
"""

from __future__ import annotations

from math import sqrt

import pytest

from controller.core.water.film import (
    WATER_M2_PER_S,
    drain_per_ml2_s,
    draining_thickness_m,
    film_left_ml,
    flowing_thickness_m,
    mean_draining_thickness_m,
)
from controller.core.water.water_properties import GRAVITY_M_PER_S2

PLACES = [(0.02, 5.0), (0.1, 60.0), (0.3, 900.0)]


def test_water_s_viscosity_is_the_published_one() -> None:
    """1.002 mPa s and 998.2 kg/m³ at 20 °C (CRC Handbook): 1.0038e-6 m²/s."""
    assert pytest.approx(1.0038e-6, rel=1e-3) == WATER_M2_PER_S


def test_a_film_after_a_minute_is_13_micrometres_thick() -> None:
    """By hand: √(1.004e-6 × 0.1 / (9.807 × 60)) = 13.06 µm a decimetre below the edge."""
    thickness_m = draining_thickness_m(below_edge_m=0.1, drained_s=60.0)
    assert thickness_m == pytest.approx(13.06e-6, abs=0.01e-6)


@pytest.mark.parametrize(("below_edge_m", "drained_s"), PLACES)
def test_what_leaves_a_place_is_what_thins_it(below_edge_m: float, drained_s: float) -> None:
    """∂h/∂t + (g/ν) h² ∂h/∂z = 0, by differences."""

    def thickness(shift_m: float, shift_s: float) -> float:
        return draining_thickness_m(
            below_edge_m=below_edge_m + shift_m, drained_s=drained_s + shift_s
        )

    part = 1e-4
    by_time = (thickness(0, drained_s * part) - thickness(0, -drained_s * part)) / (
        2 * drained_s * part
    )
    by_place = (thickness(below_edge_m * part, 0) - thickness(-below_edge_m * part, 0)) / (
        2 * below_edge_m * part
    )
    carried = GRAVITY_M_PER_S2 / WATER_M2_PER_S * thickness(0, 0) ** 2 * by_place
    assert by_time == pytest.approx(-carried, rel=1e-5)


@pytest.mark.parametrize(("length_m", "drained_s"), PLACES)
def test_the_mean_is_that_of_many_places(length_m: float, drained_s: float) -> None:
    """Two thirds of the thickness at the lower end."""
    count = 20_000
    places = [
        draining_thickness_m(below_edge_m=length_m * (i + 0.5) / count, drained_s=drained_s)
        for i in range(count)
    ]
    mean_m = mean_draining_thickness_m(length_m=length_m, drained_s=drained_s)
    assert mean_m == pytest.approx(sum(places) / count, rel=1e-5)
    assert mean_m == pytest.approx(
        2 / 3 * sqrt(WATER_M2_PER_S * length_m / (GRAVITY_M_PER_S2 * drained_s))
    )


def test_what_a_film_loses_is_what_flows_over_its_lower_end() -> None:
    """There g h³ / (3 ν) leaves; against the change of the mean."""
    length_m, drained_s, step_s = 0.2, 30.0, 0.01
    lost_m2_s = (
        length_m
        * (
            mean_draining_thickness_m(length_m=length_m, drained_s=drained_s - step_s)
            - mean_draining_thickness_m(length_m=length_m, drained_s=drained_s + step_s)
        )
        / (2 * step_s)
    )
    end_m = draining_thickness_m(below_edge_m=length_m, drained_s=drained_s)
    flow_m2_s = GRAVITY_M_PER_S2 * end_m**3 / (3 * WATER_M2_PER_S)
    assert lost_m2_s == pytest.approx(flow_m2_s, rel=1e-5)


def test_a_fed_film_carries_what_feeds_it() -> None:
    """Nusselt: g h³ / (3 ν) for each metre of width is the flow."""
    thickness_m = flowing_thickness_m(flow_m3_s=8e-7, width_m=0.5)
    carried_m3_s = 0.5 * GRAVITY_M_PER_S2 * thickness_m**3 / (3 * WATER_M2_PER_S)
    assert carried_m3_s == pytest.approx(8e-7)


@pytest.mark.parametrize("surface_m2", [0.01, 0.1])
def test_a_long_drained_film_forgets_how_thick_it_was(surface_m2: float) -> None:
    """Then it is Jeffreys': surface times the mean thickness, from whatever film it began."""
    drained_s = 3600.0
    rate = drain_per_ml2_s(surface_m2=surface_m2, length_m=0.2)
    jeffreys_ml = 1e6 * surface_m2 * mean_draining_thickness_m(length_m=0.2, drained_s=drained_s)
    for thickness_m in (2e-4, 1e-3):
        left_ml = film_left_ml(
            1e6 * surface_m2 * thickness_m, drain_per_ml2_s=rate, drained_s=drained_s
        )
        assert left_ml == pytest.approx(jeffreys_ml, rel=1e-3)
