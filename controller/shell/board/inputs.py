"""Contacts and pulses on GPIO lines, as levels; what a level means is for the sensors to know.

Contacts are watched by one thread, which sleeps until the kernel has a change for it. Pulses
need no thread: the kernel counts them, and is asked when somebody wants to know.
"""

from __future__ import annotations

import os
import select
import threading
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from controller.core.errors import UnusableLineError
from controller.shell.board.kernel_lines import EVENTS_MAX, changes

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.observation import Tick
    from controller.shell.board.kernel_lines import Change, InputLines, Pull

# Told the new level (True: high) and when.
OnChange: TypeAlias = "Callable[[bool, Tick], None]"

_COUNT_WRAPS = 2**32  # the kernel's sequence numbers are 32 bits wide
_READS_MAX = 64  # in one go, should pulses come as fast as they are read
_END_S_MAX = 1.0  # a callback that does not return must not keep the daemon from ending


@dataclass(slots=True)
class _Contact:
    line: int
    handle: int
    on_change: OnChange
    fault: str = ""


class Pulses(NamedTuple):
    """How many pulses came since the counting began, and when the last one did."""

    total: int
    last: Tick | None


class PulseCounter:
    """The pulses of one line; reading costs a few system calls, a pulse costs nothing here."""

    def __init__(self, lines: InputLines, line: int, handle: int) -> None:
        self._lines = lines
        self._line = line
        self._handle = handle
        self._pulses = Pulses(0, None)
        self._number = 0

    def read(self) -> Pulses:
        """All pulses until now. To be asked at least once in four billion pulses.

        Raises:
            UnusableLineError: the line is gone, or counting has ended.
        """
        if self._handle < 0:
            raise UnusableLineError(f"line {self._line} is not counted any more")
        try:
            for _ in range(_READS_MAX):
                seen = changes(self._handle)
                if seen:
                    self._take(seen[-1])
                if len(seen) < EVENTS_MAX:
                    break
        except OSError as error:
            raise UnusableLineError(f"line {self._line}: {_told(error)}") from error
        return self._pulses

    def _take(self, latest: Change) -> None:
        new = (latest.number - self._number) % _COUNT_WRAPS
        self._number = latest.number
        self._pulses = Pulses(self._pulses.total + new, latest.tick)

    def close(self) -> None:
        """Gives the line back; repeatable."""
        handle, self._handle = self._handle, -1
        if handle >= 0:
            self._lines.close(handle)


class Inputs:
    """The board's input lines. Its methods are called from one thread."""

    def __init__(self, lines: InputLines) -> None:
        self._lines = lines
        self._contacts: dict[int, _Contact] = {}  # by line
        self._by_handle: dict[int, _Contact] = {}
        self._counters: dict[int, PulseCounter] = {}
        self._lock = threading.Lock()  # over _by_handle and the life of its descriptors
        self._epoll: select.epoll | None = None
        self._end = -1
        self._thread: threading.Thread | None = None

    def watch(self, line: int, *, pull: Pull, debounce_ms: int, on_change: OnChange) -> bool:
        """Watches a contact; the line's level now (True: high).

        A change is told once the line has rested for `debounce_ms` (0: at once), whichever
        way it goes, from this call on. Should more than 16 wait for the thread at once, the
        oldest are lost; the last one never is.

        Args:
            line: BCM number.
            pull: the line's own resistor, or none.
            debounce_ms: at most 4,294,967 (71 min).
            on_change: called IN THE INPUTS' OWN THREAD, one call at a time, with the level
                and the tick of the change. It must not block, and hands over to its loop
                (`call_soon_threadsafe`) by itself.

        Raises:
            UnusableLineError: the line cannot be had, or is watched or counted already.
        """
        self._refuse_twice(line)
        handle = self._lines.open(line, pull=pull, debounce_ms=debounce_ms, edges="both")
        try:
            level = self._lines.level(handle)
            with self._lock:
                self._woken_by().register(handle, select.EPOLLIN)
                self._contacts[line] = self._by_handle[handle] = _Contact(line, handle, on_change)
        except (OSError, RuntimeError) as error:  # RuntimeError: no thread to be had
            self._lines.close(handle)
            raise UnusableLineError(f"line {line} cannot be read: {_told(error)}") from error
        return level

    def count(self, line: int, *, pull: Pull) -> PulseCounter:
        """Counts a line's rising edges from now on, as they come: without debouncing.

        Raises:
            UnusableLineError: the line cannot be had, or is watched or counted already.
        """
        self._refuse_twice(line)
        handle = self._lines.open(line, pull=pull, debounce_ms=0, edges="rising")
        counter = self._counters[line] = PulseCounter(self._lines, line, handle)
        return counter

    def read(self, line: int) -> bool:
        """The level (True: high) of a line that is watched.

        Raises:
            UnusableLineError: it is not watched, or cannot be read any more.
        """
        contact = self._contacts.get(line)
        if contact is None:
            raise UnusableLineError(f"line {line} is not watched")
        if contact.handle < 0:
            raise UnusableLineError(contact.fault)
        try:
            return self._lines.level(contact.handle)
        except OSError as error:
            raise UnusableLineError(f"line {line} cannot be read: {_told(error)}") from error

    def faults(self) -> Mapping[int, str]:
        """What is wrong with which watched line, in words."""
        return {line: one.fault for line, one in self._contacts.items() if one.fault}

    def unwatch(self, line: int) -> None:
        """Ends watching or counting a line; repeatable. A change on its way may still be told."""
        if (counter := self._counters.pop(line, None)) is not None:
            counter.close()
        with self._lock:
            if (contact := self._contacts.pop(line, None)) is not None:
                self._drop(contact)

    def close(self) -> None:
        """Ends everything; repeatable."""
        for line in [*self._contacts, *self._counters]:
            self.unwatch(line)
        if self._epoll is None or self._thread is None:
            return
        os.eventfd_write(self._end, 1)
        if self._thread is not threading.current_thread():
            self._thread.join(_END_S_MAX)
        if not self._thread.is_alive():
            self._epoll.close()
            os.close(self._end)
        self._epoll, self._thread = None, None

    def _refuse_twice(self, line: int) -> None:
        if line in self._contacts or line in self._counters:
            raise UnusableLineError(f"line {line} is in use by another sensor")

    def _woken_by(self) -> select.epoll:
        """What the thread sleeps on; starts it at the first call."""
        if self._epoll is None:
            with ExitStack() as undone:
                epoll = undone.enter_context(select.epoll())
                end = os.eventfd(0, os.EFD_CLOEXEC)
                undone.callback(os.close, end)
                epoll.register(end, select.EPOLLIN)
                thread = threading.Thread(
                    target=self._tell, args=(epoll, end), name="inputs", daemon=True
                )
                thread.start()
                undone.pop_all()
            self._epoll, self._end, self._thread = epoll, end, thread
        return self._epoll

    def _tell(self, epoll: select.epoll, end: int) -> None:
        """The thread: tells changes until it is told to end."""
        while True:
            for handle, events in epoll.poll():
                if handle == end:
                    return
                self._tell_of(handle, is_broken=bool(events & ~select.EPOLLIN))

    def _tell_of(self, handle: int, *, is_broken: bool) -> None:
        with self._lock:
            contact = self._by_handle.get(handle)
            if contact is None:
                return
            try:
                seen = changes(handle)
                why = "the kernel has taken it away" if is_broken and not seen else ""
            except OSError as error:
                seen, why = [], _told(error)
            if why:
                contact.fault = f"line {contact.line} is lost: {why}"
                self._drop(contact)
        for change in seen:
            try:
                contact.on_change(change.level, change.tick)
            except Exception as error:  # noqa: BLE001 - or no contact would ever be told again
                contact.fault = f"line {contact.line}: its change was not taken: {error!r}"

    def _drop(self, contact: _Contact) -> None:
        """Gives a contact's line back; with the lock held."""
        if contact.handle >= 0 and self._epoll is not None:
            self._epoll.unregister(contact.handle)
            del self._by_handle[contact.handle]
            self._lines.close(contact.handle)
            contact.handle = -1


def _told(error: OSError | RuntimeError) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error)
