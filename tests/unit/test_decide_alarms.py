"""Alarms: raised by what is, cleared by what is no more, kept where a person must look."""

from __future__ import annotations

import pytest

from controller.core.alarms import ALARMS_MAX, AlarmBoard
from controller.core.intake import brings_news
from controller.core.memory import Alarm
from controller.core.orders import AlarmCode, Event, Notice
from controller.core.plan import LOADS_MAX, Plan
from tests.worlds import Driver, load, plan_of, spans

LATCHING = [code for code in AlarmCode if code.latches]
PASSING = [code for code in AlarmCode if not code.latches]


def test_the_alarms_that_a_person_must_look_at_are_these() -> None:
    """Water, its want, lost waterings and relays wait for a person; what a sensor, a clock, a
    disk or a plan brings about goes with its cause."""
    assert LATCHING == [
        AlarmCode.LEAK,
        AlarmCode.LEVEL_LOW,
        AlarmCode.NO_FLOW,
        AlarmCode.OUTAGE,
        AlarmCode.WATERING_MISSED,
        AlarmCode.KEPT_WAITING,
        AlarmCode.RELAY,
    ]


@pytest.mark.parametrize("code", AlarmCode, ids=lambda code: code.name)
def test_an_alarm_is_raised_once(code: AlarmCode) -> None:
    """Told of the same trouble twice, a board notes it once and keeps its beginning."""
    board = AlarmBoard((), now=1_000)
    board.tell(code, "it", is_active=True)
    later = AlarmBoard(board.as_tuple(), now=2_000)
    later.tell(code, "it", is_active=True)
    assert board.notices == [Notice(Event.ALARM_RAISED, "it", code.value)]
    assert later.notices == []
    assert later.as_tuple() == (Alarm(code, "it", 1_000, is_active=True),)


@pytest.mark.parametrize("code", PASSING, ids=lambda code: code.name)
def test_a_passing_alarm_goes_with_its_cause(code: AlarmCode) -> None:
    """Nobody needs to look when the cause is over."""
    board = AlarmBoard((Alarm(code, "it", 0, is_active=True),), now=5)
    board.tell(code, "it", is_active=False)
    assert board.as_tuple() == ()
    assert board.notices == [Notice(Event.ALARM_CLEARED, "it", code.value)]


@pytest.mark.parametrize("code", LATCHING, ids=lambda code: code.name)
def test_a_latching_alarm_outlasts_its_cause(code: AlarmCode) -> None:
    """It stands, no longer active, until a person acknowledges it."""
    board = AlarmBoard((Alarm(code, "it", 0, is_active=True),), now=5)
    board.tell(code, "it", is_active=False)
    assert board.as_tuple() == (Alarm(code, "it", 0, is_active=False),)
    assert board.notices == []
    assert board.acknowledge(code, "it")
    assert board.as_tuple() == ()
    assert board.notices == [Notice(Event.ALARM_CLEARED, "it", code.value)]


@pytest.mark.parametrize("code", AlarmCode, ids=lambda code: code.name)
def test_an_acknowledged_alarm_stands_until_its_cause_is_over(code: AlarmCode) -> None:
    """A person's look ends no leak; the alarm goes when the leak does."""
    board = AlarmBoard((Alarm(code, "it", 0, is_active=True),), now=5)
    assert board.acknowledge(code, "it")
    assert board.as_tuple() == (Alarm(code, "it", 0, is_active=True, is_acknowledged=True),)
    board.tell(code, "it", is_active=False)
    assert board.as_tuple() == ()
    assert [notice.event for notice in board.notices] == [
        Event.ALARM_ACKNOWLEDGED,
        Event.ALARM_CLEARED,
    ]


def test_a_trouble_that_comes_again_must_be_looked_at_again() -> None:
    """An alarm over but not acknowledged that becomes active again is noted again."""
    board = AlarmBoard((Alarm(AlarmCode.LEAK, "floor", 0, is_active=False),), now=5)
    board.tell(AlarmCode.LEAK, "floor", is_active=True)
    assert board.as_tuple() == (Alarm(AlarmCode.LEAK, "floor", 0, is_active=True),)
    assert [notice.event for notice in board.notices] == [Event.ALARM_RAISED]


def test_what_happens_and_is_over_stands_all_the_same() -> None:
    """A missed watering is over when it is known, and waits for a person."""
    board = AlarmBoard((), now=5)
    board.happened(AlarmCode.WATERING_MISSED, "pump", "watts at once")
    assert board.as_tuple() == (Alarm(AlarmCode.WATERING_MISSED, "pump", 5, is_active=False),)
    assert board.notices == [Notice(Event.ALARM_RAISED, "pump", "watering missed: watts at once")]
    assert board.acknowledge(AlarmCode.WATERING_MISSED, "pump")
    assert board.as_tuple() == ()


def test_alarms_of_one_kind_stand_side_by_side() -> None:
    """Each load and sensor has its own."""
    board = AlarmBoard((), now=5)
    board.happened(AlarmCode.NO_FLOW, "a")
    board.happened(AlarmCode.NO_FLOW, "b")
    assert board.acknowledge(AlarmCode.NO_FLOW, "a")
    assert [alarm.subject for alarm in board.as_tuple()] == ["b"]


def test_what_nobody_raised_cannot_be_acknowledged() -> None:
    """The board says so, and stays as it is."""
    board = AlarmBoard((), now=5)
    assert not board.acknowledge(AlarmCode.LEAK, "floor")
    assert (board.as_tuple(), board.notices) == ((), [])


def test_every_alarm_of_the_largest_plan_has_room() -> None:
    """No code for any load or sensor is dropped for want of room: a leak's must latch."""
    sensors = next(
        limit.max_length
        for limit in Plan.model_fields["sensors"].metadata
        if hasattr(limit, "max_length")
    )
    assert len(AlarmCode) * (LOADS_MAX + sensors + 1) <= ALARMS_MAX
    board = AlarmBoard((), now=5)
    for code in AlarmCode:
        for number in range(LOADS_MAX + sensors):
            board.tell(code, f"s{number}", is_active=True)
    board.tell(AlarmCode.LEAK, "floor", is_active=True)
    assert board.as_tuple()[-1].subject == "floor"


def test_a_flood_of_subjects_does_not_grow_a_board_without_end() -> None:
    """Beyond its room a board takes no new alarm, and keeps those that it has."""
    board = AlarmBoard((), now=5)
    for number in range(ALARMS_MAX + 10):
        board.tell(AlarmCode.NO_FLOW, str(number), is_active=True)
    assert len(board.as_tuple()) == ALARMS_MAX
    board.happened(AlarmCode.NO_FLOW, "0")
    assert len(board.as_tuple()) == ALARMS_MAX


# What is wrong with the controller itself

PUMP = plan_of(pump=load("15m on, 15m off"))


def test_troubles_of_the_controller_are_alarms_while_they_last() -> None:
    """Raised once, in an order of their own, and cleared when they are told no more; a relay
    that did not obey waits for a person."""
    driver = Driver(PUMP)
    driver.trouble((AlarmCode.RELAY, "pump"), (AlarmCode.PLAN_REFUSED, ""), (AlarmCode.JOURNAL, ""))
    driver.advance("1h")
    driver.trouble()
    assert driver.noted() == [
        "00:00:00 alarm (journal not written)",
        "00:00:00 alarm (plan on disk refused)",
        "00:00:00 alarm pump (relay does not obey)",
        "01:00:00 alarm over (journal not written)",
        "01:00:00 alarm over (plan on disk refused)",
    ]
    assert driver.alarms() == ["relay does not obey pump, over"]


def test_the_order_of_troubles_is_not_that_of_a_set() -> None:
    """However many relays fail at once, their alarms come in the order of their names."""
    names = [f"p{n:02}" for n in range(30)]
    driver = Driver(plan_of(**{name: load("off") for name in names}))
    driver.trouble(*((AlarmCode.RELAY, name) for name in reversed(names)))
    assert driver.alarms() == [f"relay does not obey {name}" for name in names]


def test_a_trouble_that_lasts_can_be_acknowledged() -> None:
    """It stands, looked at, until it is over."""
    driver = Driver(PUMP)
    driver.trouble((AlarmCode.JOURNAL, ""))
    driver.acknowledge(AlarmCode.JOURNAL)
    assert driver.alarms() == ["journal not written, acknowledged"]
    driver.trouble()
    assert driver.alarms() == []


def test_troubles_are_news_only_when_they_change() -> None:
    """The same ones told again, as another object, have nothing weighed."""
    driver = Driver(PUMP)
    driver.trouble((AlarmCode.JOURNAL, ""), (AlarmCode.RELAY, "pump"))
    assert driver.memory is not None
    assert not brings_news(
        driver.memory, driver.seen()._replace(troubles=frozenset(driver.troubles))
    )
    assert brings_news(driver.memory, driver.seen()._replace(troubles=frozenset()))


# Waiting for too long


def test_a_load_that_never_gets_its_watts_is_told_after_an_hour() -> None:
    """A fan that is to blow all day is no watering that could be missed: it waits, and that is
    told; when it gets its watts the alarm is over, and stays for a person."""
    driver = Driver(
        plan_of(
            guards={"watts_at_once": 100},
            lamp=load("00:00 | on", "03:00 | off", kind="lamp", watts=80),
            fan=load("on", kind="fan", watts=40),
        )
    )
    driver.advance("4h")
    assert driver.told("fan") == ["03:00:00 fan on: plan"]
    assert driver.noted() == ["01:00:00 alarm fan (kept waiting: watts at once)"]
    assert driver.alarms() == ["kept waiting fan, over"]
    driver.acknowledge(AlarmCode.KEPT_WAITING, "fan")
    assert driver.alarms() == []


def test_an_hour_of_waiting_is_one_hour_without_a_break() -> None:
    """Loads that take turns within the hour raise no alarm."""
    driver = Driver(
        plan_of(
            guards={"watts_at_once": 100},
            a=load("59m on, 1m off", watts=80),
            b=load("on", watts=40, longest_on="59m"),
        )
    )
    driver.advance("12h")
    assert "kept waiting b, over" not in driver.alarms()
    assert driver.noted() == []


def test_a_person_s_order_that_waits_is_told_as_well() -> None:
    """Held on for hours, without watts."""
    driver = Driver(
        plan_of(
            guards={"watts_at_once": 100},
            lamp=load("on", kind="lamp", watts=80),
            pump=load("off", watts=40),
        )
    )
    driver.hold("pump", "on", "3h")
    driver.advance("4h")
    assert driver.noted(Event.ALARM_RAISED) == [
        "01:00:00 alarm pump (kept waiting: watts at once)",
        "03:00:00 alarm pump (watering missed: watts at once)",
    ]
    assert driver.alarms() == ["kept waiting pump, over", "watering missed pump, over"]


def test_who_is_kept_waiting_through_an_outage_waits_anew() -> None:
    """With the power everybody's turn begins again."""
    driver = Driver(
        plan_of(
            guards={"watts_at_once": 100},
            lamp=load("on", kind="lamp", watts=80),
            fan=load("on", kind="fan", watts=40),
        )
    )
    driver.advance("2h")
    driver.lose_power("10m")
    assert driver.alarms() == ["kept waiting fan, over"]
    driver.advance("1h")
    assert driver.alarms() == ["kept waiting fan"]


# A hole in the plan


def test_a_load_without_a_span_is_told_while_it_has_none() -> None:
    """A pump that waters by a lamp which never comes on has no span; a variant that gives it
    one ends the alarm, and the alarm comes back with the hole."""
    hot = {"name": "hot", "sensor": "air", "above": 30, "until": 27,
           "spans": spans("5m on, 5m off")}  # fmt: skip
    driver = Driver(
        plan_of(
            sensors={"air": {"measures": "air_temperature"}},
            lamp=load("off", kind="lamp"),
            pump=load("lamp on | 5m on, 10m off", variants=[hot]),
        ),
        begins=False,
    )
    driver.sense(air=20)
    driver.advance("1h")
    driver.sense(air=31)
    driver.advance("57m")
    driver.sense(air=20)
    assert driver.noted(Event.ALARM_RAISED, Event.ALARM_CLEARED) == [
        "00:00:00 alarm pump (plan has a hole)",
        "01:00:00 alarm over pump (plan has a hole)",
        "01:57:00 alarm pump (plan has a hole)",
    ]


# Sensors that have not spoken yet


def test_a_sensor_has_as_long_for_its_first_reading_as_for_every_other() -> None:
    """At its start a controller has read nothing, which is no trouble yet; after `stale_after`
    it is, and a reading ends it."""
    driver = Driver(
        plan_of(
            sensors={"float": {"measures": "level", "stale_after": "10m"}},
            pump=load("on", level="float"),
        )
    )
    driver.advance("20m")
    driver.sense(float=1)
    assert driver.noted() == [
        "00:10:00.001 alarm float (sensor silent)",
        "00:20:00 alarm over float (sensor silent)",
    ]
    assert driver.told() == ["00:00:00 pump on: plan"]  # what is not known forbids nothing


@pytest.mark.parametrize("how", ["lose_power", "crash"])
def test_a_board_that_starts_again_gives_its_sensors_time(how: str) -> None:
    """Every start reads them anew; one that was silent before stays told."""
    driver = Driver(
        plan_of(
            sensors={
                "float": {"measures": "level", "stale_after": "10m"},
                "air": {"measures": "air_temperature", "stale_after": "10m"},
            },
            pump=load("on", level="float", variants=[
                {"name": "hot", "sensor": "air", "above": 30, "until": 27, "spans": spans("on")},
            ]),
        )
    )  # fmt: skip
    driver.advance("9m")
    driver.poll(float=1)
    driver.advance("2m")
    assert driver.alarms() == ["sensor silent air"]
    getattr(driver, how)("1m")
    assert driver.alarms() == ["sensor silent air"]
    driver.advance("9m")
    driver.poll(float=1)
    driver.advance("2m")
    assert driver.alarms() == ["sensor silent air"]
