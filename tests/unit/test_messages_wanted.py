"""What people ask for, against a plan: loads, orders, alarms, and what they likely meant."""

from __future__ import annotations

import pytest

from controller.core.cycle import parse_cycle
from controller.core.errors import BadRequestError
from controller.core.memory import Alarm
from controller.core.messages.alarm_choice import alarm_name, alarms_meant
from controller.core.messages.methods import (
    AcknowledgeParams,
    HoldParams,
    ReleaseParams,
    WhyParams,
)
from controller.core.messages.wanted import requests_of, wanted_status
from controller.core.observation import AcknowledgeRequest, HoldRequest, ReleaseRequest
from controller.core.orders import AlarmCode
from controller.core.schedule import make_schedule
from controller.core.status.record import Lateness, PlanStatus, Status
from controller.core.status.taking import Facts, status_of
from tests.worlds import Driver, load, plan_of, spans

PLAN = plan_of(
    sensors={
        "floor": {"measures": "leak", "stale_after": "20m"},
        "air": {"measures": "air_temperature", "stale_after": "20m"},
        "meter": {"measures": "flow", "stale_after": "20m"},
        "button": {"measures": "stop", "stale_after": "20m"},
    },
    guards={"leak": "floor", "stop_switch": "button"},
    pump=load(
        "15m on, 15m off",
        flow="meter",
        variants=[
            {"name": "hot", "sensor": "air", "above": 30, "until": 27, "spans": spans("on")},
            {"name": "deluge", "by_hand": True, "spans": spans("on")},
        ],
    ),
    lamp=load("06:00 | on", "22:00 | off", kind="lamp"),
)
SCHEDULE = make_schedule(PLAN)
STANDING = (
    Alarm(AlarmCode.LEAK, "floor", 1, is_active=True),
    Alarm(AlarmCode.NO_FLOW, "pump", 2, is_active=False),
    Alarm(AlarmCode.OUTAGE, "pump", 3, is_active=False),
    Alarm(AlarmCode.CLOCK_UNTRUSTED, "", 4, is_active=True),
)
PAIRS = [(alarm.code.value, alarm.subject) for alarm in STANDING]
LISTED = "leak (floor), no flow (pump), roots left dry (pump), clock not trusted"


@pytest.mark.parametrize(
    ("order", "asked"),
    [
        ("on", parse_cycle("on")),
        ("off", parse_cycle("off")),
        ("5m on, 10m off", parse_cycle("5m on, 10m off")),
        ("hot", "hot"),  # a sensor's variant can be asked for as well
        ("deluge", "deluge"),
    ],
)
def test_a_hold_is_a_cycle_or_a_variant(order: str, asked: object) -> None:
    """The two readings of an order cannot be mixed up."""
    params = HoldParams("pump", order, 60_000)
    assert requests_of(params, SCHEDULE, ()) == (HoldRequest("pump", asked, 60_000),)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("load_name", "order", "says"),
    [
        ("pmp", "on", "there is no load 'pmp' (did you mean pump?); the plan has pump, lamp"),
        ("x", "on", "there is no load 'x'; the plan has pump, lamp"),
        ("pump", "ON",
         "pump cannot be held at 'ON': write on, off, a cycle like 15m on, 15m off or one of its "
         "variants (hot, deluge) (did you mean on?)"),
        ("pump", "hott",
         "pump cannot be held at 'hott': write on, off, a cycle like 15m on, 15m off or one of "
         "its variants (hot, deluge) (did you mean hot?)"),
        ("lamp", "hot",
         "lamp cannot be held at 'hot': write on, off, a cycle like 15m on, 15m off"),
        ("pump", "15/15",
         "pump cannot be held at '15/15': write on, off, a cycle like 15m on, 15m off or one of "
         "its variants (hot, deluge) (did you mean 15m on, 15m off?)"),
        ("pump", "15m on, 15 off",
         "pump cannot be held at '15m on, 15 off': step 2: '15' is not a duration: write hours, "
         "minutes and seconds like 1h30m, 15m or 90s (did you mean 15m or 15s?)"),
    ],
)  # fmt: skip
def test_a_hold_that_cannot_be_is_refused_with_what_could(
    load_name: str, order: str, says: str
) -> None:
    """The plan's own loads and variants are named, and the likely one."""
    with pytest.raises(BadRequestError) as caught:
        requests_of(HoldParams(load_name, order, 60_000), SCHEDULE, ())
    assert str(caught.value) == says


def test_a_release_names_a_load() -> None:
    """One that the plan has."""
    assert requests_of(ReleaseParams("lamp"), SCHEDULE, ()) == (ReleaseRequest("lamp"),)
    with pytest.raises(BadRequestError, match="did you mean lamp"):
        requests_of(ReleaseParams("lmp"), SCHEDULE, ())


@pytest.mark.parametrize(
    ("alarm", "subject", "places"),
    [
        (None, None, [0, 1, 2, 3]),  # nothing said: all of them
        ("leak", None, [0]),
        ("Leak", None, [0]),
        ("floor", None, [0]),  # what it is about
        ("no flow", None, [1]),
        ("no-flow", None, [1]),
        ("NO_FLOW", None, [1]),
        ("noflow pump", None, None),
        ("no flow pump", None, [1]),
        ("no flow (pump)", None, [1]),  # as the status writes it
        ("pump", None, [1, 2]),
        (None, "pump", [1, 2]),
        ("roots left dry", "Pump", [2]),
        ("clock not trusted", None, [3]),
        ("leak", "pump", None),
        (None, "lamp", None),
        ("lek", None, None),
        ("", None, None),
    ],
)
def test_alarms_are_found_however_they_are_written(
    alarm: str | None, subject: str | None, places: list[int] | None
) -> None:
    """By what they say, what they are about, or both."""
    if places is None:
        with pytest.raises(BadRequestError, match="there is no alarm"):
            alarms_meant(alarm, subject, PAIRS)
    else:
        assert alarms_meant(alarm, subject, PAIRS) == [PAIRS[place] for place in places]
        requests = requests_of(AcknowledgeParams(alarm, subject), SCHEDULE, STANDING)
        assert requests == tuple(
            AcknowledgeRequest(STANDING[place].code, STANDING[place].subject) for place in places
        )


@pytest.mark.parametrize(
    ("alarm", "subject", "says"),
    [
        ("lek", None, f"there is no alarm 'lek' (did you mean leak?); there are: {LISTED}"),
        ("mains", None, f"there is no alarm 'mains'; there are: {LISTED}"),
        (None, "flor",
         f"there is no alarm about 'flor' (did you mean floor?); there are: {LISTED}"),
    ],
)  # fmt: skip
def test_an_alarm_that_is_not_there_is_refused_with_those_that_are(
    alarm: str | None, subject: str | None, says: str
) -> None:
    """And with the likely one."""
    with pytest.raises(BadRequestError) as caught:
        alarms_meant(alarm, subject, PAIRS)
    assert str(caught.value) == says


def test_without_alarms_there_is_nothing_to_acknowledge() -> None:
    """And that is said, whatever was asked."""
    for alarm in (None, "leak"):
        with pytest.raises(BadRequestError, match=r"^there is no alarm to acknowledge$"):
            alarms_meant(alarm, None, [])


def test_a_long_list_of_alarms_is_cut() -> None:
    """An answer stays readable, and short."""
    many = [("sensor silent", f"s{number}") for number in range(100)]
    with pytest.raises(BadRequestError) as caught:
        alarms_meant("nothing like it", None, many)
    assert str(caught.value).endswith("sensor silent (s19) and 80 more")
    assert alarm_name("clock not trusted", "") == "clock not trusted"


def _status() -> Status:
    driver = Driver(SCHEDULE)
    driver.sense(floor=1.0, air=20.0, meter=0.0, button=0.0)
    plan = PlanStatus("plan.toml", 1, None, None)
    facts = Facts("0.1.0", 0, False, False, 1.0, plan, Lateness(0, None, None, None))
    assert driver.memory is not None
    return status_of(SCHEDULE, driver.memory, now=driver.true_now, tick=driver.tick, facts=facts)


def test_why_tells_of_one_load_and_what_concerns_it() -> None:
    """Its sensors and the stop switch, its alarms; not those of other loads."""
    status = _status()
    pump = wanted_status(WhyParams("pump"), SCHEDULE, status)
    assert [one.name for one in pump.loads] == ["pump"]
    assert {one.name for one in pump.sensors} == {"floor", "air", "meter", "button"}
    assert [(one.code, one.subject) for one in pump.alarms] == [("leak", "floor")]
    lamp = wanted_status(WhyParams("lamp"), SCHEDULE, status)
    assert [one.name for one in lamp.loads] == ["lamp"]
    assert ({one.name for one in lamp.sensors}, lamp.alarms) == ({"button"}, ())
    assert wanted_status(WhyParams(None), SCHEDULE, status) == status
    with pytest.raises(BadRequestError, match="did you mean lamp"):
        wanted_status(WhyParams("lamb"), SCHEDULE, status)
