"""The strength of what lettuce drinks, against what growers keep in their reservoirs."""

from __future__ import annotations

import pytest

from controller.core.water.bounds import Bounds
from controller.core.water.conductivity import ec_of_ppm, ppm_of_ec
from controller.core.water.nutrient_use import uptake_ec_ms_per_cm


def test_uptake_by_hand() -> None:
    """135 meq/kg through 20 L/kg are 6.75 meq/L, 0.675 mS/cm at 10 meq/L each.

    Water: 20 L/kg, Barbosa et al. 2015, abstract. Contents: from memory.
    """
    assert uptake_ec_ms_per_cm().likely == pytest.approx(0.675)


def test_the_least_and_the_most_are_far_apart() -> None:
    """100 meq/kg through 1/28.1 g/L, Carotti et al. 2023, and 170 through 1/75, Pennisi et
    al. 2019: 0.28 and 1.28 mS/cm."""
    least, _, most = uptake_ec_ms_per_cm()
    assert (least, most) == pytest.approx((0.281, 1.275), abs=0.001)


def test_a_young_crop_s_solution_stands_near_what_it_drinks() -> None:
    """About 350 ppm (common practice, no source) is within a tenth of the likely uptake, so it
    changes little as a young crop drinks; on either other scale it lies within the bounds."""
    uptake = uptake_ec_ms_per_cm()
    assert ppm_of_ec(uptake.likely, scale=500) == pytest.approx(350, rel=0.1)
    for scale in (500, 640, 700):
        assert uptake.low < ec_of_ppm(350, scale=scale) < uptake.high


def test_the_usual_strengths_for_grown_lettuce_grow_stronger() -> None:
    """1.28 dS/m, the standard of Fernandes et al. 2018 (abstract), and the usual 1.6 mS/cm
    (common practice, no source), are at or above the most that is drunk."""
    assert uptake_ec_ms_per_cm().high < 1.28


@pytest.mark.parametrize(
    ("ions", "water", "told"),
    [
        (Bounds(-1, 0, 1), Bounds(1, 1, 1), "meq/kg"),
        (Bounds(1, 1, 1), Bounds(0, 1, 1), "more water than none"),
        (Bounds(1, 1, 1), Bounds(1, 1, float("inf")), "L/kg"),
    ],
)
def test_what_cannot_be_is_refused(ions: Bounds, water: Bounds, told: str) -> None:
    """With what is wrong."""
    with pytest.raises(ValueError, match=told):
        uptake_ec_ms_per_cm(ions_meq_per_kg=ions, water_l_per_kg=water)
