"""The bounded queue of what people ask for."""

from __future__ import annotations

import pytest

from controller.core.cycle import parse_cycle
from controller.core.errors import BusyError
from controller.core.observation import (
    AcknowledgeRequest,
    HoldRequest,
    ReleaseRequest,
    Request,
    ResumeRequest,
    StopRequest,
)
from controller.core.orders import AlarmCode, Event, Notice
from controller.daemon.inbox import WAITING_MAX, Asked, Inbox
from tests.stage.virtual_loop import run_virtually


def test_requests_leave_in_the_order_in_which_they_came() -> None:
    """And each one wakes the loop."""

    async def scene() -> tuple[list[str], int, bool]:
        woken: list[None] = []
        inbox = Inbox(lambda: woken.append(None))
        for who in ("anna", "ben", "cleo"):
            inbox.ask(StopRequest(), who=who)
        taken = [inbox.take() for _ in range(4)]
        return [one.who for one in taken if one is not None], len(woken), taken[-1] is None

    assert run_virtually(scene()) == (["anna", "ben", "cleo"], 3, True)


def test_beyond_the_bound_nobody_waits() -> None:
    """Who is turned away is told; who left makes room."""

    async def scene() -> int:
        inbox = Inbox(lambda: None)
        for _ in range(WAITING_MAX):
            inbox.ask(StopRequest(), who="anna")
        with pytest.raises(BusyError, match="try again in a moment"):
            inbox.ask(StopRequest(), who="ben")
        inbox.take()
        inbox.ask(StopRequest(), who="ben")
        return len(inbox)

    assert run_virtually(scene()) == WAITING_MAX


HOLD = HoldRequest("pump", parse_cycle("on"), 1)


@pytest.mark.parametrize(
    ("request_", "notice", "is_its_doing"),
    [
        pytest.param(HOLD, Notice(Event.HOLD_BEGAN, "pump"), True, id="a hold"),
        pytest.param(HOLD, Notice(Event.HOLD_ENDED, "lamp"), False, id="another load's"),
        pytest.param(HOLD, Notice(Event.ALARM_RAISED, "pump"), False, id="an alarm of the load"),
        pytest.param(ReleaseRequest("pump"), Notice(Event.HOLD_ENDED, "pump"), True, id="released"),
        pytest.param(
            AcknowledgeRequest(AlarmCode.LEAK, "floor"),
            Notice(Event.ALARM_CLEARED, "floor"),
            True,
            id="an alarm whose cause was over",
        ),
        pytest.param(
            AcknowledgeRequest(AlarmCode.LEAK, "floor"),
            Notice(Event.ALARM_CLEARED, "air"),
            False,
            id="one that went by itself",
        ),
        pytest.param(StopRequest(), Notice(Event.STOPPED), True, id="a stop"),
        pytest.param(ResumeRequest(), Notice(Event.RESUMED), True, id="an end of it"),
        pytest.param(StopRequest(), Notice(Event.VARIANT_LEFT, "pump"), False, id="a variant"),
        pytest.param(ResumeRequest(), Notice(Event.REQUEST_REFUSED), True, id="a refusal"),
    ],
)
def test_what_a_request_brings_about_is_told_from_what_came_with_it(
    request_: Request, notice: Notice, is_its_doing: bool
) -> None:
    """One decision may do more than was asked for."""

    async def scene() -> Asked | None:
        inbox = Inbox(lambda: None)
        inbox.ask(request_, who="anna")
        return inbox.take()

    asked = run_virtually(scene())
    assert asked is not None
    assert asked.brings_about(notice) is is_its_doing
