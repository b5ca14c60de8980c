"""Keeps the page's process alive beside a controller that does not wait for it.

A thread of its own starts the page, hears what it says and waits for its end, all of which the
kernel does for it. The page learns of this process's end, however it comes, by the pipe that it
has for standard input.
"""

from __future__ import annotations

import os
import select
import signal
import subprocess
import threading
import time
from contextlib import suppress
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

PAUSES_S: Final = (1.0, 2.0, 5.0, 10.0, 30.0, 60.0)  # between its end and its next start
_LIVED_LONG_S: Final = 60.0  # after which an end is the first one again
_LINE_BYTES_MAX: Final = 2_000
# It says farewell for a second (`web.settings.Limits`) and ends its dry runs.
_ENDS_WITHIN_S: Final = 4.0
# What the service manager told this process alone.
_NOT_INHERITED: Final = ("NOTIFY_SOCKET", "WATCHDOG_USEC", "WATCHDOG_PID")
_READY: Final = "The page is at "


class PageKeeper:
    """Starts a page again whenever it ends, with growing pauses, until `close`.

    `show` is told where the page is, and `tell` what goes wrong with it, each by one line;
    neither may wait or raise. Both are called in the keeper's thread.
    """

    def __init__(
        self,
        words: Sequence[str],
        environment: Mapping[str, str],
        *,
        show: Callable[[str], None],
        tell: Callable[[str], None],
        pauses_s: Sequence[float] = PAUSES_S,
    ) -> None:
        self._words = words
        self._environment = {
            name: value for name, value in environment.items() if name not in _NOT_INHERITED
        }
        self._show = show
        self._tell = tell
        self._pauses_s = pauses_s
        self._told = ""
        self._lock = threading.Lock()  # over `_page` and whether there may be one
        self._page: subprocess.Popen[bytes] | None = None
        self._is_over = threading.Event()
        self._thread = threading.Thread(target=self._run, name="page keeper", daemon=True)

    def start(self) -> None:
        """Starts the page; returns at once."""
        self._thread.start()

    def close(self) -> None:
        """Ends the page and waits for that, for some seconds at most; repeatable."""
        with self._lock:
            self._is_over.set()
            page = self._page
        if page is None:
            return
        assert page.stdin is not None
        page.stdin.close()  # which it hears
        self._thread.join(_ENDS_WITHIN_S)
        if self._thread.is_alive():
            page.kill()
            self._thread.join(_ENDS_WITHIN_S)

    def _run(self) -> None:
        failures = 0
        while not self._is_over.is_set():
            begun = time.monotonic()
            complaint = self._one_life()
            if self._is_over.is_set():
                return
            if time.monotonic() - begun >= _LIVED_LONG_S:
                failures = 0
            pause_s = self._pauses_s[min(failures, len(self._pauses_s) - 1)]
            failures += 1
            if complaint != self._told:  # else the terminal would fill with it
                self._told = complaint
                self._tell(
                    f"{complaint}; the watering goes on, and the page is tried again in "
                    f"{pause_s:g} s"
                )
            self._is_over.wait(pause_s)

    def _one_life(self) -> str:
        """From one start to the end; in words how it ended."""
        try:
            page = self._begun()
        except OSError as error:
            return f"the page cannot be started: {error.strerror}"
        if page is None:
            return ""
        assert page.stdin is not None
        assert page.stdout is not None
        last = self._hear(page)
        with suppress(ProcessLookupError):  # usually nobody of its group is left
            os.killpg(page.pid, signal.SIGKILL)
        code = page.wait()
        page.stdin.close()
        page.stdout.close()
        if code > 0 and last:
            return f"no page: {last}"
        return f"the page was ended by signal {-code}" if code < 0 else "the page has ended"

    def _begun(self) -> subprocess.Popen[bytes] | None:
        """The page's process; None if there is to be none any more."""
        with self._lock:
            if self._is_over.is_set():
                return None
            self._page = subprocess.Popen(  # noqa: S603 - our own program
                self._words,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                bufsize=0,
                env=self._environment,
                # Ctrl-C is the controller's to hear: it ends the page after its relays.
                start_new_session=True,
            )
            return self._page

    def _hear(self, page: subprocess.Popen[bytes]) -> str:
        """Hands on what the page says until its end; what it said last."""
        last, is_ready = "", False
        for line in _lines(page):
            last = line.removeprefix("rootclock: ") or last
            if not is_ready and line.startswith(_READY):
                is_ready, self._told = True, ""
                self._show(line)
            elif is_ready:
                self._tell(f"the page: {line}")
        return last


def _lines(page: subprocess.Popen[bytes]) -> Iterator[str]:
    """What a process says, by lines, until its own end: whom it has started may live on with
    the pipe, and is not waited for."""
    assert page.stdout is not None
    said, end, rest = page.stdout.fileno(), os.pidfd_open(page.pid), b""
    try:
        while True:
            heard, _, _ = select.select([said, end], [], [])
            piece = os.read(said, _LINE_BYTES_MAX) if said in heard else b""
            *lines, rest = (rest + piece).split(b"\n")
            if not piece or len(rest) > _LINE_BYTES_MAX:
                lines, rest = [*lines, rest], b""
            yield from (line.decode(errors="replace").rstrip() for line in lines if line)
            if not piece:
                return
    finally:
        os.close(end)
