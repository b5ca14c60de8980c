"""What counts as a watering, how long roots have been dry, and rests across an outage."""

from __future__ import annotations

import pytest

from controller.core.orders import Why
from controller.core.plan import Plan
from tests.worlds import MIDNIGHT, Driver, load, ms, plan_of

QUARTERS = plan_of(pump=load("15m on, 15m off"))
HOURS = plan_of(pump=load("15m on, 45m off"))


def settled(plan: Plan, at: str = "0s") -> Driver:
    """A garden in which the plan has been running until so long after midnight."""
    return Driver(plan, start=MIDNIGHT + ms(at), is_settled=True)


# What counts as a watering


def test_a_trial_of_ten_seconds_does_not_wet_roots() -> None:
    """A short order by hand is no watering: the dry time goes on across it."""
    driver = settled(HOURS)
    driver.advance("40m")
    driver.hold("pump", "on", "10s")
    driver.advance("10m")
    driver.lose_power("30m")  # back at 01:20, dry since 00:15
    assert driver.reason("pump").why is Why.RECOVERY


def test_half_a_watering_by_hand_counts_as_one() -> None:
    """Eight of fifteen minutes wet the roots well enough."""
    driver = settled(HOURS)
    driver.advance("40m")
    driver.hold("pump", "on", "8m")
    driver.advance("10m")
    driver.lose_power("12m")  # back at 01:02, in the plan's watering
    assert driver.reason("pump").why is Why.PLAN


def test_a_watering_cut_off_by_the_outage_itself_counts_by_its_length() -> None:
    """Five seconds before the lights went out wetted nobody."""
    driver = settled(QUARTERS)
    driver.advance("30m5s")
    driver.lose_power("14m")
    assert driver.reason("pump").why is Why.RECOVERY
    driver = settled(QUARTERS)
    driver.advance("40m")
    driver.lose_power("4m")
    assert driver.reason("pump").why is Why.PLAN


def test_waterings_that_the_longest_on_cuts_are_waterings() -> None:
    """A cycle of four hours that is cut every 45 minutes has not left its roots dry."""
    driver = settled(plan_of(pump=load("4h on, 10m off", longest_on="45m")), "10m")
    driver.advance("3h")
    driver.set_clock(by="2s")
    assert driver.alarms() == []


def test_each_watering_of_a_cycle_with_several_counts() -> None:
    """The two minutes between long waterings are planned, and end a dry gap."""
    driver = settled(plan_of(pump=load("15m on, 5m off, 2m on, 5m off")))
    driver.advance("23m")
    driver.set_clock(by="2s")
    assert driver.alarms() == []
    assert driver.reason("pump").why is Why.PLAN


@pytest.mark.parametrize(
    ("cycle", "begins"),
    [
        ("15m off, 1m on, 14m on", "45m"),  # as written, its shortest step is a minute
        ("5m on, 15m off, 10m on", "50m"),  # the round ends and begins with one watering
    ],
)
def test_a_watering_is_as_long_as_its_steps_together(cycle: str, begins: str) -> None:
    """Steps of one state side by side are one: three minutes of a quarter of an hour are no
    watering, as short as some of its steps may be."""
    driver = settled(plan_of(pump=load(cycle)), "40m")
    driver.advance(ms(begins) - ms("40m") + ms("3m"))
    driver.lose_power("11m")  # the last minute of the watering is left
    assert driver.reason("pump").why is Why.RECOVERY


def test_a_controller_that_never_watered_claims_nothing() -> None:
    """At its very first start nobody knows how dry the roots are: the plan decides."""
    driver = Driver(HOURS, start=MIDNIGHT + ms("30m"))
    driver.set_clock(by="2s")
    assert driver.told() == []
    assert driver.alarms() == []


# Rests across an outage


@pytest.mark.parametrize(
    ("outage", "on_again"),
    [("2s", "00:40:00"), ("9m", "00:40:00"), ("11m", "00:41:00")],
)
def test_the_shortest_off_holds_across_an_outage(outage: str, on_again: str) -> None:
    """A lamp that must cool for ten minutes does so in the dark as well."""
    driver = settled(plan_of(lamp=load("on", kind="lamp", shortest_off="10m")))
    driver.advance("30m")
    driver.lose_power(outage)
    driver.advance("20m")
    assert driver.told() == ["00:30:00 lamp off: no power", f"{on_again} lamp on: plan"]


@pytest.mark.parametrize("how", ["lose_power", "crash"])
def test_a_rest_that_nobody_saw_begin_begins_when_the_controller_is_back(how: str) -> None:
    """All that is known of a blink of two seconds is that the last decision was half an hour
    ago: the lamp, hot as it is, cools for its full time."""
    driver = settled(plan_of(lamp=load("on", kind="lamp", shortest_off="10m")))
    driver.advance("30m")
    getattr(driver, how)("2s", is_seen=False)
    driver.advance("20m")
    assert driver.told()[-1] == "00:40:02 lamp on: plan"


def test_a_rest_that_had_begun_before_goes_on_through_an_outage_that_nobody_saw_begin() -> None:
    """The lamp was off at the last decision, and has been since."""
    driver = settled(plan_of(lamp=load("5m on, 2m off", kind="lamp", shortest_off="10m")))
    driver.advance("8m")
    driver.lose_power("8m", is_seen=False)
    assert driver.told() == ["00:05:00 lamp off: plan", "00:16:00 lamp on: plan"]


def test_a_rest_of_unknown_length_is_taken_as_none() -> None:
    """Without a clock an outage counts for nothing, and the lamp cools for its full time."""
    driver = settled(plan_of(lamp=load("on", kind="lamp", shortest_off="10m", without_clock="on")))
    driver.advance("30m")
    driver.lose_power("3h", is_clock_trusted=False, clock_loses="3h")
    driver.advance("20m")
    assert driver.told()[-1] == "03:40:00 lamp on: clock not trusted"
