"""Turns and watts: what loads of one supply owe one another."""

from __future__ import annotations

from controller.core.orders import Why
from tests.worlds import Driver, load, plan_of

# Turns


def _starts(driver: Driver) -> list[str]:
    return [line.split(":  ")[0].rsplit(":", 1)[0] for line in driver.told() if " on:" in line]


def test_starts_are_kept_apart_in_the_order_of_the_plan() -> None:
    """Four loads that want to start together do so one by one, ten seconds apart."""
    driver = Driver(
        plan_of(guards={"starts_apart": "10s"}, **{name: load("on") for name in "abcd"})
    )
    driver.advance("1m")
    assert _starts(driver) == ["00:00:00 a on", "00:00:10 b on", "00:00:20 c on", "00:00:30 d on"]


def test_so_many_start_together_as_may() -> None:
    """Two at a time, with ten seconds between the pairs."""
    driver = Driver(
        plan_of(
            guards={"starts_apart": "10s", "starts_together": 2},
            **{name: load("on") for name in "abcde"},
        )
    )
    driver.advance("1m")
    assert _starts(driver) == [
        "00:00:00 a on",
        "00:00:00 b on",
        "00:00:10 c on",
        "00:00:10 d on",
        "00:00:20 e on",
    ]


def test_a_load_that_waits_for_its_turn_is_told_when_that_is() -> None:
    """The reason names the instant at which the load's turn comes."""
    driver = Driver(plan_of(guards={"starts_apart": "10s"}, **{name: load("on") for name in "abc"}))
    reason = driver.reason("c")
    assert reason.why is Why.STARTS_APART
    assert reason.until == driver.clock_now + 20_000


def test_a_turn_that_is_given_up_goes_to_the_next() -> None:
    """When a load's watering is over before its turn, those behind it move up."""
    driver = Driver(
        plan_of(
            guards={"starts_apart": "10s"},
            a=load("on"),
            b=load("8s on, 1h off"),
            c=load("on"),
        )
    )
    driver.advance("1m")
    assert _starts(driver) == ["00:00:00 a on", "00:00:10 c on"]
    assert driver.alarms() == ["watering missed b, over"]


def test_a_turn_without_watts_goes_to_the_next() -> None:
    """A load whose turn comes while watts are short does not hold up a smaller one."""
    driver = Driver(
        plan_of(
            guards={"starts_apart": "10s", "watts_at_once": 100},
            a=load("on", watts=10),
            b=load("on", watts=60),
            c=load("on", watts=80),
            d=load("on", watts=20),
        )
    )
    driver.advance("1m")
    assert _starts(driver) == ["00:00:00 a on", "00:00:10 b on", "00:00:20 d on"]
    assert driver.reason("c").why is Why.WATTS_AT_ONCE


# Watts


def _watts_of(driver: Driver) -> float:
    return sum(load.watts for load in driver.schedule.loads if driver.states[load.name])


def test_watts_are_never_exceeded_and_never_left_idle() -> None:
    """A load that waits starts at the very moment at which watts are free."""
    driver = Driver(
        plan_of(
            guards={"watts_at_once": 100},
            a=load("15m on, 15m off", watts=60),
            b=load("20m on, 10m off", watts=60),
        )
    )
    driver.advance("30m")
    assert driver.told() == [
        "00:00:00 a on: plan",
        "00:15:00 a off: plan",
        "00:15:00 b on: plan",
        "00:20:00 b off: plan",
        "00:30:00 a on: plan",
    ]


def test_watts_that_a_cut_frees_are_used_at_once() -> None:
    """`longest_on` frees watts as a plan's rest does."""
    driver = Driver(
        plan_of(
            guards={"watts_at_once": 100},
            a=load("on", watts=60, longest_on="30m", shortest_off="5m"),
            b=load("1h on, 10m off", watts=60),
        )
    )
    driver.advance("31m")
    assert driver.told() == [
        "00:00:00 a on: plan",
        "00:30:00 a off: longest on reached",
        "00:30:00 b on: plan",
    ]


def test_free_watts_go_to_the_first_in_the_plan_that_fits() -> None:
    """Of those that wait, the order of the plan decides; one that is too large is passed."""
    driver = Driver(
        plan_of(
            guards={"watts_at_once": 100},
            a=load("10m on, 1h off", watts=90),
            b=load("on", watts=95),
            c=load("on", watts=30),
            d=load("on", watts=60),
            e=load("on", watts=10),
        )
    )
    driver.advance("9m")
    assert driver.told() == ["00:00:00 a on: plan", "00:00:00 e on: plan"]
    driver.advance("2m")
    assert driver.told()[2:] == [
        "00:10:00 a off: plan",
        "00:10:00 c on: plan",
        "00:10:00 d on: plan",
    ]


def test_watts_that_just_fit_are_allowed() -> None:
    """0.1 + 0.2 + 22.1 W fit into 22.4 W, whatever binary fractions make of it."""
    driver = Driver(
        plan_of(
            guards={"watts_at_once": 22.4},
            a=load("on", watts=0.1),
            b=load("on", watts=0.2),
            c=load("on", watts=22.1),
        )
    )
    assert driver.states == {"a": True, "b": True, "c": True}


def test_a_watering_missed_for_want_of_watts_raises_an_alarm() -> None:
    """A whole watering that never started is told; one that started late is not."""
    driver = Driver(
        plan_of(
            guards={"watts_at_once": 100},
            a=load("12m on, 1h off", watts=60),
            b=load("10m on, 1h off", watts=60),
            c=load("20m on, 1h off", watts=60),
        )
    )
    driver.advance("30m")
    assert driver.noted() == ["00:10:00 alarm b (watering missed: watts at once)"]
    assert driver.told("c") == ["00:12:00 c on: plan", "00:20:00 c off: plan"]


def test_a_guard_that_stops_a_waiting_load_is_no_missed_watering() -> None:
    """A load that waits and is then stopped by its float has the float's alarm alone."""
    driver = Driver(
        plan_of(
            sensors={"float": {"measures": "level"}},
            guards={"watts_at_once": 100},
            a=load("on", watts=60),
            b=load("10m on, 1h off", watts=60, level="float"),
        )
    )
    driver.sense(float=0)
    driver.advance("30m")
    assert driver.alarms() == ["reservoir low float"]


# Fairness


def test_a_busy_load_does_not_take_every_turn() -> None:
    """A lamp that wants to start every other minute lets the pump after it in the plan go
    first when the pump has waited for longer."""
    driver = Driver(
        plan_of(
            guards={"starts_apart": "2m"},
            lamp=load("1m on, 1m off", kind="lamp"),
            pump=load("3m off, 10m on"),
        )
    )
    driver.advance("10m")
    assert [line for line in driver.told() if " on:" in line][:3] == [
        "00:00:00 lamp on: plan",
        "00:02:00 lamp on: plan",
        "00:04:00 pump on: plan",  # waiting since 00:03; the lamp wants its turn since 00:04
    ]


def test_a_busy_load_does_not_take_all_watts() -> None:
    """Of two that wait for watts, the one that has waited for longer goes first."""
    driver = Driver(
        plan_of(
            guards={"watts_at_once": 100},
            a=load("1m on, 1m off", watts=60),
            b=load("30s off, 10m on", watts=60),
            c=load("2m on, 30m off", watts=60),
        )
    )
    driver.advance("3m")
    assert driver.told() == [
        "00:00:00 a on: plan",
        "00:01:00 a off: plan",
        "00:01:00 c on: plan",  # waiting since 00:00, b since 00:00:30
        "00:02:00 c off: plan",
        "00:02:00 b on: plan",  # a wants to start as well, since this moment
    ]


def test_a_settled_start_keeps_to_the_watts() -> None:
    """A run that begins in the middle of two waterings for which there are not enough watts
    begins with the first of them, and the second waits."""
    driver = Driver(
        plan_of(
            guards={"watts_at_once": 100},
            a=load("15m on, 15m off", watts=60),
            b=load("20m on, 10m off", watts=60),
            c=load("20m on, 10m off", watts=40),
        ),
        is_settled=True,
    )
    driver.advance("16m")
    assert driver.told() == ["00:15:00 a off: plan", "00:15:00 b on: plan"]
    assert driver.states == {"a": False, "b": True, "c": True}
