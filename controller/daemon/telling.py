"""What happens, told: to the journal, to clients, and to the person at the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.journal_entry import Entry
from controller.daemon.clients import Clients
from controller.daemon.mistakes import Mistakes

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from controller.core.decide import Decision
    from controller.core.journal_entry import Deed
    from controller.core.schedule import Schedule
    from controller.daemon.parts import Parts


class Telling:
    """The one place that knows all who listen.

    `tell` takes what a person at the terminal, or the system's log, is to read, and
    `on_entries` what the journal is told; neither may wait or raise.
    """

    def __init__(self, parts: Parts, tell: Callable[[str], None]) -> None:
        self.tell = tell
        self.on_entries: Callable[[Sequence[Entry]], None] = _nobody
        self.mistakes = Mistakes(note=self.note, tell=tell, tick=lambda: parts.clock.read()[1])
        self.clients = Clients(note=self.note, tell=tell, mistakes=self.mistakes)
        self._parts = parts
        self._told_schedule: Schedule | None = None
        self._safe_lines_trouble = ""

    def note(self, what: Deed, detail: str, *, state: str | None = None) -> None:
        """Tells of something that the controller itself does, and leaves its state for the next
        start where there is one."""
        now, tick = self._parts.clock.read()
        entry = Entry(now, tick, self._parts.clock.is_trusted, what.value, detail=detail)
        self._parts.journal.note([entry], state=state)
        self._publish([entry])

    def made(self, decision: Decision, entries: Sequence[Entry], schedule: Schedule) -> None:
        """Tells of a decision that was carried out by a schedule; the journal has its entries."""
        if entries:
            self._publish(entries)
        trouble, told = self._parts.board.safe_lines_trouble, self._safe_lines_trouble
        if trouble != told:
            self._safe_lines_trouble = trouble
            if trouble:
                self.tell(f"{trouble}; if the controller is killed, its lines stay as they are")
        has_adopted = self._told_schedule is not schedule
        self._told_schedule = schedule
        if entries or decision.notices or has_adopted:
            self.clients.tell_change()

    def _publish(self, entries: Sequence[Entry]) -> None:
        self.on_entries(entries)
        self.clients.tell_journal(entries)


def _nobody(entries: Sequence[Entry]) -> None:
    """Nobody listens."""
