"""Alarms: raised by what is, cleared by what is no more, kept where a person must look."""

from __future__ import annotations

import pytest

from controller.core.alarms import ALARMS_MAX, AlarmBoard
from controller.core.memory import Alarm
from controller.core.orders import AlarmCode, Event, Notice
from controller.core.plan import LOADS_MAX, Plan

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
