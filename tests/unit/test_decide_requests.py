"""Requests: what people may ask for, and what is refused with the reason."""

from __future__ import annotations

import pytest

from controller.core.cycle import STEADY_ON, parse_cycle
from controller.core.errors import BadRequestError
from controller.core.observation import (
    AcknowledgeRequest,
    HoldRequest,
    ReleaseRequest,
    Request,
    ResumeRequest,
    StopRequest,
)
from controller.core.orders import AlarmCode, Event
from controller.core.requests import refuse_unfit
from controller.core.schedule import make_schedule
from controller.core.units import DURATION_MS_MAX
from tests.worlds import Driver, load, plan_of, spans

PLAN = plan_of(
    pump=load(
        "off",
        variants=[
            {"name": "deluge", "by_hand": True, "spans": spans("on")},
            {"name": "hot", "sensor": "air", "above": 30, "until": 27, "spans": spans("on")},
        ],
    ),
    fan=load("off", kind="fan"),
)
SCHEDULE = make_schedule(PLAN)

UNFIT: list[tuple[Request, str]] = [
    (HoldRequest("pomp", STEADY_ON, 1), "there is no load 'pomp'; the plan has pump, fan"),
    (ReleaseRequest("pomp"), "there is no load 'pomp'; the plan has pump, fan"),
    (HoldRequest("pump", STEADY_ON, 0),
     "a hold lasts from 1 ms to a week (168h): say for how long"),
    (HoldRequest("pump", STEADY_ON, -5),
     "a hold lasts from 1 ms to a week (168h): say for how long"),
    (HoldRequest("pump", STEADY_ON, DURATION_MS_MAX + 1),
     "a hold lasts from 1 ms to a week (168h): say for how long"),
    (HoldRequest("pump", "flood", 1), "pump has no variant 'flood'; it has deluge, hot"),
    (HoldRequest("fan", "deluge", 1), "fan has no variant 'deluge'; it has no variants"),
    (HoldRequest("pump", parse_cycle("1s on, 0.001s off"), 1),
     "pump cannot be held at '1s on, 0.001s off': step 2, 0.001s off, is shorter than 0.1s: no "
     "relay is made to switch as fast as that"),
    (HoldRequest("x" * 500, STEADY_ON, 1),
     "there is no load '" + "x" * 59 + "…; the plan has pump, fan"),
]  # fmt: skip


@pytest.mark.parametrize(("request_", "message"), UNFIT)
def test_what_does_not_fit_is_refused_with_what_there_is(request_: Request, message: str) -> None:
    """The refusal names what was asked for and what the plan has."""
    with pytest.raises(BadRequestError) as refused:
        refuse_unfit(SCHEDULE, request_)
    assert str(refused.value) == message


@pytest.mark.parametrize(("request_", "message"), UNFIT)
def test_a_refused_request_is_noted_and_changes_nothing(request_: Request, message: str) -> None:
    """Decide never fails on a request: it tells the journal and goes on."""
    driver = Driver(PLAN)
    before = driver.memory
    driver.step(request_)
    assert driver.noted(Event.REQUEST_REFUSED) == [f"00:00:00 request refused ({message})"]
    assert before is not None
    assert driver.memory is not None
    assert driver.memory.loads == before.loads


@pytest.mark.parametrize(
    "request_",
    [
        HoldRequest("pump", STEADY_ON, 1),
        HoldRequest("pump", STEADY_ON, DURATION_MS_MAX),
        HoldRequest("pump", "deluge", 1),
        HoldRequest("pump", "hot", 1),  # a sensor's variant may be held as well
        ReleaseRequest("fan"),
        StopRequest(),
        ResumeRequest(),
        AcknowledgeRequest(AlarmCode.LEAK, "anything"),
    ],
)
def test_what_fits_passes(request_: Request) -> None:
    """Everything that the plan can carry out is let through."""
    refuse_unfit(SCHEDULE, request_)


def test_an_alarm_that_does_not_stand_cannot_be_acknowledged() -> None:
    """The refusal says which alarm there is not."""
    driver = Driver(PLAN)
    driver.acknowledge(AlarmCode.NO_FLOW, "pump")
    driver.acknowledge(AlarmCode.CLOCK_UNTRUSTED)
    assert driver.noted(Event.REQUEST_REFUSED) == [
        "00:00:00 request refused pump (there is no alarm no flow pump)",
        "00:00:00 request refused (there is no alarm clock not trusted)",
    ]


def test_requests_are_carried_out_in_their_order() -> None:
    """Of several at once the last word counts."""
    driver = Driver(PLAN)
    driver.step(
        HoldRequest("pump", STEADY_ON, 60_000),
        StopRequest(),
        ResumeRequest(),
        ReleaseRequest("pump"),
        HoldRequest("fan", STEADY_ON, 60_000),
    )
    assert driver.states == {"pump": False, "fan": True}


def test_stopping_twice_and_resuming_twice_is_told_once() -> None:
    """What is so already is no event."""
    driver = Driver(PLAN)
    driver.stop()
    driver.stop()
    driver.resume()
    driver.resume()
    assert driver.noted(Event.STOPPED, Event.RESUMED) == [
        "00:00:00 everything stopped",
        "00:00:00 stop released",
    ]
