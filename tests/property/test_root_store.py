"""One plant's store over any sequence of waterings and gaps."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.demand.present_air import AirFelt
from controller.core.demand.thirst import Thirst
from controller.core.water.bounds import Bounds
from controller.core.water.root_store import Passage, RootStore, Wetness
from controller.core.water.root_stores import RootStores
from tests.strategies import examples

demands_ml_per_s = st.one_of(st.just(0.0), st.floats(1e-6, 0.1))
lengths_s = st.one_of(st.just(0.0), st.floats(0.001, 100_000.0))
EXACT = 1e-9


class Stretch(NamedTuple):
    """A time with the pump on or off."""

    is_watering: bool
    length_s: float
    demand_ml_per_s: float

    def of(self, store: RootStore, wetness: Wetness) -> Passage:
        """What it does to a store."""
        act = store.watered if self.is_watering else store.rested
        return act(wetness, length_s=self.length_s, demand_ml_per_s=self.demand_ml_per_s)


stretches = st.builds(Stretch, st.booleans(), lengths_s, demands_ml_per_s)


@st.composite
def stores(draw: st.DrawFn) -> RootStore:
    """Stores of seedlings and of giants."""
    return RootStore(
        held_ml=draw(st.floats(0.01, 2000)),
        film_ml=draw(st.one_of(st.just(0.0), st.floats(1e-3, 100))),
        drain_per_ml2_s=draw(st.floats(1e-6, 1e4)),
        drip_ml_per_s=draw(st.one_of(st.just(0.0), st.floats(1e-3, 100))),
        caught_share=draw(st.floats(0.05, 1)),
    )


def states(store: RootStore, run: list[Stretch]) -> Wetness:
    """How wet the roots are after a run that began full."""
    wetness = store.full
    for stretch in run:
        wetness = stretch.of(store, wetness).after
    return wetness


@examples(40)
@given(stores(), st.lists(stretches, min_size=1, max_size=8))
def test_no_drop_is_made_or_lost(store: RootStore, run: list[Stretch]) -> None:
    """Water in = transpired + run off + stored, and demand = transpired + thirst."""
    wetness = store.full
    came = gone = wanted = drunk = thirst = 0.0
    for stretch in run:
        passage = stretch.of(store, wetness)
        came += store.drip_ml_per_s * stretch.length_s if stretch.is_watering else 0.0
        gone += passage.transpired_ml + passage.ran_off_ml
        wanted += stretch.demand_ml_per_s * stretch.length_s
        drunk += passage.transpired_ml
        thirst += passage.thirst_ml
        wetness = passage.after
    scale = max(1.0, came, wanted)
    assert came + store.full.stored_ml == pytest.approx(gone + wetness.stored_ml, abs=EXACT * scale)
    assert wanted == pytest.approx(drunk + thirst, abs=EXACT * scale)


@examples(40)
@given(stores(), st.lists(stretches, min_size=1, max_size=8))
def test_nothing_is_ever_below_nothing_or_above_full(store: RootStore, run: list[Stretch]) -> None:
    """Neither stores nor flows; and a film hangs only on full roots."""
    wetness = store.full
    for stretch in run:
        passage = stretch.of(store, wetness)
        wetness = passage.after
        assert 0.0 <= wetness.held_ml <= store.held_ml
        assert 0.0 <= wetness.film_ml <= store.film_ml * (1 + EXACT)
        assert wetness.film_ml == 0.0 or wetness.held_ml == store.held_ml
        assert min(passage.transpired_ml, passage.ran_off_ml, passage.thirst_ml) >= 0.0


@examples(40)
@given(stores(), st.lists(stretches, max_size=4), stretches, st.floats(0, 1))
def test_a_time_cut_in_two_does_what_the_whole_does(
    store: RootStore, before: list[Stretch], stretch: Stretch, cut: float
) -> None:
    """Wherever the cut is."""
    start = states(store, before)
    whole = stretch.of(store, start)
    first = stretch._replace(length_s=cut * stretch.length_s).of(store, start)
    rest = stretch._replace(length_s=(1 - cut) * stretch.length_s).of(store, first.after)
    close = 1e-7 * max(1.0, store.held_ml, store.drip_ml_per_s * stretch.length_s)
    assert rest.after.held_ml == pytest.approx(whole.after.held_ml, abs=close)
    assert rest.after.film_ml == pytest.approx(whole.after.film_ml, abs=close)
    for part in ("transpired_ml", "ran_off_ml", "thirst_ml"):
        total = getattr(first, part) + getattr(rest, part)
        assert total == pytest.approx(getattr(whole, part), abs=close)


@examples(40)
@given(stores(), st.lists(stretches, max_size=6), st.floats(1, 3))
def test_more_demand_never_leaves_more(store: RootStore, run: list[Stretch], factor: float) -> None:
    """The same run, thirstier."""
    thirstier = [
        stretch._replace(demand_ml_per_s=factor * stretch.demand_ml_per_s) for stretch in run
    ]
    assert states(store, thirstier).held_ml <= states(store, run).held_ml + 1e-7


@examples(40)
@given(stores(), stretches, lengths_s)
def test_a_longer_gap_never_leaves_more(
    store: RootStore, stretch: Stretch, longer_s: float
) -> None:
    """Nor does it let less run off."""
    short = stretch._replace(is_watering=False)
    one = short.of(store, store.full)
    other = short._replace(length_s=short.length_s + longer_s).of(store, store.full)
    assert other.after.stored_ml <= one.after.stored_ml + EXACT
    assert other.ran_off_ml >= one.ran_off_ml - EXACT


@examples(40)
@given(
    st.lists(stretches, min_size=1, max_size=8),
    st.sampled_from(["expanded-clay", "mineral-wool", "bare-roots"]),
    st.floats(1, 500),
    st.floats(1e-4, 0.3),
    st.floats(1e-3, 5),
    st.floats(1, 2),
)
def test_corners_stay_in_order(
    run: list[Stretch],
    medium: str,
    medium_ml: float,
    leaf_area_m2: float,
    drip_ml_per_s: float,
    factor: float,
) -> None:
    """The driest plant, which also drinks most, is never the wetter one."""
    stores = RootStores.of(
        medium,  # type: ignore[arg-type]
        medium_ml=0.0 if medium == "bare-roots" else medium_ml,
        leaf_area_m2=leaf_area_m2,
        drip_ml_per_s=Bounds(drip_ml_per_s, drip_ml_per_s, drip_ml_per_s),
    )
    thirsty, middling = (
        [stretch._replace(demand_ml_per_s=stretch.demand_ml_per_s * by) for stretch in run]
        for by in (factor * factor, factor)
    )
    driest = states(stores.driest, thirsty).held_ml
    likely = states(stores.likely, middling).held_ml
    wettest = states(stores.wettest, run).held_ml
    assert driest <= likely + 1e-7
    assert likely <= wettest + 1e-7


@examples(40)
@given(stores(), st.lists(stretches, max_size=6), st.floats(1, 3))
def test_more_store_and_more_drip_never_leave_less(
    store: RootStore, run: list[Stretch], factor: float
) -> None:
    """A larger pot, or a stronger drip, alone and together."""
    before = states(store, run).held_ml
    larger = replace(store, held_ml=store.held_ml * factor)
    assert states(larger, run).held_ml >= before - 1e-7
    stronger = replace(store, drip_ml_per_s=store.drip_ml_per_s * factor)
    assert states(stronger, run).held_ml >= before - 1e-7


@examples(40)
@given(stores(), st.floats(0, 0.99), st.floats(1e-5, 0.1))
def test_the_store_is_down_to_the_share_when_told(
    store: RootStore, left_share: float, demand_ml_per_s: float
) -> None:
    """`lasts_s` and `rested` tell the same story."""
    lasts_s = store.lasts_s(store.full, left_share=left_share, demand_ml_per_s=demand_ml_per_s)
    after = store.rested(store.full, length_s=lasts_s, demand_ml_per_s=demand_ml_per_s).after
    assert store.left_share(after) == pytest.approx(left_share, abs=1e-6)


@examples(60)
@given(stores(), st.floats(0, 1), demands_ml_per_s, st.floats(0, 7200))
def test_a_thirst_is_that_of_its_store(
    store: RootStore, reserve: float, demand_ml_per_s: float, watering_s: float
) -> None:
    """Which knows beforehand how long full roots live on their film; and after as long a rest as a
    watering makes good for, that watering fills them."""
    thirst = Thirst.of(AirFelt(25.0, 50.0), demand_ml_per_s, store, reserve)
    for told_s, left_share in ((thirst.rest_s, reserve), (thirst.lasts_s, 0.0)):
        lasts_s = store.lasts_s(store.full, left_share=left_share, demand_ml_per_s=demand_ml_per_s)
        assert told_s == pytest.approx(lasts_s, rel=1e-6, abs=1e-6)
    rest_s = min(thirst.made_good_s(watering_s), thirst.lasts_s)
    if 0.0 < rest_s < 1e9:
        assert thirst.refill_s(rest_s) <= watering_s * (1 + 1e-6) + 1e-6


@examples(40)
@given(stores(), st.floats(0, 1), demands_ml_per_s)
def test_the_store_is_full_when_told(
    store: RootStore, share: float, demand_ml_per_s: float
) -> None:
    """`refill_s` and `watered` tell the same story."""
    start = Wetness(share * store.held_ml, 0.0, 0.0)
    refill_s = store.refill_s(start, demand_ml_per_s=demand_ml_per_s)
    if refill_s < 1e9:
        after = store.watered(start, length_s=refill_s, demand_ml_per_s=demand_ml_per_s).after
        assert after.stored_ml == pytest.approx(store.full.stored_ml, rel=1e-6)


@examples(20)
@given(stores(), st.floats(1e-4, 0.05), st.floats(1, 3600))
def test_rather_too_much_runs_off_than_too_little(
    store: RootStore, demand_ml_per_s: float, length_s: float
) -> None:
    """Against small steps of a film that drains as thin as it is."""
    steps, film, ran_off = 2000, store.film_ml, 0.0
    step_s = length_s / steps
    for _ in range(steps):
        left = film / (1.0 + store.drain_per_ml2_s * step_s * film * film) ** 0.5
        ran_off += film - left
        film = max(0.0, left - demand_ml_per_s * step_s)
    gap = store.rested(store.full, length_s=length_s, demand_ml_per_s=demand_ml_per_s)
    # A step lets the film drain before it is drunk: the steps' sum is too high by one at most.
    assert gap.ran_off_ml >= ran_off - demand_ml_per_s * step_s - 1e-9
