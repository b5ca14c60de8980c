"""A board of which nothing hangs: the driver's own code, on lines that tests can see and press."""

from __future__ import annotations

import fcntl
import os
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from controller.core.errors import UnusableLineError
from controller.shell.board.kernel_lines import packed

if TYPE_CHECKING:
    from controller.shell.board.kernel_lines import Edges, Pull
    from controller.shell.board.mock_lines import MockRelayFactory

_PIPE_BYTES = 4_096  # 85 changes; the kernel keeps 16 or more


@dataclass(slots=True)
class _Press:
    """An input line: its level, and while it is open its two ends and how often it changed."""

    level: bool
    reader: int = -1
    writer: int = -1
    number: int = 0
    is_both: bool = True


class MockInputLines:
    """Input lines as `kernel_lines` has them, without a kernel: contacts that never bounce."""

    def __init__(self) -> None:
        self._lines: dict[int, _Press] = {}

    def open(self, line: int, *, pull: Pull, debounce_ms: int, edges: Edges) -> int:  # noqa: ARG002 - nothing bounces
        """See `InputLines.open`; a line that nobody has driven is where its pull takes it."""
        press = self._lines.setdefault(line, _Press(level=pull == "up"))
        if press.reader >= 0:
            raise UnusableLineError(f"line {line} as an input: in use by another program")
        press.reader, press.writer = os.pipe2(os.O_CLOEXEC | os.O_NONBLOCK)
        fcntl.fcntl(press.writer, fcntl.F_SETPIPE_SZ, _PIPE_BYTES)
        press.number, press.is_both = 0, edges == "both"
        return press.reader

    def level(self, handle: int) -> bool:
        """See `InputLines.level`."""
        return self._of(handle).level

    def close(self, handle: int) -> None:
        """See `InputLines.close`."""
        press = self._of(handle)
        os.close(press.reader)
        os.close(press.writer)
        press.reader = press.writer = -1

    def drive(self, line: int, *, level: bool) -> None:
        """Makes a line high or low from outside, as a contact does."""
        press = self._lines.setdefault(line, _Press(level=not level))
        if press.level is level:
            return
        press.level = level
        if press.writer >= 0 and (press.is_both or level):
            press.number += 1
            self._write(press, line)

    def _write(self, press: _Press, line: int) -> None:
        event = packed(
            level=press.level, stamp_ns=time.monotonic_ns(), line=line, number=press.number
        )
        try:
            os.write(press.writer, event)
        except BlockingIOError:  # nobody reads: what waits is dropped, for the newest tells all
            os.read(press.reader, _PIPE_BYTES)
            os.write(press.writer, event)

    def _of(self, handle: int) -> _Press:
        return next(press for press in self._lines.values() if press.reader == handle)


class MockBoard:
    """What a person would see and do at a board: for tests, and for boards without GPIO."""

    def __init__(self, relays: MockRelayFactory, inputs: MockInputLines) -> None:
        self._relays = relays
        self._inputs = inputs

    def history(self, line: int) -> list[bool]:
        """Every level that a relay's line has been driven to, from its first claim on."""
        return list(self._relays.pin(line).history)

    def drive(self, line: int, *, level: bool) -> None:
        """Makes an input line high or low."""
        self._inputs.drive(line, level=level)

    def pulse(self, line: int, times: int) -> None:
        """Makes an input line high and low again, so often."""
        for _ in range(times):
            self._inputs.drive(line, level=True)
            self._inputs.drive(line, level=False)

    def stick(self, line: int, *, level: bool) -> None:
        """Makes a relay's line stay at a level whatever it is set to."""
        self._relays.pin(line).stuck_at = level

    def occupy(self, line: int) -> None:
        """Makes a relay's line look as if another program had it."""
        self._relays.pin(line).is_busy = True

    def heal(self, line: int) -> None:
        """Makes a relay's line work again."""
        pin = self._relays.pin(line)
        pin.stuck_at, pin.is_busy = None, False
