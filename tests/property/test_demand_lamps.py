"""However lamps are held by hand, the stands under them are asked for by the light they have."""

from __future__ import annotations

import random
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from controller.core.demand.pace import REVIEW_MS
from controller.core.plan import Plan
from controller.core.plan_parts.spans import Span
from controller.core.units import HOUR_MS, MINUTE_MS
from tests.gardens import Happening, befall
from tests.strategies import examples
from tests.worlds import MIDNIGHT, Driver, load, on_demand, plan_of, stand

AIR = {"air": {"measures": "air_temperature", "stale_after": "20m"}}
BY_HAND = {
    "name": "by_hand",
    "by_hand": True,
    "spans": [{"from": "00:00", "cycle": "7m on, 9m off"}],
}
LAMPS = ("lamps", "others")
BOUNDS = {"shortest_rest": "1m", "longest_rest": "3h", "shortest_watering": "1m"}

GAPS = st.sampled_from((1, 999, 30_000, 61_000, 299_999, 300_000, 1_234_567, 5_400_000))
STEPS = st.sampled_from((-7_200_000, -90_000, -700, 3, 800, 2_000, 600_000))
ORDERS = st.sampled_from(("on", "off", "1m on, 9m off", "13m off, 61s on", "by_hand"))
NOTHING: st.SearchStrategy[dict[str, Any]] = st.just({})
HAPPENINGS: st.SearchStrategy[Happening] = st.one_of(
    st.tuples(st.just("hold"), st.tuples(st.sampled_from(LAMPS), ORDERS, GAPS), NOTHING),
    st.tuples(st.just("hold"), st.tuples(st.sampled_from(LAMPS), ORDERS, GAPS), NOTHING),
    st.tuples(st.just("release"), st.tuples(st.sampled_from(LAMPS)), NOTHING),
    st.tuples(st.just("crash"), st.tuples(GAPS), NOTHING),
    st.tuples(st.just("set_clock"), st.just(()), st.fixed_dictionaries({"by": STEPS})),
    st.tuples(st.just("sense"), st.just(()), st.fixed_dictionaries({"air": st.floats(15, 30)})),
)
HISTORIES = st.lists(st.tuples(GAPS, HAPPENINGS), min_size=1, max_size=10)


@st.composite
def gardens(draw: st.DrawFn) -> Plan:
    """A pump on demand for one stand or two under lamps."""
    day = [{"from": "06:02", "cycle": "on"}, {"from": "20:00", "cycle": "off"}]
    room: dict[str, Any] = {
        "place": "under-lamps",
        "air_c": 24.0,
        "humidity_pct": 60.0,
        "ppfd_umol": 220.0,
    }
    stands = {
        f"under_{lamp}": stand(lamp=lamp, air=draw(st.sampled_from((None, "air"))), **room)
        for lamp in draw(st.sampled_from((LAMPS[:1], LAMPS[1:], LAMPS)))
    }
    lamps = {name: load(kind="lamp") | {"spans": day, "variants": [BY_HAND]} for name in LAMPS}
    pump = load(kind="pump") | {"spans": [on_demand(**BOUNDS)]}
    order = draw(st.permutations(("pump", *LAMPS)))  # whoever is weighed first
    loads = {name: {"pump": pump, **lamps}[name] for name in order}
    return plan_of(sensors=AIR, stands=stands, **loads)


@given(gardens(), HISTORIES, st.integers(0, 23), st.integers(0, 2**32))
@examples(60)
def test_the_light_counts_from_the_moment_in_which_a_hold_changes_it(
    plan: Plan, history: list[tuple[int, Happening]], hour: int, seed: int
) -> None:
    """A controller that asks the plants at each random moment besides waters at the same ones, for
    as long, and tells the same."""
    moments = random.Random(seed)
    start = MIDNIGHT + hour * HOUR_MS
    thrifty, thorough = (
        Driver(plan, start=start, is_settled=True, restores=True, weighs_all=weighs_all)
        for weighs_all in (False, True)
    )
    for gap_ms, happening in [*history, (3 * HOUR_MS, ("resume", (), {}))]:
        thrifty.advance(gap_ms)
        befall(thrifty, happening)
        while gap_ms:
            part_ms = min(gap_ms, moments.choice((1, 1_000, 7_777, MINUTE_MS, REVIEW_MS)))
            thorough.advance(part_ms)
            thorough.step()
            gap_ms -= part_ms
        befall(thorough, happening)
        assert thrifty.reason("pump") == thorough.reason("pump")
    assert thrifty.changes == thorough.changes


@given(gardens(), st.sampled_from(("on", "off")), st.integers(0, 23), st.integers(1, 50))
@examples(30)
def test_a_lamp_that_is_held_is_a_lamp_whose_plan_has_it_so(
    plan: Plan, order: str, hour: int, minutes: int
) -> None:
    """Whoever holds all lamps so gets the waterings of a plan whose lamps are always so."""
    start = MIDNIGHT + hour * HOUR_MS
    spans = {"spans": (Span.model_validate({"from": "00:00", "cycle": order}),)}
    loads = {
        name: one if one.kind == "pump" else one.model_copy(update=spans)
        for name, one in plan.loads.items()
    }
    held = Driver(plan, start=start)
    planned = Driver(plan.model_copy(update={"loads": loads}), start=start)
    for name in LAMPS:
        held.hold(name, order, "24h")
    for driver in (held, planned):
        driver.sense(air=22.0)
        driver.advance(minutes * MINUTE_MS)
        driver.advance("4h")
    assert held.told("pump")
    assert held.told("pump") == planned.told("pump")
    assert held.reason("pump") == planned.reason("pump")
