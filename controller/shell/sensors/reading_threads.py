"""Threads that read files, so that one which hangs keeps nobody else waiting.

One thread reads what is asked for, file after file, and ends. When it stands at one file
for longer than the others should wait, it is left alone with that file and another thread
takes the rest; so there are never more threads than files that hang, and one. A file is not
asked for again before it has answered.
"""

from __future__ import annotations

import asyncio
import threading
import time
from collections import deque
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import NoReadingError
from controller.shell.sensors.files import read_number

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

# A 1-Wire thermometer converts for 750 ms (DS18B20 data sheet, 12 bits); whatever the kernel
# holds in its memory comes within 1 ms. Between the two one is told from the other.
PATIENCE_S = 0.25
# As many as a plan can have sensors, with room for files of earlier plans that still hang.
THREADS_MAX = 128


class Answer(NamedTuple):
    """What a file said: a number, or why none; the number is `age_ms` old at most."""

    path: str
    value: float | None
    why: str
    age_ms: int


class _Done(NamedTuple):
    path: str
    value: float | None
    why: str
    began_ms: int


class _Worker:
    """A thread that reads; `began_ms` is when it opened the file that it is reading."""

    __slots__ = ("began_ms",)

    def __init__(self) -> None:
        self.began_ms = _elapsed_ms()


class ReadingThreads:
    """Asks files for their numbers and hands the answers over in the loop's thread, those
    that come together in one go. To be made, asked and closed in that thread.
    """

    def __init__(
        self,
        take: Callable[[Sequence[Answer]], None],
        *,
        patience_s: float = PATIENCE_S,
        threads_max: int = THREADS_MAX,
    ) -> None:
        self._take = take
        self._patience_s = patience_s
        self._threads_max = threads_max
        self._loop = asyncio.get_running_loop()
        self._check: asyncio.TimerHandle | None = None
        self._lock = threading.Lock()  # over all that follows
        self._asked: dict[str, int] = {}  # since when, in ms, by file that has not answered
        self._waiting: deque[str] = deque()  # those of them that nobody reads yet
        self._done: list[_Done] = []
        self._is_told = False  # a delivery is on its way to the loop
        self._worker: _Worker | None = None  # who takes what waits
        self._threads = 0
        self._is_closed = False

    def ask(self, paths: Iterable[str]) -> None:
        """Asks each file, but for those that have not answered yet."""
        now_ms = _elapsed_ms()
        with self._lock:
            if self._is_closed:
                return
            for path in paths:
                if path not in self._asked:
                    self._asked[path] = now_ms
                    self._waiting.append(path)
        self._staff()

    def silent_ms(self, path: str) -> int | None:
        """For how long a file has been asked and has not answered; None where it is not asked."""
        with self._lock:
            return _elapsed_ms() - self._asked[path] if path in self._asked else None

    @property
    def count(self) -> int:
        """How many threads there are now."""
        with self._lock:
            return self._threads

    def close(self) -> None:
        """Asks and hands over nothing more; threads that hang are left to the process's end."""
        self._forget()
        if self._check is not None:
            self._check.cancel()

    # In the loop's thread

    def _staff(self) -> None:
        """Sees to it that somebody reads what waits, and looks again while anybody reads."""
        worker = None
        with self._lock:
            if self._waiting and not self._is_manned():
                # At the bound the next thread whose file answers takes what waits.
                self._worker = None
                if self._threads < self._threads_max:
                    worker = self._worker = _Worker()
                    self._threads += 1
            is_to_check = bool(self._waiting or self._done)
        if worker is not None:
            self._start(worker)
        if is_to_check and self._check is None:
            self._check = self._loop.call_later(self._patience_s, self._on_check)

    def _is_manned(self) -> bool:
        """Whether a thread gets on with the files; with the lock held."""
        worker = self._worker
        return worker is not None and _elapsed_ms() - worker.began_ms < self._patience_s * 1000

    def _start(self, worker: _Worker) -> None:
        try:
            threading.Thread(
                target=self._work, args=(worker,), name="sensor files", daemon=True
            ).start()
        except RuntimeError:  # the system has no thread for us now; the check tries again
            with self._lock:
                self._threads -= 1
                self._worker = None

    def _on_check(self) -> None:
        self._check = None
        self._deliver()
        self._staff()

    def _deliver(self) -> None:
        with self._lock:
            done, self._done = self._done, []
            self._is_told = False
            if self._is_closed:
                return
            is_all = not self._waiting
        if is_all and self._check is not None:
            self._check.cancel()
            self._check = None
        now_ms = _elapsed_ms()
        if done:
            self._take(
                [Answer(one.path, one.value, one.why, now_ms - one.began_ms) for one in done]
            )

    # In the reading threads

    def _work(self, worker: _Worker) -> None:
        while (path := self._next(worker)) is not None:
            value, why = None, "its file's reader broke down"
            try:
                value, why = read_number(path), ""
            except NoReadingError as error:
                why = str(error)
            finally:
                self._finish(worker, path, value, why)

    def _next(self, worker: _Worker) -> str | None:
        """The next file; None for one who is not needed any more."""
        with self._lock:
            if not self._waiting or self._worker not in (None, worker):
                self._threads -= 1
                if self._worker is worker:
                    self._worker = None
                return None
            self._worker = worker
            path = self._waiting.popleft()
            worker.began_ms = _elapsed_ms()
            return path

    def _finish(self, worker: _Worker, path: str, value: float | None, why: str) -> None:
        with self._lock:
            self._done.append(_Done(path, value, why, worker.began_ms))
            self._asked.pop(path, None)
            # While this thread gets on, the loop is woken once for all that waits; the
            # check fetches what is done by a thread that no longer does.
            has_more = self._worker is worker and bool(self._waiting)
            if has_more or self._is_told or self._is_closed:
                return
            self._is_told = True
        try:
            self._loop.call_soon_threadsafe(self._deliver)
        except RuntimeError:  # the loop has ended: nobody wants to know any more
            self._forget()

    def _forget(self) -> None:
        with self._lock:
            self._is_closed = True
            self._waiting.clear()
            self._asked.clear()


def _elapsed_ms() -> int:
    """Real time, sleep of the board included: what was read before it is old."""
    return time.clock_gettime_ns(time.CLOCK_BOOTTIME) // 1_000_000
