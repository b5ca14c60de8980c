"""A controller that dies and starts again while the board runs on: time is known throughout."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.observation import Observation
from controller.core.orders import AlarmCode, Event, Why
from tests.worlds import MIDNIGHT, Driver, load, ms, plan_of, spans

QUARTERS = plan_of(pump=load("15m on, 15m off"))


def settled(at: str = "0s", **loads: Any) -> Driver:
    """A garden in which the plan has been running until so long after midnight."""
    return Driver(plan_of(**loads), start=MIDNIGHT + ms(at), is_settled=True)


def test_the_journal_is_told_that_the_controller_is_back_and_for_how_long_it_was_away() -> None:
    """There was power all the time, and nobody is told otherwise."""
    driver = Driver(QUARTERS, is_settled=True)
    driver.advance("20m")
    driver.crash("4s")
    assert driver.noted() == ["00:20:04 controller back (away for 4s)"]


def test_a_watering_that_a_crash_interrupts_goes_on() -> None:
    """Two seconds off, and its rest of five: the pump waters on by its plan."""
    driver = settled(pump=load("15m on, 15m off", shortest_off="5s"))
    driver.advance("5m")
    driver.crash("2s")
    driver.advance("15m")
    assert driver.told() == [
        "00:05:00 pump off: no power",
        "00:05:05 pump on: plan",  # rested since 00:05:00
        "00:15:00 pump off: plan",
    ]
    assert driver.alarms() == []


def test_a_watering_that_had_lasted_long_enough_counts() -> None:
    """The controller was alive for fourteen of the fifteen minutes, although its last decision
    was at their beginning: nobody recovers, and no alarm is raised."""
    driver = settled("80m", pump=load("15m on, 15m off, 15m on, 45m off"))
    driver.advance("24m")  # 01:44
    driver.crash("6m")
    assert driver.reason("pump").why is Why.PLAN
    assert driver.alarms() == []


def test_a_crash_that_swallows_a_watering_calls_for_recovery() -> None:
    """As an outage does."""
    driver = settled("40m", pump=load("15m on, 45m off"))
    driver.crash("40m")
    assert driver.told() == ["00:40:00 pump on: recovery watering"]
    assert driver.alarms() == ["roots left dry pump, over"]


def test_nothing_manual_outlives_its_end_though_no_clock_is_trusted() -> None:
    """The hold was to end while the controller was away, and has ended when it is back."""
    driver = Driver(plan_of(pump=load("off", without_clock="off")), is_clock_trusted=False)
    driver.hold("pump", "on", "10m")
    driver.advance("4m")
    driver.crash("7m")
    assert driver.told()[-1] == "00:04:00 pump off: no power"
    assert driver.noted(Event.HOLD_ENDED) == ["00:11:00 hold ended pump (its time is over)"]


def test_a_hold_ends_at_its_end_after_a_crash_without_a_clock() -> None:
    """Not later by the time that the controller was away."""
    driver = Driver(plan_of(pump=load("off", without_clock="off")), is_clock_trusted=False)
    driver.hold("pump", "on", "10m")
    driver.advance("4m")
    driver.crash("3m")
    driver.advance("5m")
    assert driver.told()[-2:] == [
        "00:07:00 pump on: hold",
        "00:10:00 pump off: clock not trusted",
    ]


def test_a_rest_is_counted_through_a_crash_without_a_clock() -> None:
    """A lamp that cools for ten minutes has done so for three when the controller is back."""
    driver = Driver(
        plan_of(lamp=load("on", kind="lamp", shortest_off="10m", without_clock="on")),
        is_clock_trusted=False,
    )
    driver.advance("30m")
    driver.crash("3m")
    driver.advance("20m")
    assert driver.told()[-2:] == [
        "00:30:00 lamp off: no power",
        "00:40:00 lamp on: clock not trusted",
    ]


def test_the_clockless_cycle_goes_on_where_it_was() -> None:
    """A controller that dies every ten minutes waters all the same, when its time comes."""
    driver = Driver(
        plan_of(pump=load("on", without_clock="25m off, 5m on")), is_clock_trusted=False
    )
    for _ in range(3):
        driver.advance("9m")
        driver.crash("1m")
    driver.advance("20m")
    assert driver.told() == [
        "00:25:00 pump on: clock not trusted",
        "00:29:00 pump off: no power",
    ]


def test_a_pump_that_saw_no_water_still_waits_to_try_again() -> None:
    """A crash is no reason to run dry once more."""
    driver = Driver(
        plan_of(
            sensors={"meter": {"measures": "flow"}},
            pump=load("on", flow="meter", flow_within="30s"),
        ),
        begins=False,
    )
    driver.sense(meter=0)
    driver.advance("1m")
    driver.crash("2s")
    driver.advance("20m")
    assert driver.told() == [
        "00:00:00 pump on: plan",
        "00:00:30 pump off: no flow",
        "00:15:30 pump on: plan",
        "00:16:00 pump off: no flow",
    ]


def test_a_variant_keeps_the_time_that_it_was_to_last_at_least() -> None:
    """`at_least` is not begun anew, and not forgotten."""
    hot = {"name": "hot", "sensor": "air", "above": 30, "until": 27, "at_least": "30m",
           "spans": spans("on")}  # fmt: skip
    driver = Driver(
        plan_of(
            sensors={"air": {"measures": "air_temperature"}},
            pump=load("off", variants=[hot]),
        )
    )
    driver.sense(air=31)
    driver.sense(air=20)
    driver.advance("10m")
    driver.crash("5m")
    driver.advance("20m")
    assert driver.noted(Event.VARIANT_LEFT) == ["00:30:00 variant left pump (hot)"]


@pytest.mark.parametrize("how", ["crash", "lose_power"])
@pytest.mark.parametrize(
    ("speaks", "told"),
    [
        (31.0, []),  # as hot as before: nobody noticed anything
        (20.0, ["00:20:00 variant left pump (hot)"]),
        (None, ["00:21:00.001 variant left pump (hot)"]),  # it has had its ten minutes
    ],
)
def test_a_variant_in_force_waits_for_the_first_reading_after_a_start(
    how: str, speaks: float | None, told: list[str]
) -> None:
    """Its sensor has to be read anew, which takes a while: the variant is not left and entered
    again for that."""
    hot = {"name": "hot", "sensor": "air", "above": 30, "until": 27, "spans": spans("on")}
    driver = Driver(
        plan_of(
            sensors={"air": {"measures": "air_temperature", "stale_after": "10m"}},
            pump=load("off", variants=[hot]),
        )
    )
    driver.poll(air=31)
    driver.advance("9m")
    getattr(driver, how)("2m")
    driver.advance("9m")
    driver.forget()
    driver.start -= ms("20m")
    if speaks is not None:
        driver.sense(air=speaks)
    driver.advance("10m")
    assert driver.noted(Event.VARIANT_ENTERED, Event.VARIANT_LEFT) == told


def test_a_clock_that_was_set_meanwhile_is_told() -> None:
    """The monotonic clock tells how far the other one stepped."""
    driver = settled("20m", pump=load("15m on, 45m off"))
    driver.clock_off_ms = ms("10m")
    driver.crash("5s")
    assert driver.noted(Event.CLOCK_STEPPED) == ["00:00:05 clock stepped (10m)"]


def test_an_outage_of_unknown_length_is_still_found_out_after_a_crash() -> None:
    """Dark for 80 minutes, then a crash without a clock: the clock tells the first, the
    monotonic clock the second."""
    driver = settled("15m", pump=load("15m on, 45m off", without_clock="off"))
    driver.lose_power("80m", is_clock_trusted=False, clock_loses="80m")
    driver.advance("10m")
    driver.crash("2m")
    driver.advance("3m")
    driver.trust_clock()
    assert driver.noted(Event.ALARM_RAISED)[-1] == (
        "01:35:00 alarm pump (roots left dry: dry for 1h35m)"
    )


@pytest.mark.parametrize(
    ("down_ms", "rested_for"),
    [
        (-5, "0s"),  # no length at all: dead just now
        (10**9, "61s"),  # longer than the time since the last decision: dead since then
    ],
)
def test_an_impossible_length_is_taken_for_the_nearest_possible(
    down_ms: int, rested_for: str
) -> None:
    """The controller was away for no less than no time, and since its last decision at most."""
    driver = settled("20m", pump=load("15m on, 45m off", shortest_off="10m"))
    driver.advance("41m")  # its last decision was to water, at 01:00
    driver.true_now += 1_000
    driver.boot += 1
    driver.down_since, driver.down_ms = driver.clock_now, down_ms
    driver.states = {"pump": False}
    driver.step()
    assert driver.its("pump").since == driver.tick - ms(rested_for)


def test_an_alarm_of_the_controller_itself_is_not_taken_over_a_crash() -> None:
    """What was wrong before and is well now is over, whoever remembers it."""
    driver = Driver(QUARTERS, restores=True)
    driver.trouble((AlarmCode.JOURNAL, ""), (AlarmCode.RELAY, "pump"))
    assert driver.alarms() == ["journal not written", "relay does not obey pump"]
    driver.troubles = frozenset()
    driver.crash("1s")
    assert driver.alarms() == ["relay does not obey pump, over"]


def test_a_decision_that_was_told_nothing_of_troubles_knows_of_none() -> None:
    """Dry runs and tests need not say that the controller is well."""
    assert Observation(0, 0, 0, is_clock_trusted=True, readings={}).troubles == frozenset()
