"""What one subscriber is told, and what it loses when it reads slowly."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

from controller.core.messages.rpc import JsonText, told_line

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


class Subscription:
    """Holds back while its client does not read: of statuses the newest, of journal entries
    the last few; both with how many were left out since the last that was sent.

    Args:
        topics: of `methods.TOPICS`.
        entries_max: how many journal entries wait at most.
        send: hands a line to the client.
    """

    def __init__(
        self, topics: Sequence[str], *, entries_max: int, send: Callable[[bytes], None]
    ) -> None:
        self.topics = tuple(topics)
        self._send = send
        self._status: JsonText | None = None
        self._skipped = 0
        self._entries: deque[JsonText] = deque(maxlen=entries_max)
        self._lost = 0
        self._is_open = False  # until its client has the answer to `subscribe`

    def open(self) -> None:
        """From now on the client can be told."""
        self._is_open = True

    def take_status(self, status: JsonText) -> None:
        """Keeps a status to be sent; an older one that still waits is left out."""
        if "changed" not in self.topics:
            return
        if self._status is not None:
            self._skipped += 1
        self._status = status

    def take_entries(self, entries: Sequence[JsonText]) -> None:
        """Keeps journal entries to be sent; the oldest make room."""
        if "journal" not in self.topics:
            return
        room = (self._entries.maxlen or 0) - len(self._entries)
        self._lost += max(0, len(entries) - room)
        self._entries.extend(entries)

    def flush(self) -> None:
        """Sends what waits; to be called while the client reads."""
        if not self._is_open:
            return
        if self._status is not None:
            status, skipped = self._status, self._skipped
            self._status, self._skipped = None, 0
            self._send(told_line("changed", {"skipped": skipped, "status": status}))
        if self._entries:
            entries, lost = JsonText(b"[%b]" % b",".join(self._entries)), self._lost
            self._entries.clear()
            self._lost = 0
            self._send(told_line("journal", {"lost": lost, "entries": entries}))
