"""uvicorn's HTTP/1.1, with limits of time that it lacks: on heads, and on readers of answers.

What a body may take is `security.sizes`' business.
"""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Any

from uvicorn.protocols.http.h11_impl import H11Protocol

from web.security.tries import visitor_of

if TYPE_CHECKING:
    from web.server.connections import House
    from web.settings import Limits


class Protocol(H11Protocol):
    """One connection. Subclassed by `protocol_for`, which says in which house."""

    house: House
    limits: Limits

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.visitor = ""
        self.quiet_since_s: float | None = None
        self._head: asyncio.TimerHandle | None = None
        self._unread: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """A browser has come: its first request's head must be whole soon."""
        super().connection_made(transport)
        self.visitor = visitor_of(self.client[0] if self.client else "")
        self._expect_head()
        self.house.enter(self)

    def connection_lost(self, exc: Exception | None) -> None:
        """It has gone."""
        self.house.leave(self)
        for timer in (self._head, self._unread):
            if timer is not None:
                timer.cancel()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Something came; a head in pieces has no more time for it than a whole one."""
        if self.transport.is_closing():
            return
        is_between = self._is_between_requests
        super().data_received(data)
        if not self._is_between_requests:
            self._stop_expecting()
        elif is_between and self._head is None:  # the first piece of the next request's head
            self._expect_head()

    def on_response_complete(self) -> None:
        """An answer is sent; keep-alive has a limit of its own until the next head begins."""
        self.quiet_since_s = self.loop.time()
        super().on_response_complete()
        if not self._is_between_requests:
            self.quiet_since_s = None

    def pause_writing(self) -> None:
        """The browser does not read as fast as it is told."""
        super().pause_writing()
        if self._unread is None:
            self._unread = self.loop.call_later(self.limits.unread_s, self.cut_off)

    def resume_writing(self) -> None:
        """It has read."""
        super().resume_writing()
        if self._unread is not None:
            self._unread.cancel()
            self._unread = None

    def cut_off(self) -> None:
        """Closes the connection at once, whatever waits to be sent."""
        if self.transport is not None:
            self.transport.abort()

    @property
    def _is_between_requests(self) -> bool:
        return self.cycle is None or self.cycle.response_complete

    def _expect_head(self) -> None:
        self.quiet_since_s = self.loop.time()
        self._head = self.loop.call_later(self.limits.head_s, self.cut_off)

    def _stop_expecting(self) -> None:
        self.quiet_since_s = None
        if self._head is not None:
            self._head.cancel()
            self._head = None


def protocol_for(house: House, limits: Limits) -> type[Protocol]:
    """The protocol of all connections of one house."""
    return type("PageProtocol", (Protocol,), {"house": house, "limits": limits})
