"""What people ask for, kept in order until the next decision takes it."""

from __future__ import annotations

import asyncio
from collections import deque
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import BusyError
from controller.core.observation import AcknowledgeRequest, HoldRequest, ReleaseRequest
from controller.core.orders import Event

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.core.observation import Request
    from controller.core.orders import Notice, Order

WAITING_MAX = 100

_OF_HOLDS = (Event.HOLD_BEGAN, Event.HOLD_ENDED)
_OF_ALARMS = (Event.ALARM_ACKNOWLEDGED, Event.ALARM_CLEARED)
_OF_STOPS = (Event.STOPPED, Event.RESUMED)


class Outcome(NamedTuple):
    """What the decision that took a request did."""

    orders: tuple[Order, ...]
    notices: tuple[Notice, ...]


class Asked(NamedTuple):
    """A request, whose it is, and where its outcome is awaited."""

    request: Request
    who: str
    outcome: asyncio.Future[Outcome]

    def brings_about(self, notice: Notice) -> bool:
        """Whether a notice of the decision that took it is its doing; others would have come
        without it."""
        request, event = self.request, notice.event
        if event is Event.REQUEST_REFUSED:
            return True
        if isinstance(request, HoldRequest | ReleaseRequest):
            return event in _OF_HOLDS and notice.subject == request.load
        if isinstance(request, AcknowledgeRequest):
            return event in _OF_ALARMS and notice.subject == request.subject
        return event in _OF_STOPS


class Inbox:
    """A bounded queue. Each decision takes one, so that its outcome is known to be its own."""

    def __init__(self, wake_up: Callable[[], None]) -> None:
        self._waiting: deque[Asked] = deque()
        self._wake_up = wake_up

    def __len__(self) -> int:
        return len(self._waiting)

    def ask(self, request: Request, *, who: str) -> asyncio.Future[Outcome]:
        """Puts a request behind those that wait.

        Raises:
            BusyError: as many wait as may.
        """
        if len(self._waiting) >= WAITING_MAX:
            raise BusyError(
                f"{WAITING_MAX} requests wait for the controller already: try again in a moment"
            )
        outcome: asyncio.Future[Outcome] = asyncio.get_running_loop().create_future()
        self._waiting.append(Asked(request, who, outcome))
        self._wake_up()
        return outcome

    def take(self) -> Asked | None:
        """The one that has waited for longest."""
        return self._waiting.popleft() if self._waiting else None
