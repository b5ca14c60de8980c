"""One client's connection: bytes become lines, lines go out, and neither piles up."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, NamedTuple, Protocol

from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.messages.rpc import (
    MESSAGE_BYTES_MAX,
    Refusal,
    refusal_line,
    told_line,
    too_big,
)
from controller.shell.control_socket.limits import TokenBucket

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.shell.control_socket.limits import Limits
    from controller.shell.control_socket.subscription import Subscription

# What is taken from the kernel at once. All clients are read in one turn of the loop, so the
# least that still takes a plan in a few turns.
_READ_BYTES = 16 * 1024


class Caller(NamedTuple):
    """Who is at the other end, as the kernel says (SO_PEERCRED, unix(7))."""

    uid: int
    gid: int
    pid: int


class Host(Protocol):
    """What a connection tells its server."""

    def consider(self, client: Connection) -> None:
        """Something has changed that may let the client's next request be taken."""

    def weigh(self) -> None:
        """A client's buffers have grown."""

    def forget(self, client: Connection) -> None:
        """The client is gone."""


class Connection(asyncio.BufferedProtocol):
    """Reads until it has a whole line, and no further until that line is taken."""

    def __init__(self, host: Host, caller: Caller, limits: Limits) -> None:
        self.caller = caller
        self.in_hand = 0  # requests that have no answer yet
        self.is_queued = False
        self.is_writing_paused = False
        self.subscription: Subscription | None = None
        self._host = host
        self._limits = limits
        self._loop = asyncio.get_running_loop()
        self.lost = self._loop.create_future()
        self.bucket = TokenBucket(limits.requests_of_one_client, now_s=self._loop.time())
        self._transport: asyncio.Transport | None = None
        self._scratch = bytearray(_READ_BYTES)
        self._received = bytearray()
        self._searched = 0
        self._line_end = -1
        self._has_ended = False  # the client sends nothing more, and may still read
        self._timers: dict[str, asyncio.TimerHandle] = {}

    # What the server asks

    @property
    def has_line(self) -> bool:
        """Whether a whole line waits to be taken."""
        return self._line_end >= 0

    @property
    def is_closing(self) -> bool:
        """Whether nothing more will come of it."""
        return self._transport is None or self._transport.is_closing()

    @property
    def received_bytes(self) -> int:
        """How much waits here to become a line."""
        return len(self._received)

    @property
    def unread_bytes(self) -> int:
        """How much the client has not read of what it was sent."""
        return 0 if self._transport is None else self._transport.get_write_buffer_size()

    def take_line(self) -> bytes:
        """The line that waits, without its end; `go_on` comes when it has been dealt with."""
        line = bytes(self._received[: self._line_end])
        del self._received[: self._line_end + 1]
        self._searched, self._line_end = 0, -1
        return line

    def go_on(self) -> None:
        """Looks for the next line in what has come, and reads on where there is none."""
        self._rest()
        if not self.is_closing:
            self._look_for_line()

    def send(self, line: bytes) -> None:
        """Sends a line; to a client that is gone or going nothing is sent."""
        if self._transport is None or self._transport.is_closing():
            return
        self._transport.write(line)
        if self.unread_bytes > self._limits.unread_bytes_of_one_client_max:
            self.cut_off()
        elif self.unread_bytes:
            self._host.weigh()

    def flush(self) -> None:
        """Tells a subscriber what waits for it, if it reads."""
        if self.subscription is not None and not self.is_writing_paused:
            self.subscription.flush()

    def begin_to_listen(self, *, is_refused: bool) -> None:
        """The client has its answer to `subscribe`, and can be told what happened meanwhile."""
        if is_refused:
            self.subscription = None
        elif self.subscription is not None:
            self.subscription.open()
            self.flush()

    def finish_one(self) -> None:
        """A request has its answer."""
        self.in_hand -= 1
        self._rest()
        if self._has_ended and not self.in_hand:
            self.end(None)
        else:
            self._host.consider(self)

    def call_back_in(self, delay_s: float) -> None:
        """Has itself considered later, once."""
        if "turn" not in self._timers:
            self._start("turn", delay_s, self._considered)

    def end(self, line: bytes | None) -> None:
        """Sends a last line and closes; what is not read soon is lost."""
        if self._transport is None or self._transport.is_closing():
            return
        if line is not None:
            self._transport.write(line)
        self._transport.close()
        self._start("farewell", self._limits.farewell_s, self.cut_off)

    def cut_off(self) -> None:
        """Closes at once, whatever is still to be read."""
        if self._transport is not None:
            self._transport.abort()

    # What the event loop says

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """The connection stands."""
        assert isinstance(transport, asyncio.Transport)
        self._transport = transport
        # Paused as soon as anything waits to be read: who does not read gets no more work done.
        transport.set_write_buffer_limits(high=0)
        self._rest()

    def get_buffer(self, sizehint: int) -> memoryview:
        """Where the next bytes go."""
        del sizehint
        return memoryview(self._scratch)

    def buffer_updated(self, nbytes: int) -> None:
        """Bytes have come."""
        if self.is_closing:
            return
        self._received += memoryview(self._scratch)[:nbytes]
        self._look_for_line()

    def eof_received(self) -> bool:
        """The client sends nothing more. Keeps the connection while it waits for answers."""
        self._has_ended = True
        self._stop("line")
        if self._received:
            why = "the last line has no end: a message ends with a line feed"
            self.end(refusal_line(Refusal(None, RequestRefusedError(ErrorCode.NOT_JSON, why))))
        return self.in_hand > 0

    def pause_writing(self) -> None:
        """The client reads more slowly than it is written to."""
        self.is_writing_paused = True
        self._start("unread", self._limits.unread_s, self.cut_off)

    def resume_writing(self) -> None:
        """The client has read everything."""
        self.is_writing_paused = False
        self._stop("unread")
        self.flush()
        self._host.consider(self)

    def connection_lost(self, error: Exception | None) -> None:
        """The connection is gone."""
        del error
        self._transport = None
        for timer in self._timers.values():
            timer.cancel()
        self._timers.clear()
        self._received.clear()
        self._line_end = -1
        self._host.forget(self)
        if not self.lost.done():
            self.lost.set_result(None)

    # Lines and their time

    def _look_for_line(self) -> None:
        assert self._transport is not None
        self._line_end = self._received.find(b"\n", self._searched)
        self._searched = len(self._received)
        if self._line_end >= 0:
            self._stop("line")
            self._transport.pause_reading()
            self._host.consider(self)
            return
        if len(self._received) > MESSAGE_BYTES_MAX:
            self.end(refusal_line(Refusal(None, too_big())))
            return
        if not self._received:
            self._stop("line")
        elif "line" not in self._timers:
            self._start("line", self._limits.line_s, self._too_slow)
        if not self._has_ended:
            self._transport.resume_reading()
        if self._received:
            self._host.weigh()

    def _too_slow(self) -> None:
        why = f"a line must be whole within {self._limits.line_s:g} s of its first byte"
        self.end(refusal_line(Refusal(None, RequestRefusedError(ErrorCode.TOO_SLOW, why))))

    def _rest(self) -> None:
        """From now on the client is idle, unless it is at work or listens."""
        self._stop("idle")
        if self._transport is None or self.in_hand or self.subscription is not None:
            return
        self._start("idle", self._limits.idle_s, self._idle_for_too_long)

    def _idle_for_too_long(self) -> None:
        if self.in_hand or self.subscription is not None or self.has_line:
            return
        why = f"nothing was asked for {self._limits.idle_s:g} s"
        self.end(told_line("closing", {"reason": why}))

    def _considered(self) -> None:
        self._host.consider(self)

    def _start(self, name: str, delay_s: float, act: Callable[[], None]) -> None:
        self._stop(name)

        def due() -> None:
            del self._timers[name]
            act()

        self._timers[name] = self._loop.call_later(delay_s, due)

    def _stop(self, name: str) -> None:
        timer = self._timers.pop(name, None)
        if timer is not None:
            timer.cancel()
