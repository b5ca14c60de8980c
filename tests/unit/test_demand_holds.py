"""A variant on demand that a person holds: its rests are as told, whatever happens meanwhile."""

from __future__ import annotations

from controller.core.orders import Why
from controller.core.units import MINUTE_MS
from tests.worlds import MIDNIGHT, Driver, load, ms, on_demand, plan_of, stand

NOON = MIDNIGHT + ms("12h")
AIR = {"air": {"measures": "air_temperature", "stale_after": "20m"}}


def held(*, length: str = "3h") -> Driver:
    """A pump whose variant on demand a person holds, in the heat, until it has just gone off."""
    care = {"name": "care", "by_hand": True, "spans": [on_demand()]}
    other = {"name": "spare", "by_hand": True, "spans": [on_demand(longest_rest="44m")]}
    pump = load("15m on, 15m off", kind="pump") | {"variants": [care, other]}
    plan = plan_of(sensors=AIR, stands={"heads": stand()}, pump=pump)
    driver = Driver(plan, start=NOON, is_settled=True, restores=True)
    driver.sense(air=38.0)
    driver.hold("pump", "care", length)
    driver.advance_until("pump", is_on=True)
    driver.advance_until("pump", is_on=False)
    return driver


def cool_unseen(driver: Driver) -> None:
    """The air cools while no controller looks."""
    driver.readings = {"air": driver.readings["air"]._replace(value=5.0)}


def test_a_rest_of_a_held_variant_is_not_drawn_out_by_cooler_air() -> None:
    """Who holds a variant on demand by hand has its roots watered no later for it."""
    driver = held()
    told = driver.until("pump")
    driver.advance("1m")
    driver.sense(air=5.0)
    assert driver.until("pump") == told


def test_a_crash_draws_no_rest_of_a_held_variant_out() -> None:
    """What was told to come before the controller died comes then, though the air has cooled."""
    driver = held()
    told = driver.until("pump")
    driver.advance("1m")
    cool_unseen(driver)
    driver.crash("5s")
    assert driver.reason("pump").why is Why.HOLD
    assert driver.until("pump") == told


def test_a_power_cut_draws_no_rest_of_a_held_variant_out() -> None:
    """Nor does a board that was dark for a minute."""
    driver = held()
    told = driver.until("pump")
    driver.advance("1m")
    cool_unseen(driver)
    driver.lose_power("1m")
    assert driver.until("pump") == told


def test_the_end_of_a_hold_is_no_end_of_the_rest_after_a_crash() -> None:
    """What is told is when the hold ends; the rest within it goes on as its plants ask."""
    driver = held()
    driver.hold("pump", "care", "2m")
    driver.advance("1m")
    cool_unseen(driver)
    driver.crash("5s")
    driver.hold("pump", "care", "3h")
    assert driver.until("pump") - driver.clock_now >= 3 * MINUTE_MS
