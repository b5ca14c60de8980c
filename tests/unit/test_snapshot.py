"""The controller's memory as a text: what it keeps, how small it is, and what it refuses."""

from __future__ import annotations

import json
from typing import Any

import pytest

from controller.core.decide import decide
from controller.core.orders import AlarmCode, Event, Notice, Why
from controller.core.snapshot import (
    VERSION,
    Restored,
    restored_boot,
    restored_memory,
    snapshot_text,
)
from tests.worlds import Driver, load, plan_of, spans

HOT = {"name": "hot", "sensor": "air", "above": 30, "until": 27, "at_least": "30m",
       "spans": spans("20m on, 10m off")}  # fmt: skip
GARDEN = plan_of(
    sensors={
        "air": {"measures": "air_temperature"},
        "meter": {"measures": "flow"},
        "floor": {"measures": "leak"},
        "button": {"measures": "stop"},
    },
    guards={"leak": "floor", "stop_switch": "button"},
    pump=load("15m on, 15m off", flow="meter", variants=[HOT]),
    lamp=load("on", kind="lamp", shortest_off="10m"),
)


def eventful() -> Driver:
    """A garden in which everything that must be remembered has happened."""
    driver = Driver(GARDEN, begins=False)
    driver.sense(air=31, meter=0, floor=0, button=0)
    driver.advance("40m")
    driver.hold("lamp", "2m on, 3m off", "8h")
    driver.acknowledge(AlarmCode.NO_FLOW, "pump")
    driver.sense(floor=1)
    driver.stop()
    return driver


def written(driver: Driver, **changed: Any) -> str:
    """The text of a driver's memory, with other values for some fields."""
    assert driver.memory is not None
    text = snapshot_text(driver.schedule, driver.memory, kernel_boot="this")
    return json.dumps(json.loads(text) | changed)


def read(driver: Driver, text: str, kernel_boot: str = "this") -> Restored:
    """What a text gives back now."""
    return restored_memory(driver.schedule, text, driver.seen(), kernel_boot=kernel_boot)


def test_everything_that_must_outlive_a_power_cut_does() -> None:
    """Time and trust, the stop, each load's state, hold and variant, and the alarms."""
    driver = eventful()
    memory = read(driver, written(driver)).memory
    assert memory is not None
    assert driver.memory is not None
    same = ("boot", "booted", "now", "tick", "is_clock_trusted", "untrusted_since", "down_since",
            "is_stopped", "is_switch_pressed", "alarms")  # fmt: skip
    for field in same:
        assert getattr(memory, field) == getattr(driver.memory, field)
    assert memory.is_stopped
    assert [alarm.code for alarm in memory.alarms] == [AlarmCode.LEAK]
    for mine, other in zip(memory.loads, driver.memory.loads, strict=True):
        assert mine.reason.why is other.reason.why
        kept = other._replace(reason=mine.reason, look=mine.look, waits_since=None)
        if other.variant < 0:
            kept = kept._replace(variant_since=0)
        assert mine == kept


def test_a_snapshot_is_one_short_line() -> None:
    """Under 300 bytes a load, whatever has happened, and under 300 besides."""
    driver = eventful()
    assert driver.memory is not None
    text = snapshot_text(driver.schedule, driver.memory, kernel_boot="8-4-4-4-12" * 4)
    assert "\n" not in text
    whole = json.loads(text)
    sizes = [len(json.dumps(its, separators=(",", ":"))) for its in whole["loads"].values()]
    assert max(sizes) < 300
    assert len(text) - sum(sizes) - len(json.dumps(whole["alarms"])) < 300


def test_a_watering_is_measured_by_the_cycle_that_ordered_it() -> None:
    """Also where the plan has another by the time that the state is read back."""
    driver = Driver(plan_of(pump=load("20m on, 40m off")), is_settled=True)
    memory = read(driver, written(driver)).memory
    assert memory is not None
    piece = memory.loads[0].reason.piece
    assert piece is not None
    assert str(piece.cycle) == "20m on, 40m off"


@pytest.mark.parametrize(
    ("kernel_boot", "later_ms", "expected_ms"),
    [
        ("this", 0, 0),
        ("this", 4_000, 4_000),
        ("another", 4_000, None),  # the monotonic clock has started anew
        ("this", -1, None),  # and here it has as well, whatever is said
    ],
)
def test_within_a_boot_of_the_kernel_the_text_tells_how_long_the_controller_was_away(
    kernel_boot: str, later_ms: int, expected_ms: int | None
) -> None:
    """At most since its last decision was written down."""
    driver = eventful()
    text = written(driver)
    driver.true_now += later_ms
    assert read(driver, text, kernel_boot).down_ms_max == expected_ms


@pytest.mark.parametrize("tick", [-(10**12), -(10**13), -(10**16)])
def test_a_tick_that_cannot_be_of_this_boot_tells_nothing(tick: int) -> None:
    """Ages on one boot of the kernel would bring the clock to the end of its years."""
    driver = Driver(plan_of(pump=load("15m on, 15m off")), is_settled=True)
    its = _LOAD | {"on": True, "since": tick}
    text = written(driver, tick=tick, booted=tick, untrusted_since=tick, loads={"pump": its})
    restored = read(driver, text)
    assert (restored.down_ms_max is None) is (tick < -(10**12))
    for down_ms in (restored.down_ms_max, 5_000 if restored.down_ms_max else None):
        seen = driver.seen()._replace(boot=9, down_ms=down_ms)
        assert decide(driver.schedule, restored.memory, seen).orders


def test_the_next_boot_has_the_next_number() -> None:
    """Read from the text alone; from none, the count begins anew."""
    driver = eventful()
    driver.lose_power("1m")
    assert restored_boot(written(driver)) == driver.boot == 2
    assert restored_boot("") == 0
    assert restored_boot(written(driver, version=VERSION + 1)) == 0


def test_a_state_of_another_plan_keeps_what_fits() -> None:
    """A load that is gone takes its hold with it, which is told; a new one is off and rested."""
    driver = eventful()
    other = Driver(plan_of(pump=load("on"), fan=load("on", kind="fan")))
    restored = read(other, written(driver))
    assert restored.memory is not None
    assert [its.is_on for its in restored.memory.loads] == [False, False]
    assert restored.memory.is_stopped
    assert restored.notices == (
        Notice(Event.VARIANT_LEFT, "pump", "hot"),
        Notice(Event.HOLD_ENDED, "lamp", "the plan does not have this load any more"),
    )
    # The leak that nobody has looked at stands, though its sensor is gone.
    assert [(alarm.code, alarm.is_active) for alarm in restored.memory.alarms] == [
        (AlarmCode.LEAK, False)
    ]


def test_a_pressed_switch_of_another_name_is_not_the_plan_s_and_all_stays_stopped() -> None:
    """Nobody can let go of a switch that the plan does not have; a person resumes."""
    driver = eventful()
    driver.sense(button=1)
    other = Driver(
        plan_of(
            sensors={"knob": {"measures": "stop"}},
            guards={"stop_switch": "knob"},
            pump=load("on"),
        )
    )
    memory = read(other, written(driver)).memory
    assert memory is not None
    assert (memory.is_stopped, memory.is_switch_pressed) == (True, False)


_LOAD = {"kind": "pump", "on": False, "since": 0, "why": "plan"}


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"version": 2}, "the state was written by a newer rootclock: its version is 2, and this"
                         " one reads 1"),
        ({"version": True}, "the state: version is True, not a whole number from 1 to 1"),
        ({"tick": 1.5}, "the state: tick is 1.5, not a whole number"),
        ({"tick": None}, "the state: tick is None, not a whole number"),
        ({"now": 10**14}, "the state: now is 100000000000000, not a whole number"),
        ({"trusted": 1}, "the state: trusted is 1, not true or false"),
        ({"loads": []}, "the state: loads is [], not a table of 54 loads at most"),
        ({"loads": {f"l{n}": _LOAD for n in range(55)}}, "the state: loads is {'l0'"),
        ({"loads": {"../pump": _LOAD}}, "the state: no load can be called '../pump'"),
        ({"loads": {"pump": 7}}, "the state, pump is 7, not a table"),
        ({"loads": {"pump": _LOAD | {"why": "magic"}}}, "the state, pump: why is 'magic', not"),
        ({"loads": {"pump": _LOAD | {"kind": "\ud800"}}}, r"the state, pump: kind is '\ud800', no"),
        # Nothing has happened that is yet to come, or a load would rest for ages.
        ({"loads": {"pump": _LOAD | {"since": 10**15}}}, "the state, pump: since is 1000000000000"),
        ({"loads": {"pump": _LOAD | {"watered": 10**15}}}, "the state, pump: watered is 10000000"),
        ({"loads": {"pump": _LOAD | {"retry": 10**15}}}, "the state, pump: retry is 100000000000"),
        ({"loads": {"pump": _LOAD | {"hold": {"cycle": "on", "began": 0, "ends": 10**10}}}},
         "the state, pump, hold: ends is 10000000000, not a whole number from 0 to 604800000"),
        ({"loads": {"pump": _LOAD | {"hold": {"cycle": "on off", "began": 0, "ends": 1}}}},
         "the state, pump, hold: step 1, 'on off', is not a duration and a state"),
        ({"loads": {"pump": _LOAD | {"hold": {"variant": "x" * 41, "began": 0, "ends": 1}}}},
         "the state, pump, hold: variant is 'xxx"),
        ({"alarms": {}}, "the state: alarms is {}, not a list of 2000 alarms at most"),
        ({"alarms": [7]}, "the state, alarm 0 is 7, not a table"),
        ({"alarms": [{"code": "smoke"}]}, "there is no alarm 'smoke'"),
    ],
)  # fmt: skip
def test_a_text_that_cannot_be_told_the_truth_says_where(
    changed: dict[str, Any], told: str
) -> None:
    """Where it is wrong, what stands there, and what may."""
    driver = eventful()
    restored = read(driver, written(driver, **changed))
    assert restored.memory is None
    assert restored.refused.startswith(told)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "the state is no JSON: "),
        ("null", "the state is None, not a table"),
        ("{}", "the state: version is missing, not a whole number"),
        ("[" * 100_000, "the state is no JSON: "),
        ("9" * 5_000, "the state is no JSON: "),
        ('{"version": NaN}', "the state: version is nan, not a whole number"),
        ("x" * 4_000_001, "the state has 4000001 characters, more than any can have"),
    ],
    ids=lambda text: text[:20],
)
def test_a_text_that_is_no_snapshot_says_so(text: str, told: str) -> None:
    """Whatever it is, reading it back goes on to a start without a memory."""
    driver = Driver(GARDEN)
    restored = read(driver, text)
    assert restored.memory is None
    assert restored.refused.startswith(told)
    assert restored_boot(text) == 0


@pytest.mark.parametrize("key", ["since", "watered"])
@pytest.mark.parametrize("tick", [-(10**10), -(10**13), -(10**16)])
def test_what_happened_ages_ago_is_no_reason_to_fail(key: str, tick: int) -> None:
    """A pump that was last watered before there were calendars is simply dry."""
    driver = Driver(plan_of(pump=load("15m on, 15m off")), is_settled=True)
    driver.advance("20m")
    text = written(driver, loads={"pump": _LOAD | {"watered": 0, key: tick}})
    restored = read(driver, text)
    for down_ms in (None, 5_000):
        decision = decide(
            driver.schedule, restored.memory, driver.seen()._replace(boot=9, down_ms=down_ms)
        )
        assert decision.orders[0].is_on
        assert decision.orders[0].reason.why is Why.RECOVERY


def test_every_rule_and_every_alarm_reads_back() -> None:
    """By the names that they have in the journal."""
    driver = eventful()
    for why in Why:
        text = written(driver, loads={"pump": _LOAD | {"why": why.value}})
        memory = read(driver, text).memory
        assert memory is not None
        assert memory.loads[0].reason.why is why
    for code in AlarmCode:
        alarm = {"code": code.value, "subject": "", "since": 5, "active": True,
                 "acknowledged": False}  # fmt: skip
        restored = read(driver, written(driver, alarms=[alarm]))
        assert restored.memory is not None
