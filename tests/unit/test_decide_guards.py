"""Guards: water, its want, leaks, the stop switch; turns and watts between loads."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.orders import AlarmCode, Event, Why
from controller.core.plan import Plan
from tests.worlds import Driver, load, plan_of


def guarded(**keys: Any) -> Plan:
    """A pump and a lamp with every sensor that can stop the pump."""
    return plan_of(
        sensors={
            "float": {"measures": "level"},
            "meter": {"measures": "flow"},
            "floor": {"measures": "leak"},
            "button": {"measures": "stop"},
        },
        guards={"leak": "floor", "stop_switch": "button"},
        pump=load("15m on, 15m off", **keys),
        lamp=load("on", kind="lamp"),
    )


# Reservoir


def test_a_low_reservoir_stops_its_pump_and_lets_it_go_on_when_full() -> None:
    """Level low switches off at once and on again by itself, within the watering."""
    driver = Driver(guarded(level="float"))
    driver.advance("2m")
    driver.sense(float=0)
    driver.advance("3m")
    driver.sense(float=1)
    driver.advance("15m")
    assert driver.told("pump") == [
        "00:00:00 pump on: plan",
        "00:02:00 pump off: reservoir low",
        "00:05:00 pump on: plan",
        "00:15:00 pump off: plan",
    ]


def test_a_low_reservoir_does_not_wait_for_the_shortest_on() -> None:
    """A pump that would run dry stops before its `shortest_on`."""
    driver = Driver(guarded(level="float", shortest_on="10s"))
    driver.advance("2s")
    driver.sense(float=0)
    assert driver.told("pump")[-1] == "00:00:02 pump off: reservoir low"


def test_the_alarm_of_a_low_reservoir_stays_until_somebody_looks() -> None:
    """Refilled, the alarm is over but stands until it is acknowledged."""
    driver = Driver(guarded(level="float"))
    driver.sense(float=0)
    assert "reservoir low float" in driver.alarms()
    driver.sense(float=1)
    assert "reservoir low float, over" in driver.alarms()
    driver.acknowledge(AlarmCode.LEVEL_LOW, "float")
    assert not any("reservoir" in alarm for alarm in driver.alarms())


def test_a_silent_float_lets_the_pump_water() -> None:
    """A level that nobody knows stops nothing: roots are wetted, and an alarm is raised."""
    driver = Driver(guarded(level="float"))
    driver.sense(float=0)
    driver.silence("float")
    driver.advance("11m")
    assert driver.told("pump")[1:] == [
        "00:00:00 pump off: reservoir low",
        "00:10:00.001 pump on: plan",
    ]
    assert "sensor silent float" in driver.alarms()


# Flow


def test_a_pump_that_moves_no_water_is_stopped_and_tries_again() -> None:
    """Off after `flow_within`, with an alarm; after a quarter of an hour it tries again."""
    driver = Driver(guarded(flow="meter", flow_within="30s"), begins=False)
    driver.sense(meter=0)
    driver.advance("46m")
    assert driver.told("pump") == [
        "00:00:00 pump on: plan",
        "00:00:30 pump off: no flow",
        # At 00:15:30 the plan rests; the retry is its next watering.
        "00:30:00 pump on: plan",
        "00:30:30 pump off: no flow",
        # And from 00:45:30 on it would be allowed again, but rests.
    ]
    assert driver.noted(Event.ALARM_RAISED)[-2:] == [
        "00:00:30 alarm pump (no flow)",
        "00:30:30 alarm pump (no flow)",
    ]


def test_a_pump_that_waters_without_a_break_tries_again_after_a_quarter_of_an_hour() -> None:
    """Where the plan has no rest, the retry comes at the end of the wait."""
    driver = Driver(guarded(flow="meter", flow_within="30s"), begins=False)
    driver.sense(meter=0)
    driver.hold("pump", "on", "2h")
    driver.advance("17m")
    assert driver.told("pump") == [
        "00:00:00 pump on: plan",
        "00:00:30 pump off: no flow",
        "00:15:30 pump on: hold",
        "00:16:00 pump off: no flow",
    ]


def test_water_in_time_is_no_alarm() -> None:
    """Water that arrives within `flow_within` lets the pump run."""
    driver = Driver(guarded(flow="meter", flow_within="30s"), begins=False)
    driver.sense(meter=0)
    driver.advance("29s")
    driver.sense(meter=3.5)
    driver.advance("5m")
    assert driver.told("pump") == ["00:00:00 pump on: plan"]
    assert not any("flow" in alarm for alarm in driver.alarms())


def test_water_that_stops_later_stops_the_pump_at_once() -> None:
    """A jam in the middle of a watering is seen when the meter tells it."""
    driver = Driver(guarded(flow="meter", flow_within="30s"), begins=False)
    driver.sense(meter=3.5)
    driver.advance("5m")
    driver.sense(meter=0)
    assert driver.told("pump")[-1] == "00:05:00 pump off: no flow"
    assert driver.alarms()[-1] == "no flow pump, over"


def test_the_check_for_water_is_not_forgotten_when_something_else_happens() -> None:
    """Whatever is weighed within `flow_within`, the check at its end takes place."""
    driver = Driver(guarded(flow="meter", flow_within="30s"), begins=False)
    driver.sense(meter=0)
    driver.advance("10s")
    driver.hold("pump", "on", "1h")
    driver.advance("1m")
    assert driver.told("pump") == ["00:00:00 pump on: plan", "00:00:30 pump off: no flow"]


def test_the_check_for_water_outlasts_a_stop_that_waits() -> None:
    """While a pump finishes a long `shortest_on`, water is looked for all the same."""
    driver = Driver(guarded(flow="meter", flow_within="30s", shortest_on="5m"), begins=False)
    driver.sense(meter=0)
    driver.advance("10s")
    driver.hold("pump", "off", "1h")
    driver.advance("1m")
    assert driver.told("pump") == ["00:00:00 pump on: plan", "00:00:30 pump off: no flow"]


def test_a_meter_read_before_the_water_could_arrive_tells_nothing() -> None:
    """A meter that is read every 40 s said 0 at the start of the pump; the pump runs on."""
    driver = Driver(guarded(flow="meter", flow_within="30s"), begins=False)
    driver.poll(meter=0)
    driver.advance("40s")
    driver.poll(meter=3.5)
    driver.advance("5m")
    assert driver.told("pump") == ["00:00:00 pump on: plan"]


def test_a_meter_that_says_nothing_new_is_heard_all_the_same() -> None:
    """Read every 20 s, a meter's third 0 is the one that tells of the missing water."""
    driver = Driver(guarded(flow="meter", flow_within="30s"), begins=False)
    driver.poll(meter=0)
    for _ in range(3):
        driver.advance("20s")
        driver.poll(meter=0)
    assert driver.told("pump") == ["00:00:00 pump on: plan", "00:00:40 pump off: no flow"]


def test_a_silent_meter_stops_nothing() -> None:
    """A flow that nobody knows forbids nothing."""
    driver = Driver(guarded(flow="meter", flow_within="30s"))
    driver.advance("10m")
    assert driver.told("pump") == ["00:00:00 pump on: plan"]


def test_a_hold_ends_in_time_while_a_pump_waits_to_try_again() -> None:
    """The wait for a retry does not keep a hold alive."""
    driver = Driver(guarded(flow="meter", flow_within="30s"), begins=False)
    driver.sense(meter=0)
    driver.hold("pump", "on", "5m")
    driver.advance("20m")
    assert driver.noted(Event.HOLD_ENDED) == ["00:05:00 hold ended pump (its time is over)"]


# Leak


def test_a_leak_stops_what_moves_water_and_nothing_else() -> None:
    """A wet floor switches pumps and valves off; a lamp stays on."""
    driver = Driver(guarded())
    driver.advance("1m")
    driver.sense(floor=1)
    assert driver.states == {"pump": False, "lamp": True}
    assert driver.reason("pump")[:3] == (Why.LEAK, None, "floor")


@pytest.mark.parametrize("dry_first", [True, False])
def test_after_a_leak_water_waits_for_a_dry_floor_and_a_person(*, dry_first: bool) -> None:
    """Dry is not enough, and a person's word is not; both are, in either order."""
    driver = Driver(guarded())
    driver.sense(floor=1)
    driver.advance("1m")
    for is_first in (True, False):
        assert driver.states["pump"] is False
        if is_first is dry_first:
            driver.sense(floor=0)
        else:
            driver.acknowledge(AlarmCode.LEAK, "floor")
    assert driver.states["pump"] is True
    assert not any("leak" in alarm for alarm in driver.alarms())


def test_a_leak_outlasts_the_silence_of_its_sensor() -> None:
    """A sensor that drowned and fell silent has not said that the floor is dry."""
    driver = Driver(guarded())
    driver.sense(floor=1)
    driver.silence("floor")
    driver.advance("1h")
    driver.acknowledge(AlarmCode.LEAK, "floor")
    driver.advance("1h")
    assert driver.states["pump"] is False


def test_a_leak_outlasts_an_outage() -> None:
    """The alarm is remembered through a restart, and the pump stays off."""
    driver = Driver(guarded())
    driver.sense(floor=1)
    driver.sense(floor=0)
    driver.lose_power("10m")
    driver.advance("1h")
    assert driver.told("pump")[1:] == ["00:00:00 pump off: leak"]


def test_a_leak_overrides_a_person() -> None:
    """No hold waters a wet floor."""
    driver = Driver(guarded())
    driver.sense(floor=1)
    driver.hold("pump", "on", "1h")
    assert driver.states["pump"] is False
    driver.advance("1m")
    driver.sense(floor=0)
    driver.acknowledge(AlarmCode.LEAK, "floor")
    assert driver.reason("pump").why is Why.HOLD


def test_a_leak_latches_whatever_else_is_wrong() -> None:
    """An alarm for every load and sensor of the largest plan leaves room for the leak's."""
    many = {f"s{n}": {"measures": "level", "stale_after": "1s"} for n in range(99)}
    plan = plan_of(
        sensors={"floor": {"measures": "leak", "stale_after": "1s"}, **many},
        guards={"leak": "floor"},
        **{
            f"p{n}": load(
                "on", level=f"s{n}", variants=[
                    {"name": "v", "sensor": f"s{98 - n}", "above": 9, "until": 8,
                     "spans": [{"from": "00:00", "cycle": "off"}]},
                ],
            )
            for n in range(54)
        },
    )  # fmt: skip
    driver = Driver(plan)
    driver.sense(**dict.fromkeys(many, 0.0))
    driver.silence(*many)
    driver.advance("10s")
    driver.lose_power("3h")
    assert len(driver.alarms()) > 150
    driver.sense(floor=1)
    driver.sense(floor=0)
    assert not any(driver.states.values())


# Stop


def test_the_stop_switch_stops_everything_until_it_is_resumed() -> None:
    """Everything goes off at once and stays off when the switch is let go."""
    driver = Driver(guarded(shortest_on="30s"))
    driver.advance("1s")
    driver.sense(button=1)
    assert driver.states == {"pump": False, "lamp": False}
    driver.sense(button=0)
    driver.advance("1m")
    assert driver.states == {"pump": False, "lamp": False}
    driver.resume()
    assert driver.states == {"pump": True, "lamp": True}
    assert driver.noted(Event.STOPPED, Event.RESUMED) == [
        "00:00:01 everything stopped button",
        "00:01:01 stop released",
    ]


def test_a_pressed_stop_switch_refuses_to_resume() -> None:
    """Whoever resumes must let go of the switch first."""
    driver = Driver(guarded())
    driver.sense(button=1)
    driver.resume()
    assert driver.states == {"pump": False, "lamp": False}
    assert driver.noted(Event.REQUEST_REFUSED) == [
        "00:00:00 request refused button (the stop switch is still pressed: release it)"
    ]


def test_a_stop_stands_above_holds_and_outlasts_outages() -> None:
    """Stopped, no hold and no restart switches anything on."""
    driver = Driver(guarded())
    driver.stop()
    driver.hold("pump", "on", "3h")
    driver.lose_power("1h")
    driver.advance("1h")
    assert driver.states == {"pump": False, "lamp": False}
    driver.resume()
    assert driver.reason("pump").why is Why.HOLD


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
