"""Another plan comes into force while the controller runs: what goes on, and what ends."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.adoption import adopted_memory
from controller.core.observation import StopRequest
from controller.core.orders import AlarmCode, Event, Notice, Why
from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from tests.worlds import MIDNIGHT, Driver, load, ms, plan_of, spans

HOT = {"name": "hot", "sensor": "air", "above": 30, "until": 27, "at_least": "30m",
       "spans": spans("20m on, 10m off")}  # fmt: skip
DELUGE = {"name": "deluge", "by_hand": True, "spans": spans("on")}
SENSORS = {
    "air": {"measures": "air_temperature"},
    "float": {"measures": "level"},
    "floor": {"measures": "leak"},
    "wall": {"measures": "leak"},
    "button": {"measures": "stop"},
    "knob": {"measures": "stop"},
}


def garden(*, guards: dict[str, Any] | None = None, **loads: Any) -> Plan:
    """A plan with every sensor that a test may name."""
    return plan_of(sensors=SENSORS, guards=guards or {}, **loads)


def settled(plan: Plan, at: str = "0s") -> Driver:
    """A garden in which the plan has been running until so long after midnight."""
    return Driver(plan, start=MIDNIGHT + ms(at), is_settled=True)


# Loads


def test_a_running_pump_goes_on_without_chatter() -> None:
    """It stays on, and the time that it has been on counts by the new plan."""
    driver = settled(garden(pump=load("15m on, 15m off")))
    driver.advance("5m")
    driver.adopt(garden(lamp=load("off", kind="lamp"), pump=load("20m on, 10m off")))
    driver.advance("30m")
    assert driver.told() == ["00:20:00 pump off: plan", "00:30:00 pump on: plan"]
    assert driver.noted() == []


def test_a_load_on_another_line_is_the_same_load() -> None:
    """The wiring is the board's business."""
    driver = settled(garden(pump=load("15m on, 15m off")))
    driver.adopt(garden(pump=load("15m on, 15m off") | {"line": 21, "active": "high"}))
    assert driver.told() == []


def test_new_loads_are_off_and_rested() -> None:
    """They start when their plan says so, at once if that is now."""
    driver = settled(garden(pump=load("on")))
    driver.adopt(garden(pump=load("on"), fan=load("on", kind="fan", shortest_off="10m")))
    assert driver.told() == ["00:00:00 fan on: plan"]


def test_a_load_of_another_kind_is_another_load() -> None:
    """What was a pump is a lamp now: off, with nothing remembered, its hold and alarms gone."""
    driver = settled(garden(it=load("15m on, 15m off")))
    driver.hold("it", "on", "1h")
    driver.lose_power("2h")
    driver.hold("it", "on", "1h")
    driver.forget()
    driver.adopt(garden(it=load("off", kind="lamp")))
    assert driver.its("it").watered is None
    assert driver.noted() == [
        "00:00:00 hold ended it (the plan does not have this load any more)",
        "00:00:00 alarm over it (roots left dry: not in the plan any more)",
    ]
    assert driver.states == {"it": False}


def test_a_load_that_has_been_on_for_longer_than_it_now_may_goes_off_at_once() -> None:
    """`longest_on` of the new plan counts from when the load went on."""
    driver = settled(garden(pump=load("on")), "1h")
    driver.adopt(garden(pump=load("on", longest_on="45m", shortest_off="5m")))
    driver.advance("6m")
    assert driver.told() == [
        "00:00:00 pump off: longest on reached",
        "00:05:00 pump on: plan",
    ]


def test_a_load_that_may_be_on_for_a_while_yet_has_that_while() -> None:
    """Thirty of forty-five minutes are over."""
    driver = Driver(garden(pump=load("on")))
    driver.advance("30m")
    driver.adopt(garden(pump=load("on", longest_on="45m")))
    driver.advance("16m")
    assert driver.told()[1] == "00:45:00 pump off: longest on reached"


def test_shortest_times_hold_across_the_change() -> None:
    """A lamp that went off a minute ago cools by the new plan's measure."""
    driver = Driver(garden(lamp=load("4m on, 1m off", kind="lamp")))
    driver.advance("4m")
    driver.adopt(garden(lamp=load("on", kind="lamp", shortest_off="10m")))
    driver.advance("20m")
    assert driver.told() == [
        "00:00:00 lamp on: plan",
        "00:04:00 lamp off: plan",
        "00:14:00 lamp on: plan",
    ]


def test_a_guard_of_the_new_plan_is_kept_at_once() -> None:
    """A float that the pump did not look at is low."""
    driver = settled(garden(pump=load("on"), other=load("off", level="float")))
    driver.sense(float=0)
    driver.adopt(garden(pump=load("on", level="float"), other=load("off", level="float")))
    assert driver.told() == ["00:00:00 pump off: reservoir low"]


# Holds and variants


def test_a_hold_goes_on_to_its_end() -> None:
    """No change of plan makes it shorter or longer."""
    driver = settled(garden(pump=load("15m on, 15m off")))
    driver.hold("pump", "2m off, 3m on", "20m")
    driver.advance("6m")
    driver.adopt(garden(pump=load("off")))
    driver.advance("20m")
    assert driver.told() == [
        "00:00:01 pump off: hold",
        "00:02:00 pump on: hold",
        "00:05:00 pump off: hold",
        "00:07:00 pump on: hold",
        "00:10:00 pump off: hold",
        "00:12:00 pump on: hold",
        "00:15:00 pump off: hold",
        "00:17:00 pump on: hold",
        "00:20:00 pump off: plan",
    ]


def test_a_hold_of_a_variant_that_is_gone_ends_and_is_told() -> None:
    """There is nothing left to hold it to."""
    driver = settled(garden(pump=load("off", variants=[DELUGE])))
    driver.hold("pump", "deluge", "1h")
    driver.advance("1m")
    driver.adopt(garden(pump=load("off")))
    assert driver.told() == ["00:00:01 pump on: hold", "00:01:00 pump off: plan"]
    assert driver.noted(Event.HOLD_ENDED) == [
        "00:01:00 hold ended pump (the plan has no variant deluge for it any more)"
    ]


def test_a_variant_in_force_is_known_by_its_name() -> None:
    """At another place in the list it stays in force, for its `at_least` since it was entered."""
    driver = settled(garden(pump=load("off", variants=[HOT])))
    driver.sense(air=31)
    driver.advance("10m")
    driver.sense(air=20)
    driver.forget()
    driver.adopt(garden(pump=load("off", variants=[DELUGE, HOT])))
    driver.advance("25m")
    assert driver.noted() == ["00:20:00 variant left pump (hot)"]
    assert driver.told() == ["00:10:00 pump off: variant"]


@pytest.mark.parametrize(
    "variants",
    [
        [],  # gone
        [DELUGE | {"name": "hot", "at_least": "30m"}],  # a person's now
    ],
)
def test_a_variant_that_no_sensor_calls_for_any_more_is_left(variants: list[Any]) -> None:
    """And told, as when it is left for any other reason."""
    driver = settled(garden(pump=load("off", variants=[HOT])))
    driver.sense(air=31)
    driver.advance("1m")
    driver.adopt(garden(pump=load("off", variants=variants)))
    assert driver.told() == ["00:00:01 pump on: variant", "00:01:00 pump off: plan"]
    assert driver.noted(Event.VARIANT_LEFT) == ["00:01:00 variant left pump (hot)"]


# The stop


def test_a_stop_outlasts_the_plan() -> None:
    """Only a person lets everything go on."""
    driver = settled(garden(pump=load("on")))
    driver.stop()
    driver.adopt(garden(lamp=load("on", kind="lamp"), pump=load("on")))
    driver.advance("1h")
    assert driver.states == {"lamp": False, "pump": False}


def test_a_pressed_switch_that_the_plan_gives_up_can_be_resumed_from() -> None:
    """The switch that nobody can ask any more does not stand in a person's way."""
    driver = settled(garden(guards={"stop_switch": "button"}, pump=load("on")))
    driver.sense(button=1)
    driver.adopt(garden(guards={"stop_switch": "knob"}, pump=load("on")))
    driver.advance("1m")
    assert driver.states == {"pump": False}
    driver.resume()
    assert driver.states == {"pump": True}


def test_a_new_plan_whose_switch_is_pressed_stops_everything() -> None:
    """The input was there before; now it is the stop switch."""
    driver = settled(garden(guards={"stop_switch": "button"}, pump=load("on")))
    driver.sense(button=0, knob=1)
    driver.adopt(garden(guards={"stop_switch": "knob"}, pump=load("on")))
    assert driver.states == {"pump": False}
    assert driver.noted(Event.STOPPED) == ["00:00:00 everything stopped knob"]


# Alarms


def test_alarms_of_what_the_plan_does_not_have_are_over_and_told() -> None:
    """Of loads and of sensors; those that it has stand."""
    driver = Driver(
        garden(
            guards={"watts_at_once": 100},
            big=load("on", watts=100),
            gone=load("5m on, 5m off", watts=50),
            stays=load("5m on, 5m off", level="float", watts=50),
        ),
        begins=False,
    )
    driver.sense(float=1)
    driver.advance("7m")
    driver.sense(float=0)
    assert driver.alarms() == [
        "watering missed gone, over",
        "watering missed stays, over",
        "reservoir low float",
    ]
    driver.forget()
    driver.adopt(garden(big=load("on"), stays=load("off")))
    assert driver.alarms() == ["watering missed stays, over"]
    assert driver.noted() == [
        "00:00:00 alarm over gone (watering missed: not in the plan any more)",
        "00:00:00 alarm over float (reservoir low: not in the plan any more)",
    ]


@pytest.mark.parametrize("leak", [None, "wall"])
def test_no_edit_of_a_plan_dries_a_floor(leak: str | None) -> None:
    """A leak that nobody has looked at stands though its sensor is not asked any more: water
    waits for a person, where the plan has a guard against leaks at all."""
    driver = settled(garden(guards={"leak": "floor"}, pump=load("on")))
    driver.sense(floor=1, wall=0)
    guards = {} if leak is None else {"leak": leak}
    driver.adopt(garden(guards=guards, pump=load("on")))
    assert driver.alarms() == ["leak floor, over"]
    driver.advance("1m")
    assert driver.states["pump"] is (leak is None)
    driver.acknowledge(AlarmCode.LEAK, "floor")
    assert driver.states["pump"] is True


def test_a_leak_that_somebody_has_looked_at_goes_with_its_sensor() -> None:
    """Whoever took the sensor out of the plan has seen the floor."""
    driver = settled(garden(guards={"leak": "floor"}, pump=load("on")))
    driver.sense(floor=1, wall=0)
    driver.acknowledge(AlarmCode.LEAK, "floor")
    driver.adopt(garden(guards={"leak": "wall"}, pump=load("on")))
    assert driver.alarms() == []


def test_a_sensor_that_is_new_has_time_to_speak() -> None:
    """As long as its readings last; one that was awaited before has no more than it had."""
    driver = Driver(garden(pump=load("on", variants=[HOT])))
    driver.advance("6m")
    driver.adopt(garden(pump=load("on", level="float", variants=[HOT])))
    driver.advance("20m")
    assert driver.noted(Event.ALARM_RAISED) == [
        "00:10:00.001 alarm air (sensor silent)",
        "00:16:00.001 alarm float (sensor silent)",
    ]


def test_a_sensor_whose_settings_change_has_time_to_speak() -> None:
    """It is opened anew, and the first reading of the new settings is on its way: no alarm comes
    and goes for that. What stays silent is told when its readings would have grown stale."""
    driver = Driver(garden(pump=load("on", variants=[HOT])))
    driver.sense(air=20)
    driver.advance("1h")
    moved = plan_of(
        sensors=SENSORS | {"air": {"measures": "air_temperature", "offset": -0.5}},
        pump=load("on", variants=[HOT]),
    )
    driver.readings = {}
    driver.adopt(moved)
    driver.advance("30s")
    assert driver.noted() == []
    driver.sense(air=19.5)
    driver.readings = {}
    driver.adopt(garden(pump=load("on", variants=[HOT])))
    driver.advance("1h")
    assert driver.noted(Event.ALARM_RAISED) == ["01:10:30.001 alarm air (sensor silent)"]


def test_a_sensor_that_was_silent_and_is_told_anew_stays_an_alarm_until_it_speaks() -> None:
    """Other settings may be the mend, but nobody knows yet: the alarm neither ends nor repeats."""
    driver = Driver(garden(pump=load("on", variants=[HOT])))
    driver.advance("11m")
    moved = SENSORS | {"air": {"measures": "air_temperature", "file": "/sys/other"}}
    driver.adopt(plan_of(sensors=moved, pump=load("on", variants=[HOT])))
    driver.advance("1m")
    assert driver.noted() == ["00:10:00.001 alarm air (sensor silent)"]
    driver.sense(air=20)
    assert driver.noted()[1:] == ["00:12:00 alarm over air (sensor silent)"]


# Turns and watts


def test_starts_are_kept_apart_across_the_change() -> None:
    """A load that the new plan starts waits for the inrush of the one that started just now,
    though the plan before kept no starts apart."""
    driver = Driver(garden(a=load("on")))
    driver.advance("4s")
    driver.adopt(garden(guards={"starts_apart": "10s"}, a=load("on"), b=load("on")))
    driver.advance("10s")
    assert driver.told() == ["00:00:00 a on: plan", "00:00:10 b on: plan"]


def test_starts_that_the_plan_before_kept_apart_are_remembered() -> None:
    """Also of a load that is off again."""
    guards = {"starts_apart": "10s"}
    driver = Driver(garden(guards=guards, a=load("2s on, 1h off"), b=load("off")))
    driver.advance("4s")
    driver.adopt(garden(guards=guards, a=load("2s on, 1h off"), b=load("on")))
    driver.advance("10s")
    assert driver.told()[2:] == ["00:00:10 b on: plan"]


def test_what_the_supply_does_not_carry_any_more_goes_off_at_once() -> None:
    """The first in the plan keep their watts; the others wait, and a smaller one that waited
    before may have what is left."""
    first = {"a": load("on", watts=50), "b": load("on", watts=40, shortest_on="1h")}
    driver = Driver(garden(guards={"watts_at_once": 90}, **first, c=load("on", watts=10)))
    driver.adopt(garden(guards={"watts_at_once": 60}, **first, c=load("on", watts=10)))
    driver.advance("1m")
    assert driver.told() == [
        "00:00:00 a on: plan",
        "00:00:00 b on: plan",
        "00:00:00 b off: watts at once",
        "00:00:00 c on: plan",
    ]
    assert driver.reason("b").why is Why.WATTS_AT_ONCE


def test_a_load_that_has_lost_its_watts_has_them_back_when_they_are_free() -> None:
    """It waits like everybody who waits for watts."""
    driver = Driver(garden(a=load("20m on, 40m off", watts=50), b=load("on", watts=50)))
    driver.advance("1m")
    driver.adopt(
        garden(
            guards={"watts_at_once": 60},
            a=load("20m on, 40m off", watts=50),
            b=load("on", watts=50),
        )
    )
    driver.advance("30m")
    assert driver.told()[2:] == [
        "00:01:00 b off: watts at once",
        "00:20:00 a off: plan",
        "00:20:00 b on: plan",
    ]


# Roots


def test_no_watering_is_lost_between_two_plans() -> None:
    """The plan before would have watered in a minute, the new one has just done so and will in
    45: roots are wetted at once."""
    driver = settled(garden(pump=load("15m on, 45m off")))
    driver.advance("59m")
    driver.adopt(garden(pump=load("14m off, 15m on, 31m off")))
    driver.advance("30m")
    assert driver.told() == [
        "00:15:00 pump off: plan",
        "00:59:00 pump on: recovery watering",
        "01:29:00 pump off: plan",  # by then it was the new plan's watering of 01:14
    ]


def test_a_change_that_waters_soon_enough_calls_for_nothing() -> None:
    """Dry for 25 minutes, watered in 5: sooner than either plan has it."""
    driver = settled(garden(pump=load("15m on, 45m off")))
    driver.advance("40m")
    driver.adopt(garden(pump=load("45m off, 15m on")))
    driver.advance("6m")
    assert driver.told() == ["00:15:00 pump off: plan", "00:45:00 pump on: plan"]
    assert driver.alarms() == []


def test_those_that_waited_for_their_recovery_still_do() -> None:
    """By name: at other places in the new plan, in the same order, but for the one that is
    gone."""
    hourly = {name: load("10m on, 50m off") for name in ("a", "b", "c")}
    driver = settled(garden(**hourly))
    driver.advance("10m")
    driver.lose_power("1h30m")  # back at 01:40
    driver.advance("5m")
    driver.adopt(garden(lamp=load("off", kind="lamp"), c=hourly["c"], a=hourly["a"]))
    driver.advance("16m")
    assert driver.told()[3:] == [
        "01:40:00 a on: recovery watering",
        "01:50:00 a off: plan",
        "01:50:00 c on: recovery watering",
        "02:00:00 a on: plan",
        # And c goes on by its plan.
    ]


def test_nothing_is_made_up_for_by_a_clock_that_is_not_trusted() -> None:
    """The plans cannot be read; the join that follows finds out."""
    driver = settled(garden(pump=load("15m on, 45m off")))
    driver.advance("59m")
    driver.distrust_clock(off=-(10**15))
    driver.adopt(garden(pump=load("14m off, 15m on, 31m off")))
    driver.advance("1s")
    assert driver.told()[1:] == [
        "00:59:00 pump on: clock not trusted",
        "00:59:01 pump off: clock not trusted",  # the new plan's cycle begins with a rest
    ]


def test_a_plan_may_be_adopted_before_the_first_decision_of_a_boot() -> None:
    """The memory is of the boot before, and the world of this one: ticks do not compare."""
    driver = settled(garden(pump=load("15m on, 45m off")), "59m")
    assert driver.memory is not None
    new = make_schedule(garden(pump=load("on"), lamp=load("on", kind="lamp")))
    seen = driver.seen()._replace(boot=driver.boot + 1, tick=3)
    adopted, notices = adopted_memory(driver.schedule, new, driver.memory, seen)
    assert notices == ()
    assert [its.look for its in adopted.loads] == [driver.memory.tick] * 2
    assert adopted.recovery == ()


def test_requests_that_come_with_the_plan_are_of_the_plan() -> None:
    """The first decision after the adoption takes them in."""
    driver = settled(garden(pump=load("on")))
    driver.adopt(garden(pump=load("on"), fan=load("off", kind="fan")))
    driver.hold("fan", "on", "1h")
    assert driver.states == {"pump": True, "fan": True}
    decision = driver.step(StopRequest())
    assert decision.notices == (Notice(Event.STOPPED),)
