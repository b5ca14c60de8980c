"""What a pace promises of every stand, any air and any bounds."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from controller.core.demand.pace import REVIEW_MS, Pace, pace_of
from controller.core.demand.signs import Signs
from controller.core.plan import Plan
from controller.core.plan_parts.spans import DemandBounds
from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, SECOND_MS
from tests.strategies import examples
from tests.worlds import MIDNIGHT, Driver, load, on_demand, plan_of, stand

AIR = {
    "air": {"measures": "air_temperature", "stale_after": "20m"},
    "damp": {"measures": "humidity", "stale_after": "20m"},
}

STANDS = st.fixed_dictionaries(
    {
        "age_days": st.integers(0, 60),
        "place": st.sampled_from(("outdoors", "under-glass", "under-lamps")),
        "plants_per_m2": st.sampled_from((4.0, 25.0, 100.0)),
        "drip_ml_per_min": st.sampled_from((0.1, 5.0, 50.0, 10_000.0)),
        "reserve": st.sampled_from((0.0, 0.3, 0.9)),
    },
    optional={"medium": st.just("mineral-wool")},
)
MINUTES = st.integers(1, 180).map(lambda minutes: minutes * MINUTE_MS)


@st.composite
def bounds(draw: st.DrawFn) -> DemandBounds:
    """Bounds in order."""
    least_rest, most_rest = sorted((draw(MINUTES), draw(MINUTES)))
    least, most = sorted((draw(MINUTES), draw(MINUTES)))
    return DemandBounds(
        shortest_rest_ms=least_rest,
        longest_rest_ms=most_rest,
        shortest_watering_ms=least,
        longest_watering_ms=most,
    )


LAMPS = load("06:00 | on", "20:00 | off", kind="lamp")


def stand_in(**keys: Any) -> dict[str, Any]:
    """A stand that goes by both sensors, and under lamps by its lamps as well."""
    lit: dict[str, Any] = (
        {"lamp": "lamps", "ppfd_umol": 220.0} if keys["place"] == "under-lamps" else {}
    )
    return stand(humidity="damp", **lit, **keys)


def garden(*stands: dict[str, Any], **bounds: str) -> Plan:
    """A pump on demand for these stands."""
    named = {f"stand_{number}": stand_in(**keys) for number, keys in enumerate(stands)}
    pump = load(kind="pump") | {"spans": [on_demand(**bounds)]}
    return plan_of(sensors=AIR, stands=named, pump=pump, lamps=LAMPS)


def pace(plan: Plan, within: DemandBounds, *, at: int, air_c: float, humidity_pct: float) -> Pace:
    """The pace of the plan's pump."""
    signs = Signs({"air": air_c, "damp": humidity_pct})
    found = pace_of(
        make_schedule(plan).loads[0].drinkers, within, instant=MIDNIGHT + at, signs=signs
    )
    assert found is not None
    return found


AIRS = st.fixed_dictionaries(
    {
        "at": st.integers(0, 365 * DAY_MS),
        "air_c": st.floats(-30, 55),
        "humidity_pct": st.floats(0, 100),
    }
)


@given(st.lists(STANDS, min_size=1, max_size=3), bounds(), AIRS)
@examples(150)
def test_a_pace_never_leaves_its_bounds(
    stands: list[dict[str, Any]], within: DemandBounds, air: dict[str, Any]
) -> None:
    """Whatever grows there, in whatever air, at whatever time of the year."""
    found = pace(garden(*stands), within, **air)
    assert within.shortest_rest_ms <= found.rest_ms <= within.longest_rest_ms
    watering_ms = found.watering_ms(0)
    assert within.shortest_watering_ms <= watering_ms <= within.longest_watering_ms
    assert found.watering_words(watering_ms, rested_ms=None)
    assert found.rest_words(found.rest_ms, usual_ms=900_000)


@given(STANDS, bounds(), AIRS, st.floats(0, 60))
@examples(150)
def test_drier_air_never_makes_a_rest_longer(
    keys: dict[str, Any], within: DemandBounds, air: dict[str, Any], drier_by: float
) -> None:
    """At one temperature and time, less humidity asks for water sooner or at the same time: under
    a roof. Under the sky dry air also lets more of the leaves' heat out (FAO-56 eq. 39), which in
    hot or dark hours counts for more."""
    place = "under-glass" if keys["place"] == "outdoors" else keys["place"]
    plan = garden({**keys, "place": place})
    drier = {**air, "humidity_pct": max(0.0, air["humidity_pct"] - drier_by)}
    damp, dry = (pace(plan, within, **one) for one in (air, drier))
    assert dry.rest_ms <= damp.rest_ms


@given(STANDS, STANDS, bounds(), AIRS)
@examples(100)
def test_a_stand_more_never_makes_a_rest_longer(
    one: dict[str, Any],
    other: dict[str, Any],
    within: DemandBounds,
    air: dict[str, Any],
) -> None:
    """The thirstiest tells: nobody goes thirsty for a neighbour's sake."""
    alone = pace(garden(one), within, **air)
    together = pace(garden(one, other), within, **air)
    assert together.rest_ms <= alone.rest_ms


@given(STANDS, bounds(), AIRS, st.integers(0, REVIEW_MS - 1))
@examples(60)
def test_a_pace_stands_from_one_review_to_the_next(
    keys: dict[str, Any], within: DemandBounds, air: dict[str, Any], later_ms: int
) -> None:
    """However often it is asked between two reviews, the answer is the same."""
    plan = garden(keys)
    reviewed = {**air, "at": int(air["at"]) // REVIEW_MS * REVIEW_MS}
    later = {**reviewed, "at": reviewed["at"] + later_ms}
    assert pace(plan, within, **reviewed) == pace(plan, within, **later)


@given(STANDS, st.integers(1, 30))
@examples(20)
def test_nothing_is_demanded_before_a_stand_is_sown(keys: dict[str, Any], days: int) -> None:
    """Where nothing grows yet there is no pace, and the fixed cycle is carried out."""
    schedule = make_schedule(garden(keys))
    sown = schedule.calendar.date_of(MIDNIGHT) + timedelta(days=days)
    plan = garden({**keys, "age_days": None, "sown": sown})
    drinkers = make_schedule(plan).loads[0].drinkers
    signs = Signs({"air": 25.0, "damp": 50.0})
    within = DemandBounds(
        shortest_rest_ms=1, longest_rest_ms=2, shortest_watering_ms=1, longest_watering_ms=2
    )
    assert pace_of(drinkers, within, instant=MIDNIGHT, signs=signs) is None


BELIEVED = st.tuples(st.integers(1, 40 * 60), st.floats(-60, 80), st.floats(0, 105))


@given(STANDS, bounds(), st.integers(0, 23), st.lists(BELIEVED, min_size=3, max_size=20))
@examples(40)
def test_no_reading_that_is_believed_takes_a_rest_out_of_its_bounds(
    keys: dict[str, Any],
    within: DemandBounds,
    hour: int,
    readings: list[tuple[int, float, float]],
) -> None:
    """Whatever the sensors say and however often they change their mind, true or not, roots are
    watered after the longest rest at the latest, and the pump rests for the shortest at least."""
    stated = {
        name: f"{getattr(within, f'{name}_ms') // MINUTE_MS}m"
        for name in ("shortest_rest", "longest_rest", "shortest_watering", "longest_watering")
    }
    driver = Driver(garden(keys, **stated), start=MIDNIGHT + hour * HOUR_MS)
    driver.sense(air=25.0, damp=50.0)
    for seconds, air_c, humidity_pct in readings:
        driver.advance(seconds * SECOND_MS)
        driver.sense(air=air_c, damp=humidity_pct)
    driver.advance(within.longest_rest_ms + within.longest_watering_ms)
    lengths = [
        (earlier.is_on, later.instant - earlier.instant)
        for earlier, later in pairwise(one for one in driver.changes if one.load == "pump")
    ]
    assert lengths
    for was_on, length_ms in lengths:
        if was_on:
            assert within.shortest_watering_ms <= length_ms <= within.longest_watering_ms
        else:
            assert within.shortest_rest_ms <= length_ms <= within.longest_rest_ms
