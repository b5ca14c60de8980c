"""Pumps that fail and sensors that lie in the world of a dry run."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.orders import Event
from controller.core.units import HOUR_MS
from tests.recorder import OUTAGE, QUARTERS, DryRun, sensed, warm
from tests.worlds import MIDNIGHT, load, ms, plan_of, spans

# Pumps


def test_a_failing_pump_is_on_and_dry() -> None:
    """The relay closes, the watts flow, and the roots get nothing."""
    run = DryRun(QUARTERS, "2h", {"kind": "pump_fails", "from": "20m", "until": "70m",
                                  "load": "pump"})  # fmt: skip
    assert run.heard.told() == [
        "00:15:00 pump off: plan",
        "00:30:00 pump on and dry: plan",
        "00:45:00 pump off: plan",
        "01:00:00 pump on and dry: plan",
        "01:10:00 pump on: plan",
        "01:15:00 pump off: plan",
        "01:30:00 pump on: plan",
        "01:45:00 pump off: plan",
    ]
    pump = run.account.loads["pump"]
    assert pump.longest_dry_gap == (MIDNIGHT + ms("15m"), MIDNIGHT + ms("70m"))
    assert pump.on_ms == HOUR_MS
    assert pump.energy_kwh == pytest.approx(0.1)


def test_a_pump_that_fails_in_the_middle_of_a_watering_leaves_the_roots_dry_from_then() -> None:
    """The dry gap begins where the water stops."""
    run = DryRun(QUARTERS, "1h", {"kind": "pump_fails", "from": "5m", "until": "35m",
                                  "load": "pump"})  # fmt: skip
    gap = run.account.loads["pump"].longest_dry_gap
    assert gap == (MIDNIGHT + ms("5m"), MIDNIGHT + ms("35m"))


def test_a_pump_may_fail_from_before_the_start() -> None:
    """A run may begin with a pump that is on and dry."""
    run = DryRun(QUARTERS, "1h", {"kind": "pump_fails", "from": "-1h", "until": "2h",
                                  "load": "pump"})  # fmt: skip
    assert run.heard.began == ["pump on: plan"]
    assert run.heard.told()[0] == "00:00:00 pump on and dry: plan"
    assert run.account.loads["pump"].longest_dry_gap == (MIDNIGHT, MIDNIGHT + HOUR_MS)


def test_a_failing_pump_is_caught_by_its_meter() -> None:
    """With a flow sensor the pump stops after `flow_within` and tries again later."""
    run = DryRun(
        sensed("flow", flow="sensor"),
        "2h",
        {"kind": "pump_fails", "from": "20m", "until": "50m", "load": "pump"},
    )
    assert run.heard.told() == [
        "00:15:00 pump off: plan",
        "00:30:00 pump on and dry: plan",
        "00:30:30 pump off: no flow",
        "00:45:30 pump off: plan",
        "01:00:00 pump on: plan",
        "01:15:00 pump off: plan",
        "01:30:00 pump on: plan",
        "01:45:00 pump off: plan",
    ]
    assert run.heard.noted() == ["00:30:30 alarm pump (no flow)"]


def test_one_meter_for_two_pumps_sees_the_water_of_either() -> None:
    """A meter on the common pipe cannot tell whose water it is."""
    run = DryRun(
        plan_of(
            sensors={"meter": {"measures": "flow"}},
            a=load("15m on, 15m off", flow="meter"),
            b=load("15m on, 15m off", flow="meter"),
        ),
        "1h",
        {"kind": "pump_fails", "from": "20m", "until": "50m", "load": "a"},
    )
    assert run.heard.noted() == []


def test_power_that_fails_while_a_pump_fails_leaves_one_dry_gap() -> None:
    """Both faults together are dry, and the relay is off for the time of the outage alone."""
    run = DryRun(
        QUARTERS,
        "2h",
        OUTAGE,
        {"kind": "pump_fails", "from": "50m", "until": "65m", "load": "pump"},
    )
    pump = run.account.loads["pump"]
    assert run.heard.told()[2:4] == [
        "01:00:00 pump on and dry: recovery watering",
        "01:05:00 pump on: recovery watering",
    ]
    assert pump.longest_dry_gap == (MIDNIGHT + ms("15m"), MIDNIGHT + ms("65m"))


# Sensors


def test_a_sensor_that_reads_wrong_is_believed() -> None:
    """A float that says empty stops the pump for as long as it says so."""
    run = DryRun(
        sensed("level", level="sensor"),
        "30m",
        {"kind": "sensor_reads", "sensor": "sensor", "value": 0, "from": "5m", "until": "8m"},
    )
    assert run.heard.told() == [
        "00:05:00 pump off: reservoir low",
        "00:08:00 pump on: plan",
        "00:15:00 pump off: plan",
    ]


@pytest.mark.parametrize(
    ("measures", "key", "why"),
    [("leak", "leak", "leak"), ("stop", "stop_switch", "stop switch")],
)
def test_leaks_and_stop_switches_are_readings_too(measures: str, key: str, why: str) -> None:
    """1 is a wet floor and a pressed switch; both last until a person has done something."""
    run = DryRun(
        plan_of(
            sensors={"it": {"measures": measures}},
            guards={key: "it"},
            pump=load("15m on, 15m off"),
        ),
        "90m",
        {"kind": "sensor_reads", "sensor": "it", "value": 1, "from": "5m", "until": "8m"},
        {"kind": "acknowledge", "at": "40m"},
        {"kind": "resume", "at": "40m"},
    )
    assert run.heard.told() == [
        f"00:05:00 pump off: {why}",
        "00:40:00 pump on: recovery watering",
        "00:55:00 pump off: plan",
        "01:00:00 pump on: plan",
        "01:15:00 pump off: plan",
    ]


HOT: dict[str, Any] = {
    "variants": [
        {"name": "hot", "sensor": "air", "above": 30, "until": 27, "spans": spans("on")},
    ]
}


def test_a_variant_is_entered_when_the_air_passes_its_threshold() -> None:
    """From 20 to 40 degrees in two hours the air passes 30 after one, and 27 on its way back
    after 3 h 18 min: at the first millisecond that is past."""
    plan = plan_of(pump=load("off", **HOT))
    run = DryRun(plan, "4h", air=warm(("0s", 20.0), ("2h", 40.0), ("4h", 20.0)))
    assert run.heard.told() == [
        "01:00:00.001 pump on: variant",
        "03:18:00 pump off: plan",
    ]


def test_a_stuck_sensor_repeats_its_first_value() -> None:
    """A thermometer stuck in the heat keeps the variant; freed, it tells the truth."""
    plan = plan_of(pump=load("off", **HOT))
    run = DryRun(
        plan,
        "4h",
        {"kind": "sensor_stuck", "sensor": "air", "from": "70m", "until": "230m"},
        air=warm(("0s", 20.0), ("2h", 40.0), ("4h", 20.0)),
    )
    assert run.heard.told() == [
        "01:00:00.001 pump on: variant",
        "03:50:00 pump off: plan",
    ]


def test_a_silent_sensor_grows_stale() -> None:
    """After `stale_after` its last word counts for nothing, and an alarm is raised."""
    plan = plan_of(
        sensors={"air": {"measures": "air_temperature", "stale_after": "10m"}},
        pump=load("off", **HOT),
    )
    run = DryRun(
        plan,
        "3h",
        {"kind": "sensor_silent", "sensor": "air", "from": "90m", "until": "2h"},
        air=warm(("0s", 20.0), ("2h", 40.0), ("4h", 40.0)),
    )
    assert run.heard.told() == [
        "01:00:00.001 pump on: variant",
        "01:40:00.001 pump off: plan",
        "02:00:00 pump on: variant",
    ]
    assert run.heard.noted(Event.ALARM_RAISED, Event.ALARM_CLEARED) == [
        "01:40:00.001 alarm air (sensor silent)",
        "02:00:00 alarm over air (sensor silent)",
    ]


def test_a_silent_sensor_stays_silent_through_a_restart() -> None:
    """A board that starts anew has no last word to go by."""
    run = DryRun(
        sensed("level", level="sensor"),
        "3h",
        {"kind": "sensor_silent", "sensor": "sensor", "from": "5m", "until": "2h"},
        {"kind": "power_out", "from": "30m", "until": "31m"},
    )
    assert run.heard.noted(Event.ALARM_RAISED, Event.ALARM_CLEARED) == [
        "00:15:00.001 alarm sensor (sensor silent)",
        "00:31:00 alarm pump (roots left dry: dry for 16m)",
        "02:00:00 alarm over sensor (sensor silent)",
    ]


def test_a_sensor_silent_from_before_the_start_has_said_nothing() -> None:
    """Its alarm stands from the first moment."""
    run = DryRun(
        sensed("level", level="sensor"),
        "1h",
        {"kind": "sensor_silent", "sensor": "sensor", "from": "-1h", "until": "2h"},
    )
    assert run.heard.noted() == ["00:00:00 alarm sensor (sensor silent)"]


def test_air_that_is_not_known_makes_no_variant() -> None:
    """Without weather a thermometer says nothing, and the plan goes on."""
    run = DryRun(plan_of(pump=load("off", **HOT)), "3h")
    assert run.heard.told() == []
    assert run.heard.noted() == ["00:00:00 alarm air (sensor silent)"]
