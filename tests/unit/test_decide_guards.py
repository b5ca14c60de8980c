"""Guards: water, its want, leaks and the stop switch."""

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
    assert [line for line in driver.noted(Event.ALARM_RAISED) if "pump" in line] == [
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


def test_a_switch_that_is_pressed_while_all_is_stopped_is_told_and_holds() -> None:
    """A stop by software, then by the switch: the journal names both, and while the switch is
    pressed nobody resumes; let go, everything waits for a person all the same."""
    driver = Driver(guarded())
    driver.advance("1m")
    driver.stop()
    driver.sense(button=1)
    driver.resume()
    driver.sense(button=0)
    driver.advance("1h")
    assert driver.states == {"pump": False, "lamp": False}
    driver.resume()
    assert driver.states == {"pump": True, "lamp": True}
    assert driver.noted(Event.STOPPED, Event.RESUMED, Event.REQUEST_REFUSED) == [
        "00:01:00 everything stopped",
        "00:01:00 everything stopped button (everything was stopped already)",
        "00:01:00 request refused button (the stop switch is still pressed: release it)",
        "01:01:00 stop released",
    ]


def test_a_switch_pressed_again_is_told_again() -> None:
    """Pressed, let go and pressed: two entries, each with the switch's name."""
    driver = Driver(guarded())
    for value in (1, 0, 1, 1):
        driver.advance("1s")
        driver.sense(button=value)
    assert driver.noted(Event.STOPPED) == [
        "00:00:01 everything stopped button",
        "00:00:03 everything stopped button (everything was stopped already)",
    ]


def test_a_switch_that_falls_silent_while_pressed_is_still_pressed() -> None:
    """Somebody's hands may be in the water: nobody resumes until the switch says that it was let
    go, not even after an outage."""
    driver = Driver(guarded(), restores=True)
    driver.poll(button=1)
    driver.advance("1h")
    driver.resume()
    driver.lose_power("5m")
    driver.resume()
    assert driver.noted(Event.REQUEST_REFUSED) == [
        "01:00:00 request refused button (the stop switch was pressed when it last spoke, and is "
        "silent now: mend it, or take it out of the plan)",
        "01:05:00 request refused button (the stop switch was pressed when it last spoke, and is "
        "silent now: mend it, or take it out of the plan)",
    ]
    driver.poll(button=0)
    driver.resume()
    assert driver.states == {"pump": True, "lamp": True}


def test_a_switch_that_never_spoke_stops_nothing_and_is_told() -> None:
    """A dead input does not kill a crop: its alarm is raised, and a person can stop and resume
    by software."""
    driver = Driver(guarded())
    driver.advance("11m")
    assert driver.states == {"pump": True, "lamp": True}
    assert "sensor silent button" in driver.alarms()
    driver.stop()
    assert driver.states == {"pump": False, "lamp": False}
    driver.advance("1s")
    driver.resume()
    assert driver.states == {"pump": True, "lamp": True}


def test_a_switch_pressed_in_the_dark_stops_everything() -> None:
    """Power comes back to a pressed switch, and nothing goes on."""
    driver = Driver(guarded())
    driver.sense(button=0)
    driver.readings = {name: r._replace(value=1.0) for name, r in driver.readings.items()}
    driver.lose_power("1m")
    assert driver.told()[-2:] == ["00:00:00 pump off: no power", "00:00:00 lamp off: no power"]
    assert driver.noted(Event.STOPPED) == ["00:01:00 everything stopped button"]
