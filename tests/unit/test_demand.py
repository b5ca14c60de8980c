"""Watering on demand: the rest follows what plants drink, within the plan's bounds."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from controller.core.orders import Why
from controller.core.units import MINUTE_MS
from tests.worlds import MIDNIGHT, Driver, load, ms, on_demand, plan_of, stand

NOON = MIDNIGHT + ms("12h")
AIR = {"air": {"measures": "air_temperature", "stale_after": "20m"}}


def garden(*, bounds: dict[str, str] | None = None, **keys: Any) -> Driver:
    """A pump on demand for one stand, settled, at noon."""
    pump = load(kind="pump") | {"spans": [on_demand(**(bounds or {}))]}
    plan = plan_of(sensors=AIR, stands={"heads": stand(**keys)}, pump=pump)
    return Driver(plan, start=NOON, is_settled=True)


def rests_ms(driver: Driver) -> list[int]:
    """The rests between waterings that the driver has seen, whole ones only."""
    changes = driver.changes
    return [
        later.instant - earlier.instant for earlier, later in pairwise(changes) if not earlier.is_on
    ]


@pytest.mark.parametrize(("air_c", "longer_than", "shorter_than"), [(18, 8, 46), (38, 4, 12)])
def test_rests_are_longer_in_cool_air_than_in_hot(
    air_c: float, longer_than: int, shorter_than: int
) -> None:
    """At noon a grown head in a small pot rests for minutes in heat, longer in mild air."""
    driver = garden()
    driver.sense(air=air_c)
    driver.forget()
    driver.advance("2h")
    assert driver.changes
    assert all(
        longer_than * MINUTE_MS < rest < shorter_than * MINUTE_MS for rest in rests_ms(driver)
    )


def test_heat_that_comes_during_a_rest_ends_it_sooner() -> None:
    """The pace is reckoned anew when a reading changes; what is overdue happens at once."""
    driver = garden()
    driver.sense(air=15.0)
    driver.advance_until("pump", is_on=False)
    driver.advance("11m")
    assert not driver.states["pump"]
    driver.sense(air=45.0)
    assert driver.states["pump"]


@pytest.mark.parametrize("air_c", [-20.0, 0.0, 20.0, 55.0])
def test_no_rest_leaves_its_bounds(air_c: float) -> None:
    """Whatever the air, a rest lasts 6 to 9 minutes where the plan says so."""
    driver = garden(bounds={"shortest_rest": "6m", "longest_rest": "9m"})
    driver.sense(air=air_c)
    driver.advance("40m")
    driver.forget()
    driver.advance("6h")
    assert len(rests_ms(driver)) > 10
    assert all(6 * MINUTE_MS <= rest <= 9 * MINUTE_MS for rest in rests_ms(driver))


def test_the_fixed_cycle_is_carried_out_while_the_reading_is_stale() -> None:
    """A silent sensor is no reading: 15/15 from midnight, for the plan's own reason."""
    driver = garden()
    driver.advance("21m")  # nothing was ever read, and the wait for it is over
    driver.forget()
    driver.advance("1h")
    assert driver.told() == [
        "00:09:00 pump on: plan",
        "00:24:00 pump off: plan",
        "00:39:00 pump on: plan",
        "00:54:00 pump off: plan",
    ]


def test_a_reading_that_comes_back_brings_the_demand_back() -> None:
    """The reason is the demand again, with the air in it."""
    driver = garden()
    driver.advance("1h")
    assert driver.reason("pump").why is Why.PLAN
    driver.sense(air=33.0)
    reason = driver.reason("pump")
    assert reason.why is Why.DEMAND
    assert "33 °C" in reason.detail


def test_without_sensors_sun_and_season_tell_the_demand() -> None:
    """At noon rests are shorter than at night, though nothing is measured."""
    pump = load(kind="pump") | {"spans": [on_demand()]}
    plan = plan_of(stands={"heads": stand(air=None)}, pump=pump)
    by_hour = {}
    for hour in ("2h", "12h"):
        driver = Driver(plan, start=MIDNIGHT + ms(hour), is_settled=True)
        driver.advance("1h")
        driver.forget()
        driver.advance("3h")
        by_hour[hour] = rests_ms(driver)
    assert min(by_hour["2h"]) > max(by_hour["12h"])


def test_the_thirstiest_of_two_stands_tells_the_rest() -> None:
    """Seedlings beside grown heads are watered as often as the heads need it."""
    pump = load(kind="pump") | {"spans": [on_demand()]}
    heads, seedlings = stand(), stand(age_days=12)
    alone, together = (
        Driver(plan_of(sensors=AIR, stands=stands, pump=pump), start=NOON, is_settled=True)
        for stands in ({"heads": heads}, {"heads": heads, "seedlings": seedlings})
    )
    for driver in (alone, together):
        driver.sense(air=32.0)
        driver.forget()
        driver.advance("3h")
    assert rests_ms(together) == rests_ms(alone)


def test_a_trial_of_the_pump_by_hand_becomes_a_whole_watering() -> None:
    """Five seconds by hand wet no roots and put nothing off: the pump goes on for as long as a
    watering lasts."""
    driver = garden()
    driver.sense(air=25.0)
    driver.advance_until("pump", is_on=False)
    driver.advance("1m")
    driver.hold("pump", "on", "5s")
    driver.forget()
    driver.advance("10m")
    assert driver.told() == ["00:03:00 pump off: demand"]


def test_a_person_who_keeps_the_pump_off_for_long_is_followed_by_a_watering_at_once() -> None:
    """The rest goes on counting while a person holds the pump off."""
    driver = garden()
    driver.sense(air=25.0)
    driver.advance_until("pump", is_on=False)
    driver.hold("pump", "off", "1h")
    driver.forget()
    driver.advance("2h")
    assert driver.told()[0] == "01:00:00 pump on: demand"


def test_roots_that_an_outage_left_dry_are_watered_at_once() -> None:
    """After two hours in the dark nothing waits for the fixed cycle's turn."""
    driver = garden()
    driver.sense(air=30.0)
    driver.lose_power("2h")
    assert driver.states["pump"]


def test_the_sentence_tells_air_and_roots() -> None:
    """What a person reads: the rest against the fixed one, the air, how long roots hold."""
    driver = garden()
    driver.sense(air=33.0)
    driver.advance_until("pump", is_on=False)
    text = driver.sentence("pump")
    assert text.startswith("Resting. Next watering at ")
    assert "Rest cut to " in text
    assert "33 °C, " in text
    assert text.endswith(" min.")


def test_a_held_variant_on_demand_is_still_the_persons_order() -> None:
    """Who holds a variant sees the hold as the reason, and its demand is carried out."""
    pump = load("15m on, 15m off", kind="pump") | {
        "variants": [{"name": "care", "by_hand": True, "spans": [on_demand()]}]
    }
    plan = plan_of(sensors=AIR, stands={"heads": stand()}, pump=pump)
    driver = Driver(plan, start=NOON, is_settled=True)
    driver.sense(air=35.0)
    driver.hold("pump", "care", "3h")
    driver.forget()
    driver.advance("2h")
    assert {change.why for change in driver.changes} == {Why.HOLD}
    assert max(rests_ms(driver)) < 14 * MINUTE_MS
