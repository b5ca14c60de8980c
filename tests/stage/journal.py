"""A disk that keeps what was written when the controller dies, and may be full or slow."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from controller.core.journal_entry import Entry, Summary


@dataclass
class Disk:
    """What is written."""

    entries: list[Entry] = field(default_factory=list)
    state: str | None = None
    is_full: bool = False
    slow_s: float = 0.0
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
    """Writes whole hand-overs, or none of one; keeps them back while the disk is full, and for
    a while where it is slow. What is kept back dies with the controller."""

    def __init__(self, disk: Disk) -> None:
        self.disk = disk
        self._waiting: list[tuple[Sequence[Entry], str | None]] = []
        self._is_dead = False
        self.on_trouble: Callable[[], None] = lambda: None

    @property
    def is_failing(self) -> bool:
        """Whether the disk refuses."""
        return bool(self._waiting) and self.disk.is_full

    def note(
        self,
        entries: Sequence[Entry],
        *,
        state: str | None = None,
        summaries: Sequence[Summary] = (),
    ) -> None:
        """Takes a hand-over."""
        del summaries
        was_failing = self.is_failing
        self._waiting.append((entries, state))
        if self.is_failing and not was_failing:
            self.on_trouble()
        if self.disk.slow_s:
            asyncio.get_running_loop().call_later(self.disk.slow_s, self.flush)
        else:
            self.flush()

    def flush(self) -> None:
        """Writes what waits, if the disk lets it."""
        while self._waiting and not (self._is_dead or self.disk.is_full):
            entries, state = self._waiting.pop(0)
            self.disk.write(entries, state)

    def die(self) -> None:
        """The process is gone, and with it what waited."""
        self._is_dead = True

    async def written(self) -> bool:
        """Whether all of it is written."""
        return not self._waiting
