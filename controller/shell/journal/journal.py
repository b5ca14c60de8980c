"""The journal as the controller sees it: hands over at once, and never waits for the disk."""

from __future__ import annotations

import asyncio
import threading
from typing import TYPE_CHECKING

from controller.shell.journal.backlog import Backlog
from controller.shell.journal.limits import Limits
from controller.shell.journal.writer import Writer

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from controller.core.journal_entry import Entry, Summary
    from controller.core.units import Instant

JOURNAL_NAME = "journal.db"  # in the state folder
_LIMITS = Limits()


def open_journal(
    path: Path, *, on_trouble: Callable[[str], None], limits: Limits = _LIMITS
) -> Journal:
    """Opens the journal, or makes it; it is there at once, whatever the disk says.

    A damaged file is put aside and a new one begun; a file that a newer rootclock or another
    program made is left alone and one beside it used.

    Args:
        path: the file; its folder is made if it is missing.
        on_trouble: told in a sentence whenever the disk begins or ceases to refuse, and when
            a file was put aside or left alone. Called from the journal's own thread.
        limits: how much is kept, and for how long the disk is waited for.
    """
    return Journal(path, limits, on_trouble)


class Journal:
    """The record that outlives the process; see `ports.Journal`."""

    def __init__(self, path: Path, limits: Limits, on_trouble: Callable[[str], None]) -> None:
        self._limits = limits
        self._backlog = Backlog(limits)
        self._writer = Writer(path, self._backlog, limits, on_trouble)
        # Of the daemon kind: a disk that never answers must not keep the process from ending.
        self._thread = threading.Thread(target=self._writer.run, name="journal", daemon=True)
        self._thread.start()
        self._writer.when_opened.wait(limits.start_s)

    def last_state(self) -> str | None:
        """The state that was noted last before this start, if the disk has told it in time."""
        return self._writer.first_state

    @property
    def last_instant(self) -> Instant | None:
        """The latest time that the journal saw by a trusted clock before this start."""
        return self._writer.first_instant

    @property
    def is_failing(self) -> bool:
        """Whether the disk refuses what is to be written."""
        return bool(self._writer.trouble) or not self._writer.when_opened.is_set()

    @property
    def trouble(self) -> str:
        """Why the disk refuses, as the end of a sentence; empty while it does not."""
        if self._writer.when_opened.is_set():
            return self._writer.trouble
        return self._writer.trouble or "the disk does not answer"

    def note(
        self,
        entries: Sequence[Entry],
        *,
        state: str | None = None,
        summaries: Sequence[Summary] = (),
    ) -> None:
        """Hands over entries and the state of the controller that belongs to them, to be
        written in one transaction. Never waits and never raises."""
        self._backlog.add(entries, state=state, summaries=summaries)

    def note_zone(self, name: str) -> None:
        """Hands over the time zone of the plan that was taken, for those who read the journal."""
        self._backlog.add(zone=name)

    async def written(self) -> bool:
        """Returns when all that was noted is on the disk for good (True), or cannot be
        written (False).

        A disk that does not answer at all is waited for; cancelling is safe.
        """
        loop = asyncio.get_running_loop()
        answered: asyncio.Future[bool] = loop.create_future()

        def answer(is_written: bool) -> None:  # noqa: FBT001 - the answer
            try:
                loop.call_soon_threadsafe(_settle, answered, is_written)
            except RuntimeError:
                return  # the loop has ended, and with it whoever asked

        if not self._backlog.ask(answer):
            return self._is_all_written()
        return await answered

    def close(self) -> bool:
        """Writes what waits, within a bounded time, and ends; whether all was written.
        Repeatable."""
        self._backlog.close()
        self._thread.join(self._limits.close_s)
        return self._is_all_written()

    def _is_all_written(self) -> bool:
        return not self._thread.is_alive() and self._writer.has_all


def _settle(answered: asyncio.Future[bool], is_written: bool) -> None:  # noqa: FBT001
    if not answered.done():
        answered.set_result(is_written)
