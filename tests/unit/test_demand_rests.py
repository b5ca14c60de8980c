"""No rest that runs is drawn out: what roots drank in hotter air is gone, whatever came between."""

from __future__ import annotations

import random
from collections.abc import Callable
from math import cos, pi
from typing import TypeAlias

import pytest

from controller.core.observation import Reading
from controller.core.orders import Why
from tests.worlds import MIDNIGHT, Driver, load, ms, on_demand, plan_of, stand

NOON = MIDNIGHT + ms("12h")
SENSORS = {
    "air": {"measures": "air_temperature", "stale_after": "20m"},
    "float": {"measures": "level", "stale_after": "20m"},
}
Interruption: TypeAlias = Callable[[Driver], None]


def resting() -> Driver:
    """A pump on demand in the heat that has just gone off."""
    pump = load(kind="pump", level="float") | {"spans": [on_demand(fixed="off")]}
    plan = plan_of(sensors=SENSORS, stands={"heads": stand()}, pump=pump)
    driver = Driver(plan, start=NOON, is_settled=True, restores=True)
    driver.sense(air=38.0, float=1.0)
    driver.advance_until("pump", is_on=True)
    driver.advance_until("pump", is_on=False)
    driver.advance("1m")
    return driver


def cool_unseen(driver: Driver) -> None:
    """The air cools while no controller looks, or while it cannot know."""
    driver.readings = {**driver.readings, "air": driver.readings["air"]._replace(value=5.0)}


def held_off(driver: Driver) -> None:
    """A person keeps the pump off for some seconds."""
    driver.hold("pump", "off", "5s")
    driver.sense(air=5.0)
    driver.advance("5s")


def stopped(driver: Driver) -> None:
    """A person stops everything for a moment."""
    driver.stop()
    driver.sense(air=5.0)
    driver.resume()


def silent(driver: Driver) -> None:
    """The thermometer is silent for a moment."""
    driver.readings = {"float": driver.readings["float"], "air": Reading(38.0, driver.tick - 10**8)}
    driver.step()
    assert driver.reason("pump").why is Why.PLAN
    driver.sense(air=5.0)


def low(driver: Driver) -> None:
    """The float says for a moment that the reservoir is empty."""
    driver.sense(float=0.0)
    driver.sense(air=5.0)
    driver.sense(float=1.0)


def crashed(driver: Driver) -> None:
    """The controller dies."""
    cool_unseen(driver)
    driver.crash("5s")


def dark(driver: Driver) -> None:
    """The power goes and comes."""
    cool_unseen(driver)
    driver.lose_power("5s")


def dark_without_time(driver: Driver) -> None:
    """The power goes and comes, and the clock is set a while later."""
    cool_unseen(driver)
    driver.hold("pump", "off", "1h")
    driver.lose_power("5s", is_clock_trusted=False)
    driver.advance("10s")
    driver.trust_clock()
    driver.release("pump")


def clock_set(driver: Driver) -> None:
    """The clock is set back."""
    driver.set_clock(by="-2h")
    driver.sense(air=5.0)
    driver.set_clock(by="2h")


INTERRUPTIONS = (
    held_off, stopped, silent, low, crashed, dark, dark_without_time, clock_set
)  # fmt: skip


@pytest.mark.parametrize("interrupt", INTERRUPTIONS)
def test_no_interruption_draws_a_rest_out(interrupt: Interruption) -> None:
    """What was told to come before comes then at the latest, though the air has cooled."""
    driver = resting()
    told = driver.until("pump")
    interrupt(driver)
    if not driver.states["pump"]:
        assert driver.until("pump") <= told
        driver.advance(told - driver.clock_now)
    assert driver.states["pump"]


@pytest.mark.parametrize("interrupt", INTERRUPTIONS)
def test_no_interruption_makes_a_rest_shorter_than_the_shortest(interrupt: Interruption) -> None:
    """Roots breathe for as long as the plan has it, unless something else waters them."""
    driver = resting()
    off = driver.true_now - ms("1m")
    interrupt(driver)
    driver.advance_until("pump", is_on=True)
    assert driver.true_now - off >= ms("5m") or driver.reason("pump").why is not Why.DEMAND


@pytest.mark.parametrize("place", ["outdoors", "under-glass"])
def test_a_day_of_noise_hardly_waters_more(place: str) -> None:
    """A sensor whose every reading is off by up to 0.3 °C and 1 % orders 3 % more or fewer
    switchings at the most."""
    changes = []
    for noise in (0.0, 0.3):
        pump = load(kind="pump") | {"spans": [on_demand()]}
        sensors = {**SENSORS, "damp": {"measures": "humidity", "stale_after": "20m"}}
        heads = stand(place=place, humidity="damp")
        driver = Driver(plan_of(sensors=sensors, stands={"heads": heads}, pump=pump))
        dice = random.Random(1)
        for minute in range(24 * 60):
            warmth = cos((minute / 60 - 15) / 12 * pi)
            off = noise * dice.uniform(-1, 1)
            driver.poll(air=22 + 6 * warmth + off, damp=60 - 25 * warmth - 3 * off)
            driver.advance("1m")
        changes.append(len(driver.changes))
    assert changes[0] > 50
    assert changes[1] == pytest.approx(changes[0], rel=0.03)
