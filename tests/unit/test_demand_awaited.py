"""A pump on demand while its sensors have not spoken: at a start, and under another plan."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.orders import Event, Why
from controller.core.plan import Plan
from tests.worlds import MIDNIGHT, Driver, load, ms, on_demand, plan_of, stand

NOON = MIDNIGHT + ms("12h")
LATE = "23m"  # the fixed cycle of 15/15 rests then, with no watering for 7 min


def garden(*, sensor: dict[str, Any] | None = None, **keys: Any) -> Plan:
    """A pump on demand for one stand."""
    air = {"measures": "air_temperature", "stale_after": "20m", **(sensor or {})}
    pump = load(kind="pump") | {"spans": [on_demand()]}
    return plan_of(sensors={"air": air}, stands={"heads": stand(**keys)}, pump=pump)


def switchings(driver: Driver) -> list[str]:
    """What the pump did, each with its time since the start."""
    return [line.rpartition(":")[0] for line in driver.told("pump")]


def reopened(driver: Driver) -> None:
    """Another plan has the sensor opened anew, with an offset; it speaks a second later."""
    driver.readings = {}
    driver.adopt(garden(sensor={"offset": 0.01}))
    driver.advance("1s")
    driver.sense(air=30.0)


# At a start


@pytest.mark.parametrize("start", [NOON, NOON + ms(LATE)])
def test_a_first_start_waters_at_once_and_goes_on_when_the_sensor_speaks(start: int) -> None:
    """Nobody knows of a watering: roots get one, wherever the fixed cycle stands by the clock, and
    the demand that takes over a moment later goes on with it."""
    driver = Driver(garden(), start=start)
    assert driver.states["pump"]
    assert driver.sentence("pump").endswith("Watering of 15 min: air has not spoken yet.")
    driver.advance("1s")
    driver.sense(air=30.0)
    assert switchings(driver) == ["00:00:00 pump on"]
    assert driver.reason("pump").why is Why.DEMAND
    assert "30 °C" in driver.sentence("pump")
    assert driver.noted(Event.ALARM_RAISED) == []


def test_a_sensor_that_never_speaks_leaves_the_roots_watered() -> None:
    """For as long as it is awaited by the lengths of the fixed cycle; then it is an alarm, and the
    fixed cycle goes by the clock."""
    driver = Driver(garden(), start=NOON + ms(LATE))
    driver.advance("2h")
    assert driver.noted(Event.ALARM_RAISED) == ["00:20:00.001 alarm air (sensor silent)"]
    assert switchings(driver)[:2] == ["00:00:00 pump on", "00:15:00 pump off"]
    assert "15m on, 15m off while the air is not known" in driver.sentence("pump")
    gaps = [
        later.instant - earlier.instant
        for earlier, later in zip(driver.changes, driver.changes[1:], strict=False)
        if later.is_on
    ]
    assert gaps
    assert max(gaps) <= ms("15m")


def test_a_rest_goes_on_over_a_restart() -> None:
    """The end that it was told stands; a reading that comes a moment later changes nothing."""
    driver = Driver(garden(medium="mineral-wool"), start=MIDNIGHT, is_settled=True, restores=True)
    driver.sense(air=5.0)
    driver.advance_until("pump", is_on=True)
    driver.advance_until("pump", is_on=False)
    before = driver.until("pump")
    driver.advance("2m")
    driver.readings = {}
    driver.crash("3s")
    assert not driver.states["pump"]
    assert driver.until("pump") == before
    assert "air has not spoken yet" in driver.sentence("pump")
    driver.advance("2s")
    driver.sense(air=5.0)
    assert driver.until("pump") == before


# Under another plan


@pytest.mark.parametrize("is_on", [True, False])
@pytest.mark.parametrize("into", ["10s", "100s", "150s"])
def test_nothing_switches_for_a_sensor_that_is_opened_anew(*, is_on: bool, into: str) -> None:
    """Wherever the pump stands, by the demand or by the clock: it does so before and after."""
    driver = Driver(garden(), start=NOON, is_settled=True)
    driver.sense(air=30.0)
    driver.advance_until("pump", is_on=not is_on)
    driver.advance_until("pump", is_on=is_on)
    driver.advance(into)
    assert driver.states["pump"] is is_on
    driver.forget()
    until = driver.until("pump")
    reopened(driver)
    assert driver.changes == []
    assert driver.until("pump") == until
    assert driver.noted(Event.ALARM_RAISED, Event.ALARM_CLEARED) == []


def test_a_rest_that_another_plan_does_not_allow_is_cut_at_once() -> None:
    """Whether its sensor has spoken or not: the bounds are the new plan's."""
    driver = Driver(garden(medium="mineral-wool"), start=MIDNIGHT, is_settled=True)
    driver.sense(air=5.0)
    driver.advance_until("pump", is_on=True)
    driver.advance_until("pump", is_on=False)
    driver.forget()
    shorter = load(kind="pump") | {"spans": [on_demand(longest_rest="10m")]}
    sensors = {"air": {"measures": "air_temperature", "stale_after": "25m"}}
    stands = {"heads": stand(medium="mineral-wool")}
    driver.readings = {}
    driver.adopt(plan_of(sensors=sensors, stands=stands, pump=shorter))
    driver.advance("11m")
    assert switchings(driver) == ["00:10:00 pump on"]


def test_what_is_told_meanwhile_has_the_end_that_was_told_before() -> None:
    """And says what is waited for."""
    driver = Driver(garden(), start=NOON, is_settled=True)
    driver.sense(air=30.0)
    driver.advance_until("pump", is_on=True)
    until = driver.until("pump")
    driver.readings = {}
    driver.adopt(garden(sensor={"offset": -0.5}))
    assert driver.until("pump") == until
    assert driver.sentence("pump").endswith(": air has not spoken yet.")


def test_a_silent_sensor_beside_one_that_is_awaited_is_not_waited_for() -> None:
    """Whatever the one will say, the air is not known: the fixed cycle goes by the clock."""
    sensors = {
        "air": {"measures": "air_temperature", "stale_after": "20m"},
        "damp": {"measures": "humidity", "stale_after": "1h"},
    }
    pump = load(kind="pump") | {"spans": [on_demand()]}
    stands = {"heads": stand(humidity="damp")}
    driver = Driver(plan_of(sensors=sensors, stands=stands, pump=pump), start=NOON)
    assert driver.sentence("pump").endswith(": air and damp have not spoken yet.")
    driver.advance("21m")
    assert driver.reason("pump").why is Why.PLAN


def test_what_is_not_sown_waits_for_no_sensor() -> None:
    """Nobody is asked, so the fixed cycle goes by the clock from the first moment."""
    driver = Driver(garden(age_days=None, sown="2027-01-01"), start=NOON + ms(LATE))
    assert not driver.states["pump"]
    assert driver.reason("pump").why is Why.PLAN
