"""The status: taken from what the controller remembers, written as JSON, and read back."""

from __future__ import annotations

import json
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.alarm_words import what_to_do
from controller.core.errors import BadStatusError
from controller.core.orders import AlarmCode
from controller.core.plan import Quantity
from controller.core.status.json_form import as_json, status_from_json
from controller.core.status.record import Lateness, PlanStatus, Status
from controller.core.status.taking import _UNITS, Facts, status_of
from controller.core.units import rfc3339
from tests.gardens import NAMES, befall, gardens, happenings
from tests.strategies import examples
from tests.worlds import MIDNIGHT, Driver, load, ms, plan_of, spans

FACTS = Facts(
    version="0.1.0",
    started=0,
    is_mock=True,
    is_rehearsal=False,
    speed=1.0,
    plan=PlanStatus("plan.toml", 7, MIDNIGHT, None),
    lateness=Lateness(12, 0.5, 2.25, 3.0),
)


def _status(driver: Driver, facts: Facts = FACTS) -> Status:
    """The status at this moment of the driver's."""
    assert driver.memory is not None
    return status_of(
        driver.schedule,
        driver.memory,
        now=driver.true_now + driver.clock_off_ms,
        tick=driver.tick,
        facts=facts,
    )


def _garden(**keys: Any) -> Driver:
    return Driver(
        plan_of(
            site={"latitude": 47.37, "longitude": 8.54, "timezone": "Europe/Zurich"},
            sensors={
                "air": {"measures": "air_temperature", "stale_after": "10m"},
                "cellar": {"measures": "humidity"},  # nothing hangs on it
            },
            pump=load(
                "15m on, 15m off",
                watts=22,
                without_clock="10m on, 20m off",
                variants=[
                    {"name": "hot", "sensor": "air", "above": 30, "until": 27,
                     "spans": spans("20m on, 10m off")}
                ],
            ),
            lamp=load("06:00 | on", "22:00 | off", kind="lamp", mains=False),
        ),
        is_settled=True,
        **keys,
    )  # fmt: skip


def test_the_whole_status_as_json() -> None:
    """Every key, once; clients rely on them."""
    driver = _garden()
    driver.sense(air=31.5)
    driver.advance(ms("5m"))
    driver.hold("lamp", "on", ms("20m"))
    driver.advance(ms("1m"))
    assert as_json(_status(driver)) == {
        "version": "0.1.0",
        "protocol": 1,
        "now_utc": "2026-06-01T00:06:00Z",
        "now_local": "2026-06-01T02:06:00+02:00",
        "timezone": "Europe/Zurich",
        "up_s": 372.345,
        "is_mock": True,
        "is_rehearsal": False,
        "speed": 1.0,
        "is_clock_trusted": True,
        "is_stopped": False,
        "sun": {"sunrise_utc": "2026-06-01T03:33:18Z", "sunset_utc": "2026-06-01T19:14:37Z"},
        "plan": {
            "source": "plan.toml",
            "revision": 7,
            "taken_utc": "2026-06-01T00:00:00Z",
            "refused": None,
        },
        "loads": [
            {
                "name": "pump",
                "kind": "pump",
                "line": 0,
                "is_on": True,
                "since_utc": "2026-06-01T00:00:00Z",
                "for_s": 360.0,
                "until_utc": "2026-06-01T00:20:00Z",
                "left_s": 840.0,
                "why": "variant",
                "sentence": "Watering until 02:20, 14 min more. Variant hot: cycle 20m on, "
                "10m off, since 00:00.",
                "held": None,
                "variant": "hot",
                "watts": 22.0,
                "may_be_mains": True,
            },
            {
                "name": "lamp",
                "kind": "lamp",
                "line": 1,
                "is_on": True,
                "since_utc": "2026-06-01T00:05:00Z",
                "for_s": 60.0,
                "until_utc": "2026-06-01T00:25:00Z",
                "left_s": 1140.0,
                "why": "hold",
                "sentence": "Lit until 02:25, 19 min more. Held by hand: on.",
                "held": {"order": "on", "ends_utc": "2026-06-01T00:25:00Z", "left_s": 1140.0},
                "variant": None,
                "watts": None,
                "may_be_mains": False,
            },
        ],
        "sensors": [
            {
                "name": "air",
                "measures": "air_temperature",
                "unit": "°C",
                "value": 31.5,
                "age_s": 0.0,
                "why_silent": None,
            },
            {
                "name": "cellar",
                "measures": "humidity",
                "unit": "%",
                "value": None,
                "age_s": None,
                "why_silent": "nothing was read yet",
            },
        ],
        "alarms": [],
        "lateness": {"count": 12, "p50_ms": 0.5, "p99_ms": 2.25, "max_ms": 3.0},
    }


def test_without_a_trusted_clock_moments_are_not_told_and_lengths_are() -> None:
    """What the clock shows is told as such; nothing is hung on it."""
    driver = _garden()
    driver.sense(air=20.0)
    driver.distrust_clock(off="-100h")
    driver.advance(ms("4m"))
    driver.hold("lamp", "on", ms("20m"))
    told = as_json(_status(driver))
    assert told["is_clock_trusted"] is False
    assert told["sun"] == {"sunrise_utc": None, "sunset_utc": None}
    pump, lamp = told["loads"]
    assert (pump["since_utc"], pump["until_utc"]) == (None, None)
    assert (pump["for_s"], pump["left_s"]) == (240.0, 360.0)
    assert pump["sentence"] == (
        "Watering for 6 min more. The clock is not trusted, so it runs on elapsed time."
    )
    assert lamp["held"] == {"order": "on", "ends_utc": None, "left_s": 1200.0}
    assert [(alarm["code"], alarm["is_active"]) for alarm in told["alarms"]] == [
        ("clock not trusted", True)
    ]
    assert status_from_json(told) == _status(driver)


def test_under_the_midnight_sun_there_is_neither_sunrise_nor_sunset() -> None:
    """Their stand-ins are for the plan alone."""
    site = {"latitude": 69.65, "longitude": 18.96, "timezone": "Europe/Oslo"}  # Tromsø
    driver = Driver(plan_of(site=site, pump=load("on")), is_settled=True)
    assert as_json(_status(driver))["sun"] == {"sunrise_utc": None, "sunset_utc": None}


def test_a_reading_that_is_too_old_is_no_value() -> None:
    """At the limit it is still one; a millisecond later it is not, and its age tells why."""
    driver = _garden()
    driver.poll(air=20.0)
    driver.advance(ms("10m"))
    air = _status(driver).sensors[0]
    assert (air.value, air.age_s, air.why_silent) == (20.0, 600.0, None)
    driver.advance(1)
    air = _status(driver).sensors[0]
    assert (air.value, air.age_s) == (None, 600.001)
    assert air.why_silent == "last read 10 min ago, over 10 min (stale_after)"


def test_how_long_a_load_has_been_off_before_anybody_looked_is_not_known() -> None:
    """A controller that has just been given its loads does not make a week of it."""
    driver = Driver(plan_of(lamp=load("06:00 | on", "22:00 | off", kind="lamp")))
    lamp = _status(driver).loads[0]
    assert (lamp.is_on, lamp.since, lamp.for_s) == (False, None, None)


def test_an_alarm_says_what_to_do() -> None:
    """Whether it is acknowledged and active, since when, and one piece of advice."""
    driver = Driver(
        plan_of(
            sensors={"floor": {"measures": "leak"}},
            guards={"leak": "floor"},
            pump=load("15m on, 15m off"),
        )
    )
    driver.sense(floor=1.0)
    driver.acknowledge_all()
    driver.advance(ms("1m"))
    assert as_json(_status(driver))["alarms"] == [
        {
            "code": "leak",
            "subject": "floor",
            "since_utc": rfc3339(MIDNIGHT),
            "is_active": True,
            "is_acknowledged": True,
            "what_to_do": "Switch the pump's supply off before you touch water, find the leak, "
            "dry floor, then acknowledge this alarm.",
        }
    ]


@pytest.mark.parametrize("code", AlarmCode)
def test_there_is_advice_for_every_alarm(code: AlarmCode) -> None:
    """Whole sentences, also where no load or sensor is concerned."""
    for subject in ("pump", ""):
        text = what_to_do(code, subject)
        assert text[0].isupper()
        assert text.endswith(".")
        assert "{" not in text


def test_every_quantity_has_a_unit_or_none() -> None:
    """A new quantity of the plan must be told with its unit."""
    assert set(_UNITS) == set(get_args(Quantity))


@examples(25)
@given(st.data())
def test_whatever_happens_the_status_is_told_and_read_back(data: st.DataObject) -> None:
    """Random gardens in random trouble: JSON that any reader takes, and the same status back."""
    driver = Driver(data.draw(gardens()))
    for length_ms, happening in data.draw(
        st.lists(st.tuples(st.integers(0, 7_200_000), happenings(NAMES[:1])), max_size=6)
    ):
        driver.advance(length_ms)
        befall(driver, happening)
        status = _status(driver)
        text = json.dumps(as_json(status), allow_nan=False)
        assert status_from_json(json.loads(text)) == status


def test_keys_that_a_newer_daemon_adds_are_let_be() -> None:
    """At every depth."""
    status = _status(_garden())
    told = as_json(status)
    for part in (told, told["plan"], told["loads"][0], told["sensors"][0], told["lateness"]):
        part["later"] = {"a": [1]}
    assert status_from_json(told) == status


def _without(path: str) -> tuple[dict[str, Any], str]:
    told = as_json(_status(_garden()))
    part: Any = told
    *folders, key = path.split(".")
    for folder in folders:
        part = part[int(folder) if folder.isdigit() else folder]
    del part[key]
    return told, path


@pytest.mark.parametrize(
    "path",
    ["now_utc", "loads", "plan.revision", "loads.1.sentence", "sensors.0.value", "lateness.p50_ms"],
)
def test_a_key_that_is_missing_is_named(path: str) -> None:
    """With where it was to be."""
    told, path = _without(path)
    with pytest.raises(BadStatusError, match=rf"^status\.{path}: missing, where .* was to be$"):
        status_from_json(told)


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("is_mock", 1, "status.is_mock: 1, where true or false was to be"),
        ("protocol", True, "status.protocol: True, where a whole number was to be"),
        ("up_s", "1", "status.up_s: '1', where a number was to be"),
        ("now_utc", "noon", "status.now_utc: Invalid isoformat string: 'noon'"),
        ("now_utc", "2026-06-01T00:00:00", "status.now_utc: 2026-06-01T00:00:00 has no offset"),
        ("plan", None, "status.plan: None is not an object"),
        ("loads", {}, "status.loads: {}, where a list was to be"),
        ("loads", [1], "status.loads.0: 1 is not an object"),
    ],
)
def test_a_value_of_another_kind_is_named(key: str, value: object, says: str) -> None:
    """With what it is, and what it was to be."""
    told = as_json(_status(_garden())) | {key: value}
    with pytest.raises(BadStatusError) as caught:
        status_from_json(told)
    assert str(caught.value).startswith(says)


@pytest.mark.parametrize("value", [None, [], "status", 1])
def test_what_is_no_object_is_no_status(value: object) -> None:
    """Whatever a daemon of another kind says."""
    with pytest.raises(BadStatusError, match="is not an object"):
        status_from_json(value)
