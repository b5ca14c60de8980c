"""How long a film lasts that drains and is drunk from."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from controller.core.water.film import film_lasts_s, film_left_ml
from tests.strategies import examples

films_ml = st.floats(1e-3, 100)
drains_per_ml2_s = st.floats(1e-6, 1e4)
demands_ml_per_s = st.floats(1e-6, 0.1)


@examples(200)
@given(films_ml, drains_per_ml2_s, demands_ml_per_s)
def test_a_film_is_gone_when_what_is_left_of_it_is_drunk(
    film_ml: float, drain: float, demand: float
) -> None:
    """To a billionth: just before there is a rest, just after there is none."""
    lasts_s = film_lasts_s(film_ml, drain_per_ml2_s=drain, demand_ml_per_s=demand)
    for share, is_left in ((1 - 1e-9, True), (1 + 1e-9, False)):
        left_ml = film_left_ml(film_ml, drain_per_ml2_s=drain, drained_s=share * lasts_s)
        assert (left_ml > demand * share * lasts_s) is is_left


@examples(200)
@given(films_ml, drains_per_ml2_s, demands_ml_per_s, st.floats(0.01, 0.9))
def test_a_film_that_was_drunk_from_lasts_as_long_as_the_whole_has_left(
    film_ml: float, drain: float, demand: float, cut: float
) -> None:
    """Looked at in one go, which has a formula, and in two, of which the second is searched."""
    whole_s = film_lasts_s(film_ml, drain_per_ml2_s=drain, demand_ml_per_s=demand)
    first_s = cut * whole_s
    second_s = film_lasts_s(
        film_left_ml(film_ml, drain_per_ml2_s=drain, drained_s=first_s),
        taken_ml=demand * first_s,
        drain_per_ml2_s=drain,
        demand_ml_per_s=demand,
    )
    assert first_s + second_s == pytest.approx(whole_s, rel=1e-9)


@examples(100)
@given(films_ml, drains_per_ml2_s, demands_ml_per_s, st.floats(1.001, 3))
def test_a_thicker_film_lasts_longer_and_a_thirstier_plant_ends_it_sooner(
    film_ml: float, drain: float, demand: float, factor: float
) -> None:
    """Each for itself."""
    lasts_s = film_lasts_s(film_ml, drain_per_ml2_s=drain, demand_ml_per_s=demand)
    thicker_s = film_lasts_s(factor * film_ml, drain_per_ml2_s=drain, demand_ml_per_s=demand)
    thirstier_s = film_lasts_s(film_ml, drain_per_ml2_s=drain, demand_ml_per_s=factor * demand)
    assert thirstier_s < lasts_s <= thicker_s * (1 + 1e-12)


@pytest.mark.parametrize("demand", [5e-324, 1e-200, 1e200])
def test_next_to_no_demand_and_a_huge_one_have_an_end(demand: float) -> None:
    """No square of them is too small or too large for a number."""
    lasts_s = film_lasts_s(4.0, drain_per_ml2_s=0.01, demand_ml_per_s=demand)
    assert 0.0 < lasts_s < inf


@given(films_ml, st.floats(0, 200))
def test_a_film_that_is_drunk_up_or_never_was_lasts_for_nothing(
    film_ml: float, taken_ml: float
) -> None:
    """And one that nobody drinks from is never drunk up."""
    assume(taken_ml >= film_ml)
    gone_s = film_lasts_s(film_ml, taken_ml=taken_ml, drain_per_ml2_s=1.0, demand_ml_per_s=0.01)
    assert gone_s == 0.0
    assert film_lasts_s(0.0, drain_per_ml2_s=1.0, demand_ml_per_s=0.01) == 0.0
    assert film_lasts_s(film_ml, drain_per_ml2_s=1.0, demand_ml_per_s=0.0) == inf
