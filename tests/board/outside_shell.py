"""Commands on the board, given from outside through a port that the real world does not have."""

from __future__ import annotations

import base64
import time
from typing import TYPE_CHECKING, NamedTuple

from tests.board.host import HostError

if TYPE_CHECKING:
    import socket


class Answer(NamedTuple):
    """How a command went."""

    code: int
    output: str
    errors: str


class CommandError(HostError):
    """A command on the board failed, or did not answer in time."""


class OutsideShell:
    """Runs bash scripts on the board as root, one at a time."""

    def __init__(self, port: socket.socket) -> None:
        self._port = port
        self._rest = b""
        self._number = 0

    def run(self, script: str, *, within_s: float = 30.0, codes: tuple[int, ...] = (0,)) -> Answer:
        """The answer.

        Raises:
            CommandError: another exit code, no answer in time, or the board is gone.
        """
        self._number += 1
        text = base64.b64encode(script.encode()).decode()
        self._port.settimeout(within_s)
        try:
            self._port.sendall(f"{self._number} {within_s:g} {text}\n".encode())
            answer = self._answer(time.monotonic() + within_s + 5.0)
        except OSError as gone:
            raise CommandError(f"the board did not answer to: {script}") from gone
        if answer.code not in codes:
            raise CommandError(
                f"{script}\nended with {answer.code}:\n{answer.output}{answer.errors}"
            )
        return answer

    def put(self, path: str, text: str) -> None:
        """Writes a file on the board."""
        data = base64.b64encode(text.encode()).decode()
        self.run(f"base64 -d <<<'{data}' >'{path}'")

    def _answer(self, deadline: float) -> Answer:
        """The one to the last command; those to commands that were given up are dropped."""
        while True:
            while b"\n" not in self._rest:
                self._port.settimeout(max(0.001, deadline - time.monotonic()))
                data = self._port.recv(65_536)
                if not data:
                    raise ConnectionError("the machine has ended")
                self._rest += data
            line, _, self._rest = self._rest.partition(b"\n")
            number, code, output, errors = line.decode().split(" ")
            if int(number) == self._number:
                return Answer(int(code), _text(output), _text(errors))


def _text(field: str) -> str:
    return base64.b64decode(field.removeprefix("=")).decode("utf-8", "replace")
