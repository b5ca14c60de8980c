"""A stand on demand remembers what it needed last, and a pump asks one of those that are alike:
neither ever tells."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from hypothesis import example, given
from hypothesis import strategies as st

from controller.core.demand.drinker import Drinker, drinker_of
from controller.core.demand.pace import Pace, pace_of
from controller.core.demand.present_air import OpenAir
from controller.core.demand.signs import Signs
from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.stands import stands_of
from controller.core.typical_air import course_of
from controller.core.units import DAY_MS, HOUR_MS
from tests.strategies import examples
from tests.worlds import MIDNIGHT, load, on_demand, plan_of, stand

AIR = {
    "air": {"measures": "air_temperature", "stale_after": "20m"},
    "damp": {"measures": "humidity", "stale_after": "20m"},
}
# Few of each, so that the same is asked again after something else.
INSTANTS = st.sampled_from([MIDNIGHT + at for at in (0, HOUR_MS, 12 * HOUR_MS, 3 * DAY_MS)])
READINGS = st.fixed_dictionaries(
    {},
    optional={"air": st.sampled_from((-70.0, 12.0, 35.0)), "damp": st.sampled_from((20.0, 90.0))},
)


FIRST = date(1970, 1, 1) + timedelta(days=MIDNIGHT // DAY_MS)


@st.composite
def _keys(draw: st.DrawFn) -> dict[str, Any]:
    place = draw(st.sampled_from(("outdoors", "under-glass", "under-lamps")))
    keys: dict[str, Any] = {"place": place, "humidity": draw(st.sampled_from((None, "damp")))}
    if place == "under-lamps":
        keys |= {"lamp": "lamps", "ppfd_umol": 220, "air": draw(st.sampled_from((None, "air")))}
    if draw(st.booleans()):
        sown = FIRST - timedelta(days=draw(st.integers(-2, 40)))
        keys |= {"age_days": None, "sown": sown.isoformat()}
    return stand(**keys)


def garden(stands: dict[str, dict[str, Any]]) -> Plan:
    """A pump on demand for these stands, and lamps."""
    lamps = load(kind="lamp") | {
        "spans": [{"from": "06:00", "cycle": "on"}, {"from": "20:00", "cycle": "off"}]
    }
    pump = load(kind="pump") | {"spans": [on_demand()]}
    return plan_of(sensors=AIR, stands=stands, pump=pump, lamps=lamps)


GARDENS = st.fixed_dictionaries({"one": _keys(), "other": _keys()})


def drinkers(plan: Plan) -> tuple[Drinker, ...]:
    """The stands, as nobody has asked yet."""
    return make_schedule(plan).loads[0].drinkers


def told_of(pace: Pace | None, rested_ms: int) -> tuple[object, ...] | None:
    """What a pump does by a pace."""
    if pace is None:
        return None
    return pace.rest_ms, pace.watering_ms(rested_ms), pace.air_words, pace.is_watering_short


SAME_AIR = {"air": 35.0, "damp": 20.0}


@example(
    garden({"one": stand(humidity="damp"), "other": stand(humidity="damp", place="under-glass")}),
    [(MIDNIGHT, SAME_AIR), (MIDNIGHT + 12 * HOUR_MS, SAME_AIR)],  # the sun alone is another
)
@examples(60)
@given(GARDENS.map(garden), st.lists(st.tuples(INSTANTS, READINGS), min_size=2, max_size=8))
def test_what_was_asked_before_changes_no_answer(
    plan: Plan, asked: list[tuple[int, dict[str, float]]]
) -> None:
    """Whenever, in whatever air, and whichever of two that are alike."""
    remembering = drinkers(plan)
    for instant, known in asked:
        fresh = [one.thirst(instant, Signs(known)) for one in drinkers(plan)]
        assert [one.thirst(instant, Signs(known)) for one in remembering] == fresh
        assert [one.thirst(instant, Signs(known)) for one in remembering] == fresh


@examples(30)
@given(GARDENS.map(garden), INSTANTS)
def test_a_stand_that_remembers_is_the_same_stand(plan: Plan, instant: int) -> None:
    """Its equal, by which days on paper are remembered, is one that nobody asked yet."""
    asked = drinkers(plan)
    for one in asked:
        one.thirst(instant, Signs({"air": 30.0, "damp": 40.0}))
    fresh = tuple(replace(one) for one in asked)
    assert fresh == asked
    assert hash(fresh) == hash(asked)
    assert repr(fresh) == repr(asked)


@examples(60)
@given(GARDENS, INSTANTS, READINGS, st.integers(0, 7_200_000))
def test_stands_that_are_alike_are_asked_once_and_the_pace_is_that_of_all(
    stands: dict[str, dict[str, Any]], instant: int, known: dict[str, float], rested_ms: int
) -> None:
    """However many plants stand in each, and whatever they are called."""
    again = {f"{name}_again": {**keys, "plants": 7} for name, keys in stands.items()}
    schedule = make_schedule(garden({**stands, **again}))
    pump, plan = schedule.loads[0], schedule.plan
    (bounds,) = pump.own.demands
    assert bounds is not None
    assert len(pump.drinkers) <= 2
    open_air = OpenAir.of(plan.site, course_of(plan.site))
    everybody = [
        drinker_of(
            facts,
            plan.stands[facts.name],
            open_air=open_air,
            timelines={"lamps": schedule.loads[1].own},
            calendar=schedule.calendar,
        )
        for facts in stands_of(plan)
    ]
    paces = [
        pace_of(asked, bounds, instant=instant, signs=Signs(known))
        for asked in (pump.drinkers, everybody)
    ]
    assert told_of(paces[0], rested_ms) == told_of(paces[1], rested_ms)
