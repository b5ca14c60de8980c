"""A plant's leaf area by its age, and how leaves cover the ground."""

from __future__ import annotations

from itertools import pairwise
from math import exp

import pytest

from controller.core.water.crop_cover import (
    FULL_COVER_KCB,
    basal_coefficient,
    leaf_area_index,
)
from controller.core.water.leaf_area import FULL_LEAF_M2, HALF_GROWN_DAYS, leaf_area_m2

AGES = [0, 1, 7, 10, 14, 21, 28, 35, 42, 60, 120]


@pytest.mark.parametrize("age_days", AGES)
def test_bounds_are_in_order_at_any_age(age_days: int) -> None:
    """The least is never above the likely, nor that above the highest."""
    area = leaf_area_m2(age_days)
    assert 0 < area.low < area.likely < area.high


def test_leaves_never_shrink() -> None:
    """Each of the bounds grows from age to age."""
    for younger, older in pairwise(leaf_area_m2(age) for age in AGES):
        assert all(one < other for one, other in zip(younger, older, strict=True))


def test_half_the_leaves_are_there_at_half_grown() -> None:
    """That is what the logistic curve's middle means."""
    assert leaf_area_m2(HALF_GROWN_DAYS.likely).likely == pytest.approx(FULL_LEAF_M2.likely / 2)
    assert leaf_area_m2(HALF_GROWN_DAYS.low).low == pytest.approx(FULL_LEAF_M2.low / 2)
    assert leaf_area_m2(HALF_GROWN_DAYS.high).high == pytest.approx(FULL_LEAF_M2.high / 2)


def test_a_seedling_s_leaves_grow_by_a_quarter_of_themselves_a_day() -> None:
    """Before they crowd, growth is exponential."""
    assert leaf_area_m2(6).likely / leaf_area_m2(5).likely == pytest.approx(exp(0.25), rel=0.01)


def test_a_seedling_has_a_few_tens_of_square_centimetres() -> None:
    """Ten to fourteen days from sowing, when it moves into the column; common practice."""
    at_ten, at_fourteen = leaf_area_m2(10), leaf_area_m2(14)
    assert 5e-4 < at_ten.likely < at_fourteen.likely < 50e-4
    assert at_ten.low < 20e-4 < at_fourteen.high


def test_a_head_is_ready_five_to_six_weeks_after_sowing() -> None:
    """Common practice, no source: then it has three quarters and more of all its leaves."""
    assert leaf_area_m2(28).likely < 0.5 * FULL_LEAF_M2.likely
    assert leaf_area_m2(35).likely > 0.75 * FULL_LEAF_M2.likely
    assert leaf_area_m2(42).likely > 0.95 * FULL_LEAF_M2.likely
    assert 0.12 < leaf_area_m2(38).likely < 0.2


def test_the_leaf_area_index_counts_all_plants_of_a_square_metre() -> None:
    """25 plants of 0.12 m² each cover it three times over."""
    assert leaf_area_index(0.12, 25) == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("index", "kcb"),
    [
        (0.0, 0.0),  # no leaf, no transpiration; bare soil is not counted
        (1.0, 0.90 * (1 - exp(-0.7))),
        (3.0, 0.90 * (1 - exp(-2.1))),
        (50.0, 0.90),  # full cover
    ],
)
def test_the_coefficient_follows_leaf_area(index: float, kcb: float) -> None:
    """FAO-56, eq. 97, with no soil."""
    assert basal_coefficient(index, full_cover=FULL_COVER_KCB.likely) == pytest.approx(kcb)
