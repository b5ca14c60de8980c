"""Prints from a thread of its own: a terminal that is held, a pipe that nobody reads and a disk
that is full keep nobody waiting who has something to say, and end nobody."""

from __future__ import annotations

import os
import select
import threading
from collections import deque
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

_LINES_WAITING_MAX = 1_000
_CLOSE_S = 0.5


class Printing:
    """Lines to an open file, in order.

    Beyond the bound the newest are dropped, and their number is printed in their place. The
    first refusal of the file ends it: `on_end` is told why, in its thread, and what comes after
    goes nowhere. The file's own buffer is passed by, so flush it before.
    """

    def __init__(self, handle: int, *, on_end: Callable[[OSError], None]) -> None:
        self._handle = handle
        self._on_end = on_end
        self._lines: deque[str] = deque()
        self._dropped = 0
        self._is_closed = False
        self._changed = threading.Condition()
        # Of the daemon kind: what hangs at a terminal must not keep the process from its end.
        self._thread = threading.Thread(target=self._run, name="printing", daemon=True)
        self._thread.start()

    def line(self, text: str) -> None:
        """Prints a line, or several; returns at once."""
        with self._changed:
            if self._is_closed:
                return
            if len(self._lines) >= _LINES_WAITING_MAX:
                self._dropped += 1
                return
            self._lines.append(text)
            self._changed.notify()

    def close(self) -> None:
        """Prints what waits, within half a second; repeatable."""
        with self._changed:
            self._is_closed = True
            self._changed.notify()
        self._thread.join(_CLOSE_S)

    def _run(self) -> None:
        while text := self._next():
            try:
                self._write(text.encode(errors="backslashreplace"))
            except OSError as error:
                with self._changed:
                    self._is_closed = True
                    self._lines.clear()
                self._on_end(error)
                return

    def _next(self) -> str:
        """What waits; empty at the end."""
        with self._changed:
            self._changed.wait_for(lambda: self._lines or self._is_closed)
            text = "".join(f"{line}\n" for line in self._lines)
            self._lines.clear()
            dropped, self._dropped = self._dropped, 0
        return text + (f"({dropped:,} lines were not shown)\n" if dropped else "")

    def _write(self, data: bytes) -> None:
        rest = memoryview(data)
        while rest:
            try:
                rest = rest[os.write(self._handle, rest) :]
            except BlockingIOError:  # somebody who shares the terminal does not want to wait
                select.select([], [self._handle], [])
