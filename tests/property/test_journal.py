"""Whatever happens to the journal's file, and in whatever order: entries keep their order, and
none is missing but those that an entry tells as lost.
"""

from __future__ import annotations

import re
import sqlite3
import tempfile
from pathlib import Path

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from controller.core.journal_entry import Entry
from controller.shell.journal.journal import Journal
from controller.shell.journal.limits import Limits
from controller.shell.journal.read_log import Query, read_log
from tests.journals import NOON, Told, entries_of, integrity_of, is_written, opened, state_of
from tests.strategies import examples

_WAITING_MAX = 12
_LIMITS = Limits(
    entries_waiting_max=_WAITING_MAX,
    retry_s_min=0.001,
    retry_s_max=0.002,
    locked_s=0.004,  # so that entries come while a batch is being refused
    start_s=20.0,
    close_s=20.0,
)
_LOST = re.compile(r"([\d,]+) entr(?:y|ies) before this moment")


class JournalMachine(RuleBasedStateMachine):
    """A controller that notes, and a world that locks, kills nobody, and lets go again."""

    def __init__(self) -> None:
        super().__init__()
        self.place = tempfile.TemporaryDirectory()
        self.path = Path(self.place.name) / "journal.db"
        self.noted = 0
        self.state: str | None = None
        self.lock: sqlite3.Connection | None = None
        self.journal: Journal

    @initialize()
    def open(self) -> None:
        """A first start."""
        self.journal = opened(self.path.parent, _LIMITS, Told())

    @rule(counts=st.lists(st.integers(0, 5), min_size=1, max_size=4), has_state=st.booleans())
    def note(self, counts: list[int], has_state: bool) -> None:
        """Hands over some entries, again and again, so that the later come while the writer
        has the earlier in hand; with or without states."""
        for count in counts:
            entries = []
            for _ in range(count):
                entries.append(Entry(NOON + self.noted, self.noted, True, "on", "pump", "plan"))
                self.noted += 1
            if has_state:
                self.state = f"after {self.noted}"
            self.journal.note(entries, state=self.state if has_state else None)

    @precondition(lambda self: self.lock is None)
    @rule()
    def begin_refusing(self) -> None:
        """Another program holds the file."""
        self.lock = sqlite3.connect(self.path, isolation_level=None, timeout=20.0)
        self.lock.execute("BEGIN IMMEDIATE")

    @precondition(lambda self: self.lock is not None)
    @rule()
    def cease_refusing(self) -> None:
        """It lets go."""
        assert self.lock is not None
        self.lock.execute("ROLLBACK")
        self.lock.close()
        self.lock = None

    @rule()
    def ask(self) -> None:
        """A yes means that all is there; a no, that somebody refuses or that some were lost."""
        gaps_before = self.gaps()
        is_all = is_written(self.journal)
        if not is_all:
            assert self.lock is not None or self.gaps() > gaps_before
            is_all = self.lock is None and is_written(self.journal)
        if is_all:
            assert self.told() == [*range(self.noted)]
            assert state_of(self.path) == self.state
        assert is_all or self.lock is not None

    @precondition(lambda self: self.lock is None)
    @rule()
    def restart(self) -> None:
        """An orderly end and a new start, which finds the state."""
        assert is_written(self.journal) or is_written(self.journal)
        assert self.journal.close()
        assert integrity_of(self.path) == "ok"
        self.journal = opened(self.path.parent, _LIMITS, Told())
        assert self.journal.last_state() == self.state

    def gaps(self) -> int:
        """How many entries stand for lost ones."""
        return len(read_log(self.path, Query(find="could not be written")).lines)

    def told(self) -> list[int]:
        """The numbers that the file has or tells as lost, in order."""
        numbers: list[int] = []
        for entry in entries_of(self.path):
            if entry.what == "entries lost":
                match = _LOST.match(entry.detail)
                assert match is not None
                lost = int(match[1].replace(",", ""))
                # They are missing just before the entry that this one stands before.
                numbers += range(entry.tick - lost, entry.tick)
            else:
                numbers.append(entry.tick)
        return numbers

    @invariant()
    def what_is_there_is_a_beginning_in_order(self) -> None:
        """At any moment, to any reader, but for entries that a full memory let go."""
        if self.path.exists() and self.path.stat().st_size:
            told = self.told()
            assert told == [*range(len(told))]

    def teardown(self) -> None:
        """Ends all that is open."""
        if self.lock is not None:
            self.lock.close()
        if hasattr(self, "journal"):
            self.journal.close()
        self.place.cleanup()


def test_entries_keep_their_order_and_none_is_lost_untold() -> None:
    """Against a list of numbers, with a memory of twelve entries.

    Takes some seconds: every step is a transaction on a real file, or waits for a real lock.
    """
    run_state_machine_as_test(
        JournalMachine, settings=settings(examples(15), stateful_step_count=25, deadline=None)
    )
