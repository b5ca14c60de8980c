"""A disk that keeps what was written when the controller dies, and may be full or slow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from controller.core.journal_entry import Entry, Summary


@dataclass
class Disk:
    """What is written."""

    entries: list[Entry] = field(default_factory=list)
    state: str | None = None
    is_full: bool = False
    _earlier: list[tuple[int, str | None]] = field(default_factory=list)

    def write(self, entries: Sequence[Entry], state: str | None) -> None:
        """One transaction."""
        self._earlier = [*self._earlier[-4:], (len(self.entries), self.state)]
        self.entries += entries
        self.state = self.state if state is None else state

    def forget(self, transactions: int) -> None:
        """A power cut took the last transactions: those that were not synchronised."""
        for _ in range(min(transactions, len(self._earlier))):
            length, self.state = self._earlier.pop()
            del self.entries[length:]


class StageJournal:
    """Writes whole hand-overs, or none of one; keeps them back while the disk is full."""

    def __init__(self, disk: Disk) -> None:
        self.disk = disk
        self._waiting: list[tuple[Sequence[Entry], str | None]] = []

    @property
    def is_failing(self) -> bool:
        """Whether the disk refuses."""
        return bool(self._waiting)

    def note(
        self,
        entries: Sequence[Entry],
        *,
        state: str | None = None,
        summaries: Sequence[Summary] = (),
    ) -> None:
        """Takes a hand-over."""
        del summaries
        self._waiting.append((entries, state))
        self.flush()

    def flush(self) -> None:
        """Writes what waits, if the disk lets it."""
        while self._waiting and not self.disk.is_full:
            entries, state = self._waiting.pop(0)
            self.disk.write(entries, state)

    async def written(self) -> bool:
        """Whether all of it is written."""
        return not self._waiting
