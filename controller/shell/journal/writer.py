"""The journal's own thread: takes what waits and writes it, and tries again while it cannot."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import suppress
from typing import TYPE_CHECKING

from controller.core.errors import RootclockError
from controller.shell.journal import facts
from controller.shell.journal.backlog import Batch
from controller.shell.journal.opening import damage_words, open_file, put_aside
from controller.shell.journal.reading import open_to_read
from controller.shell.journal.schema import is_damage
from controller.shell.journal.trouble import reason

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from controller.core.units import Instant
    from controller.shell.journal.backlog import Backlog
    from controller.shell.journal.journal_file import JournalFile
    from controller.shell.journal.limits import Limits

_FIRST = "There was none in this place."
_REMOVED = "The earlier one was removed or replaced while it was in use."


class Writer:
    """Writes the backlog. All but `trouble` and what is known `when_opened` belongs to the
    thread that runs it."""

    def __init__(
        self,
        path: Path,
        backlog: Backlog,
        limits: Limits,
        on_trouble: Callable[[str], None],
    ) -> None:
        self.trouble = ""  # why the disk refuses; empty while it does not
        self.when_opened = threading.Event()
        self.first_state: str | None = None
        self.first_instant: Instant | None = None
        self.has_all = True  # whether the last attempt left nothing behind
        self._path = path
        self._backlog = backlog
        self._limits = limits
        self._on_trouble = on_trouble
        self._file: JournalFile | None = None
        self._begun_because = ""
        self._state: str | None = None
        self._zone: str | None = None
        self._pause_s = limits.retry_s_min
        self._looked_through: int | None = 0  # up to which entry; None: all

    def run(self) -> None:
        """Until the backlog is closed and its last is written, or refused once more."""
        self._attempt(Batch())
        if self._file is None:
            self._look_without_writing()
        self.when_opened.set()
        while not self._backlog.is_closed:
            self._attempt(self._backlog.take(pause_s=self._next_pause_s()))
        self._attempt(self._backlog.take(pause_s=0))
        self._let_go()

    def _next_pause_s(self) -> float | None:
        if self.trouble:
            return self._pause_s
        return None if self._looked_through is None else 0.0

    def _attempt(self, batch: Batch) -> None:
        """Writes a batch and answers those who asked; keeps it for later if it is refused."""
        self._state = self._state if batch.state is None else batch.state
        self._zone = self._zone if batch.zone is None else batch.zone
        is_written = False
        try:
            self._write(batch)
            is_written = True
            self._finish(batch)
        # The outermost of this thread: a journal that ended without a word would be the worst.
        except Exception as error:  # noqa: BLE001
            if not is_written:
                self._backlog.put_back(batch)
            self._fail(error)
            is_good = False
        else:
            self._recover()
            is_good = not batch.lost
        self.has_all = is_good
        for answer in batch.asked:
            answer(is_good)

    def _write(self, batch: Batch) -> None:
        """Raises whatever the disk, or anything else, objects with."""
        try:
            self._write_to(self._open(), batch)
        except sqlite3.DatabaseError as error:
            if not is_damage(error):
                raise
            path = self._path if self._file is None else self._file.path
            self._let_go()
            self._begun_because = f"{damage_words(put_aside(path))}."
            self._tell(f"journal {path}: {self._begun_because}")
            self._write_to(self._open(), batch)

    def _write_to(self, file: JournalFile, batch: Batch) -> None:
        # A start does not wait for this, nor does an end.
        if self.when_opened.is_set() and not self._backlog.is_closed:
            self._look_through(file)
        if file.is_new:  # whatever was noted before went with the earlier file
            batch = batch._replace(state=self._state, zone=self._zone)
        if batch.has_news:
            file.write(
                batch, begun_because=self._begun_because or _FIRST, lost_because=self.trouble
            )

    def _look_through(self, file: JournalFile) -> None:
        if self._looked_through is not None:
            self._looked_through = file.look_through(self._looked_through)

    def _finish(self, batch: Batch) -> None:
        """What a written batch may still need; it is not written again if this fails."""
        if self._file is not None:
            self._file.tidy(batch)
            if batch.asked:
                self._file.sync()

    def _open(self) -> JournalFile:
        if self._file is not None and not self._file.is_in_place():
            self._file.abandon()
            self._file = None
            self._begun_because = _REMOVED
            self._tell(f"journal {self._path}: {_REMOVED}")
        if self._file is None:
            opened = open_file(self._path, self._limits)
            self._file = opened.file
            if not self.when_opened.is_set():
                self.first_state = opened.state
                self.first_instant = self._file.last_instant
            self._state = self._state or opened.state
            self._zone = self._zone or self._file.zone
            if opened.remark and opened.remark != self._begun_because:
                self._begun_because = opened.remark
                self._tell(f"journal {self._path}: {opened.remark}")
        return self._file

    def _look_without_writing(self) -> None:
        """What a start wants to know can be read on a disk that has become read-only, too."""
        with suppress(RootclockError), open_to_read(self._path) as journal:
            self.first_state = facts.state(journal.connection)
            self.first_instant = facts.last_instant(journal.connection)

    def _let_go(self) -> None:
        if self._file is not None:
            self._file.close()
            self._file = None

    def _fail(self, error: Exception) -> None:
        """The next attempt opens the file anew, since nothing is known of this one any more."""
        self._let_go()
        self._pause_s = (
            min(2 * self._pause_s, self._limits.retry_s_max)
            if self.trouble
            else self._limits.retry_s_min
        )
        why = reason(error)
        is_news = why != self.trouble
        self.trouble = why
        if is_news:
            self._tell(f"journal {self._path} is not written: {why}")

    def _recover(self) -> None:
        if self.trouble:
            self.trouble = ""
            self._tell(f"journal {self._path} is written again")

    def _tell(self, text: str) -> None:
        with suppress(RuntimeError):  # the loop that was to hear it has ended
            self._on_trouble(text)
