"""One plant's store of water: sums that can be done by hand, and its limits."""

from __future__ import annotations

from math import inf

import pytest

from controller.core.water.bounds import Bounds
from controller.core.water.depletion import depletion_before_stress
from controller.core.water.root_store import RootStore, Wetness
from controller.core.water.root_stores import RootStores

# Invented: 20 mL within reach, no film to speak of, 1 mL/s of drip of which half sinks in.
PLAIN = RootStore(
    held_ml=20.0, film_ml=0.0, drain_per_ml2_s=1.0, drip_ml_per_s=1.0, caught_share=0.5
)
# The same with a film of 4 mL that has lost half after 30 s.
FILMED = RootStore(
    held_ml=20.0, film_ml=4.0, drain_per_ml2_s=3 / 16 / 30, drip_ml_per_s=1.0, caught_share=0.5
)


def test_a_dry_gap_takes_what_the_plant_drinks() -> None:
    """A quarter of an hour at 0.01 mL/s takes 9 of 20 mL."""
    gap = PLAIN.rested(PLAIN.full, length_s=900, demand_ml_per_s=0.01)
    assert gap.after.held_ml == pytest.approx(11.0)
    assert gap.transpired_ml == pytest.approx(9.0)
    assert gap.ran_off_ml == 0.0
    assert gap.thirst_ml == 0.0
    assert PLAIN.left_share(gap.after) == pytest.approx(0.55)


def test_what_the_store_has_not_is_thirst() -> None:
    """An hour at 0.01 mL/s wants 36 mL of 20."""
    gap = PLAIN.rested(PLAIN.full, length_s=3600, demand_ml_per_s=0.01)
    assert gap.after.held_ml == 0.0
    assert gap.transpired_ml == pytest.approx(20.0)
    assert gap.thirst_ml == pytest.approx(16.0)


def test_a_watering_fills_the_store_and_the_rest_runs_off() -> None:
    """60 s bring 60 mL; 30 sink in, 20 fit, 0.6 are drunk meanwhile."""
    watering = PLAIN.watered(Wetness(0.0, 0.0, 0.0), length_s=60, demand_ml_per_s=0.01)
    assert watering.after == PLAIN.full
    assert watering.transpired_ml == pytest.approx(0.6)
    assert watering.ran_off_ml == pytest.approx(60 - 0.6 - 20)


def test_a_watering_that_is_too_short_fills_in_part() -> None:
    """10 s sink in 5 mL, less 0.1 drunk; the other 5 run past."""
    watering = PLAIN.watered(Wetness(2.0, 0.0, 0.0), length_s=10, demand_ml_per_s=0.01)
    assert watering.after.held_ml == pytest.approx(6.9)
    assert watering.ran_off_ml == pytest.approx(5.0)


def test_a_drip_less_than_the_plant_drinks_leaves_it_thirsty() -> None:
    """0.5 mL/s sinks in, 0.8 is wanted: an empty store gives nothing more."""
    watering = PLAIN.watered(Wetness(3.0, 0.0, 0.0), length_s=100, demand_ml_per_s=0.8)
    assert watering.after.stored_ml == 0.0
    assert watering.transpired_ml == pytest.approx(53.0)
    assert watering.thirst_ml == pytest.approx(27.0)
    assert PLAIN.refill_s(Wetness(3.0, 0.0, 0.0), demand_ml_per_s=0.8) == inf


def test_the_film_runs_off_when_nobody_drinks() -> None:
    """Half of 4 mL in 30 s; the held water stays."""
    gap = FILMED.rested(FILMED.full, length_s=30, demand_ml_per_s=0.0)
    assert gap.after.film_ml == pytest.approx(2.0)
    assert gap.ran_off_ml == pytest.approx(2.0)
    assert gap.after.held_ml == 20.0


def test_the_film_is_drunk_before_the_held_water() -> None:
    """After 30 s at 0.02 mL/s: 2 mL have run off, 0.6 are drunk, all of the film."""
    gap = FILMED.rested(FILMED.full, length_s=30, demand_ml_per_s=0.02)
    assert gap.after.held_ml == 20.0
    assert gap.after.film_ml == pytest.approx(1.4)


def test_a_film_drunk_up_is_followed_by_held_water() -> None:
    """At 1/15 mL/s the film of 2 mL left after 30 s is just drunk; another minute takes 4 mL."""
    at_end = FILMED.rested(FILMED.full, length_s=30 + 60, demand_ml_per_s=2 / 30)
    assert at_end.after.film_ml == 0.0
    assert at_end.after.held_ml == pytest.approx(16.0)
    assert at_end.ran_off_ml == pytest.approx(2.0)
    assert at_end.transpired_ml == pytest.approx(6.0)


def test_a_film_that_was_drunk_from_is_gone_when_it_has_drained_to_what_was_taken() -> None:
    """1 mL of 4 taken within no time worth naming: the rest has run off after 150 s, no more."""
    start = Wetness(20.0, 4.0, 1.0)
    gone_s = (4**2 - 1) / (FILMED.drain_per_ml2_s * 16)
    just_before = FILMED.rested(start, length_s=gone_s - 0.1, demand_ml_per_s=0.0)
    long_after = FILMED.rested(start, length_s=gone_s + 5000, demand_ml_per_s=0.0)
    assert gone_s == pytest.approx(150.0)
    assert just_before.after.film_ml > 0.0
    assert long_after.after == FILMED.drained
    assert long_after.ran_off_ml == pytest.approx(3.0)


@pytest.mark.parametrize("taken_ml", [1.0, 3.0, 3.999])
@pytest.mark.parametrize("demand_ml_per_s", [1e-9, 1e-6, 1e-3])
def test_a_film_that_was_drunk_from_is_drunk_up(taken_ml: float, demand_ml_per_s: float) -> None:
    """When what has drained, been taken and been drunk since makes all of it."""
    start = Wetness(20.0, 4.0, taken_ml)
    lasts_s = FILMED.lasts_s(start, left_share=1.0, demand_ml_per_s=demand_ml_per_s)
    sheet_ml = 4.0 / (1.0 + FILMED.drain_per_ml2_s * 16 * lasts_s) ** 0.5
    assert lasts_s > 0.0
    assert sheet_ml == pytest.approx(taken_ml + demand_ml_per_s * lasts_s, rel=1e-9)


@pytest.mark.parametrize("demand_ml_per_s", [1e-200, 1e-12, 1e3])
def test_next_to_no_demand_and_a_huge_one_are_no_trouble(demand_ml_per_s: float) -> None:
    """The film is drunk up after an age, or at once."""
    lasts_s = FILMED.lasts_s(FILMED.full, left_share=1.0, demand_ml_per_s=demand_ml_per_s)
    sheet_ml = 4.0 / (1.0 + FILMED.drain_per_ml2_s * 16 * lasts_s) ** 0.5
    assert sheet_ml == pytest.approx(demand_ml_per_s * lasts_s, rel=1e-6)


def test_the_store_lasts_until_it_is_down_to_a_share() -> None:
    """14 of 20 mL at 0.01 mL/s: 1400 s; with the film half a minute and a half more."""
    assert PLAIN.lasts_s(PLAIN.full, left_share=0.3, demand_ml_per_s=0.01) == pytest.approx(1400)
    with_film = FILMED.lasts_s(FILMED.full, left_share=0.3, demand_ml_per_s=2 / 30)
    assert with_film == pytest.approx(30 + 14 * 15)
    assert PLAIN.lasts_s(PLAIN.full, left_share=0.3, demand_ml_per_s=0.0) == inf
    assert PLAIN.lasts_s(Wetness(5.0, 0.0, 0.0), left_share=0.3, demand_ml_per_s=0.01) == 0.0


def test_a_refill_takes_as_long_as_sinking_in_does() -> None:
    """10 mL at 0.5 less 0.1 mL/s: 25 s; nothing where nothing is missing."""
    assert PLAIN.refill_s(Wetness(10.0, 0.0, 0.0), demand_ml_per_s=0.1) == pytest.approx(25.0)
    assert PLAIN.refill_s(PLAIN.full, demand_ml_per_s=0.1) == 0.0


def test_full_and_drained_differ_by_the_film() -> None:
    """At the end of a watering, and when all has run off."""
    assert FILMED.full.stored_ml - FILMED.drained.stored_ml == 4.0
    assert FILMED.left_share(FILMED.full) == FILMED.left_share(FILMED.drained) == 1.0


def test_the_driest_store_holds_least_and_catches_least() -> None:
    """Corner by corner, under the same drip."""
    drip = Bounds(50 / 60, 50 / 60, 50 / 60)
    stores = RootStores.of("expanded-clay", medium_ml=90.0, leaf_area_m2=0.14, drip_ml_per_s=drip)
    for less, more in ((stores.driest, stores.likely), (stores.likely, stores.wettest)):
        assert less.held_ml < more.held_ml
        assert less.film_ml < more.film_ml
        assert less.caught_share < more.caught_share
        assert less.drip_ml_per_s == more.drip_ml_per_s


@pytest.mark.parametrize(
    ("mm_per_day", "share"),
    [
        (5.0, 0.30),  # FAO-56, table 22, as it stands
        (8.0, 0.18),  # p + 0.04 (5 - ETc)
        (2.0, 0.42),
        (0.0, 0.50),
        (20.0, 0.10),  # never below 0.1
    ],
)
def test_a_thirsty_day_leaves_less_to_draw_before_stress(mm_per_day: float, share: float) -> None:
    """FAO-56, table 22 and its footnote, for lettuce."""
    for_clay = depletion_before_stress("expanded-clay", transpired_mm_per_day=mm_per_day)
    assert for_clay.likely == pytest.approx(share)
    for_wool = depletion_before_stress("mineral-wool", transpired_mm_per_day=mm_per_day)
    assert for_wool == pytest.approx((share, 0.5, 0.7))
    assert for_clay.low <= for_clay.likely <= for_clay.high
