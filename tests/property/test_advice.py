"""What the search for rests promises of any roots, any demand and any plants drawn."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from controller.advice.lengths import Lengths
from controller.advice.needs import Need, SpanNeeds
from controller.advice.rests import lasting_rest_s, leanest, rests_of
from controller.advice.sampling import Drawn, WateredDay, store_of
from controller.advice.search import advise
from controller.advice.waterings import Part, Stretch
from controller.core.stands import StandFacts, stands_of
from controller.core.units import MINUTE_MS
from controller.core.water.root_store import RootStore, Wetness
from tests.advice_gardens import JULY, garden, question
from tests.strategies import examples
from tests.worlds import stand

STANDS = st.fixed_dictionaries(
    {
        "air": st.none(),
        "age_days": st.integers(5, 60),
        "place": st.sampled_from(("outdoors", "under-glass")),
        "plants_per_m2": st.sampled_from((10.0, 25.0, 100.0)),
        "drip_ml_per_min": st.sampled_from((0.5, 3.0, 20.0, 200.0)),
        "medium_ml": st.sampled_from((5.0, 30.0, 90.0, 400.0)),
        "reserve": st.sampled_from((0.0, 0.3, 0.8)),
    },
    optional={"medium": st.just("mineral-wool")},
)
WATERINGS_MIN = (1, 3, 8)
LONGEST_REST_MIN = 40
LENGTHS = Lengths(
    waterings_ms=tuple(n * MINUTE_MS for n in WATERINGS_MIN),
    shortest_rest_ms=MINUTE_MS,
    longest_rest_ms=LONGEST_REST_MIN * MINUTE_MS,
    watering_words="",
    shortest_rest_words="",
    longest_rest_words="",
)
rates_ml_per_s = st.one_of(st.just(0.0), st.floats(1e-5, 0.2))
places = st.floats(0.0, 1.0)
plants = st.builds(Drawn, *(places for _ in Drawn._fields))


def facts_of(keys: dict[str, Any]) -> StandFacts:
    """The stand as the models know it."""
    return stands_of(garden(stand(**keys)))[0]


def need_of(keys: dict[str, Any], rate_ml_per_s: float) -> Need:
    """A stand that drinks that much, likely; a half more at the most and half at the least."""
    facts = facts_of(keys)
    age_days = facts.age_days
    assert age_days is not None
    rates = [rate_ml_per_s * share for share in (1.5, 1.0, 0.5)]
    return Need(facts, age_days, facts.stores_at(age_days), rates, JULY)


def keeps(need: Need, corner: int, watering_min: int, rest_min: int) -> bool:
    """Whether roots that begin at their reserve have it after each of some cycles: minute by
    minute, and nothing that they want is missing."""
    store, rate = need.stores[corner], need.rates_ml_per_s[corner]
    wetness = Wetness(need.facts.reserve * store.held_ml, 0.0, 0.0)
    for _ in range(3):
        for minute in range(watering_min + rest_min):
            do = store.watered if minute < watering_min else store.rested
            passage = do(wetness, length_s=60.0, demand_ml_per_s=rate)
            wetness = passage.after
            if passage.thirst_ml > 1e-9:
                return False
        if store.left_share(wetness) < need.facts.reserve - 1e-9:
            return False
    return True


@examples(30)
@given(
    needs=st.lists(st.tuples(STANDS, rates_ml_per_s), min_size=1, max_size=2),
    corner=st.sampled_from((0, 1)),
)
def test_no_cycle_of_the_whole_grid_is_leaner(
    needs: list[tuple[dict[str, Any], float]], corner: int
) -> None:
    """Every watering with every rest in whole minutes, stepped through, finds nothing better,
    and finds nothing where the search finds nothing."""
    of_span = SpanNeeds(0, tuple(need_of(keys, rate) for keys, rate in needs))
    fitting = [
        watering / (watering + rest)
        for watering in WATERINGS_MIN
        for rest in range(1, LONGEST_REST_MIN + 1)
        if all(keeps(need, corner, watering, rest) for need in of_span.needs)
    ]
    found = rests_of(of_span, LENGTHS, corner=corner)
    assert bool(found) is bool(fitting)
    if found:
        assert abs(leanest(found).on_share - min(fitting)) < 1e-12


@examples(60)
@given(
    keys=STANDS,
    rate=rates_ml_per_s,
    more=st.floats(0.0, 0.1),
    watering_s=st.floats(1.0, 3600.0),
    longer_s=st.floats(0.0, 3600.0),
)
def test_rests_grow_with_waterings_and_shrink_with_thirst(
    keys: dict[str, Any], rate: float, more: float, watering_s: float, longer_s: float
) -> None:
    """And driest roots never stand a longer rest than likely ones, nor these than wettest."""
    need = need_of(keys, rate)

    def rest_s(store: RootStore, demand: float, length_s: float) -> float:
        return lasting_rest_s(
            store, reserve=need.facts.reserve, demand_ml_per_s=demand, watering_s=length_s
        )

    rests = [
        rest_s(store, demand, watering_s)
        for store, demand in zip(need.stores, need.rates_ml_per_s, strict=True)
    ]
    for store, demand, rest in zip(need.stores, need.rates_ml_per_s, rests, strict=True):
        slack = 1e-6 * min(rest, 1e9) + 1e-6
        assert rest_s(store, demand, watering_s + longer_s) >= min(rest, 1e9) - slack
        assert rest_s(store, demand + more, watering_s) <= rest + slack
    assert sorted(rests) == rests or max(rests) - min(rests) < 1e-6


@examples(100)
@given(
    keys=STANDS,
    plant=plants,
    lengths_min=st.lists(
        st.tuples(st.integers(1, 30), st.integers(1, 60)), min_size=2, max_size=12
    ),
    rates=st.lists(rates_ml_per_s, min_size=12, max_size=12),
)
def test_the_quick_way_through_a_day_finds_what_the_whole_way_finds(
    keys: dict[str, Any],
    plant: Drawn,
    lengths_min: list[tuple[int, int]],
    rates: list[float],
) -> None:
    """Gaps that cannot have left least are left out, and nothing else."""
    store = store_of(facts_of(keys), 30, plant)
    stretches = []
    for (on_min, off_min), rate in zip(lengths_min, rates, strict=False):
        for is_wet, minutes in ((True, on_min), (False, off_min)):
            stretches.append(Stretch(is_wet, (Part(60.0 * minutes, rate / 2, rate),)))
    wetness, least = store.drained, 1.0
    for stretch in stretches:
        (part,) = stretch.parts
        rate = part.low_ml_per_s + plant.demand * (part.high_ml_per_s - part.low_ml_per_s)
        do = store.watered if stretch.is_wet else store.rested
        wetness = do(wetness, length_s=part.length_s, demand_ml_per_s=rate).after
        least = min(least, store.left_share(wetness))
    found = WateredDay(stretches).left_share(store, plant.demand)
    assert abs(found - least) < 1e-9


@examples(3)
@given(of_stands=st.lists(STANDS, min_size=1, max_size=2))
def test_what_is_advised_keeps_every_reserve_in_a_dry_run(of_stands: list[dict[str, Any]]) -> None:
    """Or there is no advice and a hindrance says why, or a limit that broke."""
    plan = garden(*(stand(**keys) for keys in of_stands))
    advice = advise(question(plan), "pump")
    if advice.row is None:
        assert advice.hindrances or advice.failed
        return
    assert advice.whole is not None
    for name, left in advice.whole.lefts.items():
        assert left.likely >= advice.reserves[name] - 1e-9
    fit = [row for row in advice.rows if row.is_fit]
    careful = [row for row in fit if row.is_careful]
    assert advice.row.pump.hours_a_day == min(row.pump.hours_a_day for row in careful or fit)
