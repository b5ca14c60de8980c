"""The command line's side of the control socket: asks, and waits for the answer.

Needs no event loop, so that a command is at its prompt again in a blink.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Any

from controller.core.messages.rpc import Refusal, Told
from controller.core.status.record import PROTOCOL
from controller.shell.control_socket.reach import (
    ANSWER_LINE_BYTES_MAX,
    checked_call_line,
    connected_socket,
    gone,
    no_daemon,
    no_rootclock,
    read_line,
    silent,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path
    from types import TracebackType
    from typing import Self

ANSWER_S = 10.0
_READ_BYTES = 64 * 1024


class Client:
    """A connection to the daemon; a context manager.

    Args:
        path: the control socket.
        answer_s: how long the daemon may take for an answer.

    Raises:
        NoDaemonError: nobody answers there, or nobody whom we may ask.
        RequestRefusedError: the daemon speaks another protocol.
        UnusableSocketError: no socket can have that path.
    """

    def __init__(self, path: Path, *, answer_s: float = ANSWER_S) -> None:
        self._path = path
        self._answer_s = answer_s
        self._received = bytearray()
        self._number = 0
        self._socket = connected_socket(path, within_s=answer_s)
        try:
            self.call("hello", {"protocol": PROTOCOL})
        except BaseException:
            self._socket.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Lets go of the daemon; repeatable."""
        self._socket.close()

    def call(
        self, method: str, params: Mapping[str, Any] | None = None, *, within_s: float | None = None
    ) -> Any:
        """The result of a request; parameters that are None are left out.

        Raises:
            RequestRefusedError: the daemon's own word why not.
            NoDaemonError: it went away, or took longer than `within_s` (None: `answer_s`).
        """
        self._number += 1
        line = checked_call_line(self._number, method, params)
        within_s = self._answer_s if within_s is None else within_s
        deadline_s = time.monotonic() + within_s
        self._socket.settimeout(within_s)
        try:
            self._socket.sendall(line)
        except TimeoutError:
            raise silent(self._path) from None
        except ConnectionError:
            # It lets go of us. Its last line, which tells why, may be there to be read.
            return self._answer_to(self._number, deadline_s)
        return self._answer_to(self._number, deadline_s)

    def listen(self, topics: Sequence[str]) -> tuple[Any, Iterator[Told]]:
        """What `subscribe` answers, and then what the daemon tells, until it ends.

        The iterator waits for ever for the next word.

        Raises:
            RequestRefusedError, NoDaemonError: as `call`; the iterator NoDaemonError only.
        """
        result = self.call("subscribe", {"topics": list(topics)})
        return result, self._told()

    def _told(self) -> Iterator[Told]:
        while True:
            said = read_line(self._path, self._line(None))
            if isinstance(said, Told):
                yield said

    def _answer_to(self, number: int, deadline_s: float) -> Any:
        while True:
            said = read_line(self._path, self._line(deadline_s))
            if isinstance(said, Told) or said.id != number:
                continue  # news, or the answer to a request that was given up
            if isinstance(said, Refusal):
                raise said.error
            return said.value

    def _line(self, deadline_s: float | None) -> bytes:
        """The next line; None: whenever it comes."""
        searched = 0
        while (end := self._received.find(b"\n", searched)) < 0:
            searched = len(self._received)
            if searched > ANSWER_LINE_BYTES_MAX:
                raise no_rootclock(self._path)
            left_s = None if deadline_s is None else deadline_s - time.monotonic()
            if left_s is not None and left_s <= 0:
                raise silent(self._path)
            try:
                self._socket.settimeout(left_s)
                more = self._socket.recv(_READ_BYTES)
            except OSError as error:
                raise no_daemon(self._path, error) from None
            if not more:
                raise gone(self._path)
            self._received += more
        line = bytes(self._received[:end])
        del self._received[: end + 1]
        return line
