"""What a person reads while a pump waters on demand, one case after another."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.units import DAY_MS, MINUTE_MS, SECOND_MS, parse_rfc3339
from tests.worlds import MIDNIGHT, Driver, load, ms, on_demand, plan_of, spans, stand

NOON = MIDNIGHT + ms("12h")
AIR = {"air": {"measures": "air_temperature", "stale_after": "20m"}}


def garden(
    *then: str,
    start: int = NOON,
    is_settled: bool = True,
    bounds: dict[str, str] | None = None,
    **keys: Any,
) -> Driver:
    """A pump on demand for one stand, and the spans that follow."""
    pump = load(kind="pump") | {"spans": [on_demand(**(bounds or {})), *spans(*then)]}
    plan = plan_of(sensors=AIR, stands={"heads": stand(**keys)}, pump=pump)
    return Driver(plan, start=start, is_settled=is_settled)


@pytest.mark.parametrize(
    ("bounds", "words"),
    [
        ({"longest_rest": "5m"}, "Rest cut to 5 min, the shortest that the plan allows: "),
        ({"longest_rest": "14m50s", "shortest_rest": "14m50s"}, "Rest of 15 min, the shortest "),
        ({"longest_rest": "15m", "shortest_rest": "15m"}, "Rest of 15 min, the shortest "),
        ({"shortest_rest": "40m"}, "Rest stretched to 40 min, the shortest that the plan allows: "),
    ],
)
def test_a_rest_is_told_by_how_it_stands_to_the_fixed_one(
    bounds: dict[str, str], words: str
) -> None:
    """The fixed cycle rests for 15 min; what nobody could tell from that is neither cut nor
    stretched."""
    driver = garden(bounds=bounds)
    driver.sense(air=30.0)
    driver.advance_until("pump", is_on=False)
    assert words in driver.sentence("pump")


def test_a_long_rest_at_night_is_stretched_to_what_the_plan_allows() -> None:
    """Roots in mineral wool would hold for hours."""
    driver = garden(start=MIDNIGHT, medium="mineral-wool")
    driver.sense(air=5.0)
    driver.advance_until("pump", is_on=False)
    told = driver.sentence("pump")
    assert "Rest stretched to 45 min, the longest that the plan allows: 5 °C, " in told


def test_a_rest_that_hot_air_cut_is_told_as_such_when_the_air_has_cooled() -> None:
    """It is not drawn out, so nothing is told to be stretched; the air is told as it is now."""
    driver = garden()
    driver.sense(air=38.0)
    driver.advance_until("pump", is_on=False)
    before = driver.reason("pump").until
    driver.advance("1m")
    driver.sense(air=5.0)
    assert driver.reason("pump").until == before
    assert "Rest cut to " in driver.sentence("pump")
    assert " min, as set before: now 5 °C, " in driver.sentence("pump")


def test_air_that_has_cooled_by_a_little_is_not_worth_a_word() -> None:
    """Half a degree changes no minute of the rest."""
    driver = garden()
    driver.sense(air=38.0)
    driver.advance_until("pump", is_on=False)
    driver.sense(air=37.9)
    assert "as set before" not in driver.sentence("pump")


def test_a_rest_for_want_of_a_longer_watering_says_so() -> None:
    """Roots would hold for longer than three minutes of a trickle make good for."""
    driver = garden(
        bounds={"longest_watering": "3m", "shortest_rest": "1m"},
        drip_ml_per_min=12.0,
        medium="mineral-wool",
    )
    driver.sense(air=33.0)
    driver.advance_until("pump", is_on=False)
    assert ", as much as the longest watering makes good for: 33 °C, " in driver.sentence("pump")


@pytest.mark.parametrize(
    ("then", "words"),
    [
        ("12:23 | 15m on, 45m off", "Next watering at 12:23, "),
        ("12:23 | 20m off, 15m on", "Next watering at 12:43, "),
        ("12:23 | off", "Next watering at 00:00, in 11 h 50 min."),
    ],
)
def test_the_last_rest_of_a_span_ends_as_the_next_span_has_it(then: str, words: str) -> None:
    """Nobody is told a watering that the next span takes away, nor a rest that it ends."""
    driver = garden(then, start=NOON + ms("10m"), medium="mineral-wool")
    driver.sense(air=8.0)
    driver.advance_until("pump", is_on=False)
    assert words in driver.sentence("pump")
    assert ", as the next span has it: 8 °C, " in driver.sentence("pump")
    promised = driver.reason("pump").until
    driver.advance_until("pump", is_on=True)
    assert driver.true_now == promised


TROMSO = {"latitude": 69.65, "longitude": 18.96, "timezone": "Europe/Oslo"}


@pytest.mark.parametrize(
    ("demand", "then", "start", "plants", "words"),
    [
        # The last day before seven weeks of night: the lamp that follows the sun goes off for good.
        ("lamp on", "lamp off | off", "2026-11-27T10:21:00Z", {}, "Resting. Rest without an end "),
        # The last half-hour of night before two months of day.
        (
            "lamp off",
            "lamp on | on",
            "2026-05-17T22:32:00Z",
            {"drip_ml_per_min": 1.0},
            "Watering. Watering without an end ",
        ),
    ],
)
def test_a_state_of_which_no_end_is_in_sight_is_promised_none(
    demand: str, then: str, start: str, plants: dict[str, Any], words: str
) -> None:
    """What follows the demand lasts for weeks, so no time of day is told."""
    lamp = load("sunrise | on", "sunset | off", kind="lamp")
    pump = load(kind="pump") | {"spans": [on_demand(demand, longest_watering="25m"), *spans(then)]}
    plan = plan_of(
        site=TROMSO, sensors=AIR, stands={"heads": stand(**plants)}, pump=pump, lamp=lamp
    )
    driver = Driver(plan, start=parse_rfc3339(start), is_settled=True)
    driver.sense(air=20.0)
    lamp_timeline = driver.schedule.loads[1].own
    ends = next(at for at, _ in lamp_timeline.changes(driver.true_now, driver.true_now + DAY_MS))
    driver.advance(ends - driver.true_now - SECOND_MS)
    assert words in driver.sentence("pump")
    assert ", as the next span has it" in driver.sentence("pump")
    state = driver.states["pump"]
    driver.advance("48h")
    assert driver.states["pump"] is state


def test_a_watering_tells_the_rest_that_it_makes_good_for() -> None:
    """Two hours that a person kept the pump off, and not the rest that would have been."""
    driver = garden(medium="mineral-wool", drip_ml_per_min=20.0)
    driver.sense(air=30.0)
    driver.advance_until("pump", is_on=False)
    driver.hold("pump", "off", "2h")
    driver.advance("2h")
    assert driver.states["pump"]
    assert " after a rest of 2 h: 30 °C, " in driver.sentence("pump")


def test_the_first_watering_of_all_tells_of_no_rest() -> None:
    """Nobody knows what was before the controller began."""
    driver = garden(is_settled=False)
    driver.sense(air=30.0)
    assert driver.states["pump"]
    assert " with no rest known before it: 30 °C, " in driver.sentence("pump")


def test_a_watering_at_a_bound_says_so() -> None:
    """Its shortest in cool air, its longest where water comes as a trickle."""
    cool, trickle = garden(), garden(drip_ml_per_min=1.0)
    for driver, air_c in ((cool, 5.0), (trickle, 38.0)):
        driver.sense(air=air_c)
        driver.advance_until("pump", is_on=False)
        driver.advance_until("pump", is_on=True)
    for driver, words in (
        (cool, "Watering of 3 min, the shortest that the plan allows, after a rest of "),
        (trickle, "Watering of 20 min, the longest that the plan allows, after a rest of "),
    ):
        assert words in driver.sentence("pump")


def test_the_last_watering_of_a_span_is_told_as_the_next_span_ends_it() -> None:
    """Water that the next span stops is not promised."""
    driver = garden("12:30 | off", drip_ml_per_min=1.0)
    driver.sense(air=38.0)
    driver.advance_until("pump", is_on=False)
    driver.advance_until("pump", is_on=True)
    assert driver.sentence("pump").startswith(
        "Watering until 12:30, 5 min more. Watering of 5 min, as the "
    )
    assert driver.reason("pump").until == NOON + 30 * MINUTE_MS


def test_a_variant_on_demand_that_a_person_holds_is_told_as_on_demand() -> None:
    """Its fixed cycle is not what is carried out, so it is not what is told."""
    care = {"name": "care", "by_hand": True, "spans": [on_demand()]}
    pump = load("15m on, 15m off", kind="pump", variants=[care])
    plan = plan_of(sensors=AIR, stands={"heads": stand()}, pump=pump)
    driver = Driver(plan, start=NOON, is_settled=True)
    driver.sense(air=35.0)
    driver.hold("pump", "care", "3h")
    driver.advance("10m")
    assert "Held by hand: variant care, on demand, since 00:00 on 1 Jun." in driver.sentence("pump")


def test_the_fixed_cycle_is_told_as_what_stands_in_for_the_air() -> None:
    """Who reads it learns that the sensor is silent, in the words of the day's table; and when the
    air is known again, that is gone."""
    driver = garden()
    span = driver.schedule.loads[0].own.spans[0]
    assert span.cycle_words.endswith("; 15m on, 15m off while the air is not known")
    assert driver.sentence("pump").endswith(
        " Cycle 15m on, 15m off while the air is not known, since 00:00 on 1 Jun."
    )
    driver.sense(air=25.0)
    assert "not known" not in driver.sentence("pump")


def test_the_fixed_cycle_of_a_variant_says_so_too() -> None:
    """In force by a sensor, and held by hand."""
    hot = {"name": "hot", "sensor": "roof", "above": 30, "until": 27, "spans": [on_demand()]}
    plan = plan_of(
        sensors=AIR | {"roof": {"measures": "air_temperature"}},
        stands={"heads": stand()},
        pump=load("1h on, 1h off", variants=[hot]),
    )
    driver = Driver(plan, start=NOON, is_settled=True)
    driver.sense(roof=35.0)
    words = "15m on, 15m off while the air is not known, since 00:00 on 1 Jun."
    assert driver.sentence("pump").endswith(f" Variant hot: cycle {words}")
    driver.sense(roof=20.0)
    driver.hold("pump", "hot", "1h")
    assert driver.sentence("pump").endswith(f" Held by hand: variant hot, cycle {words}")
    driver.sense(air=25.0)
    assert " Held by hand: variant hot, on demand, since " in driver.sentence("pump")


def test_the_fixed_cycle_of_what_is_not_sown_does_not_blame_the_air() -> None:
    """The sensor speaks; there is nobody yet to ask how much they drink."""
    driver = garden(age_days=None, sown="2027-01-01")
    driver.sense(air=25.0)
    assert " Cycle 15m on, 15m off while nothing is sown, since " in driver.sentence("pump")
