"""What waits to be written: handed over by the loop, taken by the writer's thread."""

from __future__ import annotations

import threading
from collections import deque
from typing import TYPE_CHECKING, NamedTuple

from controller.core.journal_entry import Deed, Entry

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from controller.core.journal_entry import Summary
    from controller.shell.journal.limits import Limits

# An entry is a sentence or two. What is longer is cut, so that no entry can fill the disk.
TEXT_LENGTH_MAX = 2_000
_NAME_LENGTH_MAX = 100
_DETAIL_LENGTH_MAX = 1_500


class Batch(NamedTuple):
    """What goes into one transaction. `lost` entries were before the first of these."""

    entries: Sequence[Entry] = ()
    summaries: Sequence[Summary] = ()
    state: str | None = None
    zone: str | None = None
    lost: int = 0
    asked: Sequence[Callable[[bool], None]] = ()

    @property
    def has_news(self) -> bool:
        """Whether there is anything to write."""
        texts = self.state is not None or self.zone is not None
        return texts or bool(self.entries or self.summaries)


class Backlog:
    """A bounded queue in which a newer state replaces an older one.

    Whoever hands over holds the lock for a moment, and whoever takes holds it for as long:
    what is long (the disk) is done without it.
    """

    def __init__(self, limits: Limits) -> None:
        self._entries_max = limits.entries_waiting_max
        self._entries: deque[Entry] = deque()
        self._summaries: deque[Summary] = deque(maxlen=limits.summaries_waiting_max)
        self._state: str | None = None
        self._zone: str | None = None
        self._lost = 0
        self._asked: list[Callable[[bool], None]] = []
        self._is_closed = False
        self._changed = threading.Condition(threading.Lock())

    def add(
        self,
        entries: Sequence[Entry] = (),
        *,
        summaries: Sequence[Summary] = (),
        state: str | None = None,
        zone: str | None = None,
    ) -> None:
        """Hands over; beyond the bound the oldest entries are lost, and counted. After the
        end, nothing is taken."""
        with self._changed:
            if self._is_closed:
                return
            self._entries.extend(map(_bounded, entries))
            self._summaries.extend(summaries)
            self._state = self._state if state is None else state
            self._zone = self._zone if zone is None else zone
            self._keep_within_bound()
            self._changed.notify()

    def ask(self, answer: Callable[[bool], None]) -> bool:
        """Asks for word, by the writer's thread, once all that was handed over is written for
        good (True) or refused (False). Whether the question was taken: not after the end."""
        with self._changed:
            if not self._is_closed:
                self._asked.append(answer)
                self._changed.notify()
            return not self._is_closed

    def close(self) -> None:
        """Nothing more is to come."""
        with self._changed:
            self._is_closed = True
            self._changed.notify()

    @property
    def is_closed(self) -> bool:
        """Whether nothing more is to come."""
        return self._is_closed

    def take(self, *, pause_s: float | None) -> Batch:
        """Waits for something to do, and takes all that waits.

        With a pause nothing new is a reason to end it but a question and the end.
        """
        with self._changed:
            if pause_s is None:
                self._changed.wait_for(lambda: self._is_urgent or self._has_news)
            else:
                self._changed.wait_for(lambda: self._is_urgent, timeout=pause_s)
            batch = Batch(
                self._entries,
                tuple(self._summaries),
                self._state,
                self._zone,
                self._lost,
                self._asked,
            )
            self._entries, self._asked, self._lost = deque(), [], 0
            self._summaries.clear()
            self._state = self._zone = None
            return batch

    def put_back(self, batch: Batch) -> None:
        """Takes back what could not be written; those who asked have their answer."""
        with self._changed:
            self._entries.extendleft(reversed(batch.entries))
            self._lost += batch.lost
            later = [*self._summaries]
            self._summaries.clear()
            self._summaries.extend([*batch.summaries, *later])
            self._state = batch.state if self._state is None else self._state
            self._zone = batch.zone if self._zone is None else self._zone
            self._keep_within_bound()

    @property
    def _is_urgent(self) -> bool:
        return self._is_closed or bool(self._asked)

    @property
    def _has_news(self) -> bool:
        texts = self._state is not None or self._zone is not None
        return texts or bool(self._entries or self._summaries)

    def _keep_within_bound(self) -> None:
        while len(self._entries) > self._entries_max:
            self._entries.popleft()
            self._lost += 1


def _bounded(entry: Entry) -> Entry:
    length = len(entry.what) + len(entry.subject) + len(entry.why) + len(entry.detail)
    if length <= TEXT_LENGTH_MAX:
        return entry
    return entry._replace(
        what=_cut(entry.what, _NAME_LENGTH_MAX),
        subject=_cut(entry.subject, _NAME_LENGTH_MAX),
        why=_cut(entry.why, _NAME_LENGTH_MAX),
        detail=_cut(entry.detail, _DETAIL_LENGTH_MAX),
    )


def _cut(text: str, length_max: int) -> str:
    if len(text) <= length_max:
        return text
    return f"{text[:length_max]}… ({len(text):,} characters)"


def lost_entry(lost: int, following: Entry, reason: str) -> Entry:
    """The entry that stands where others are missing, before the one that follows them."""
    many = "1 entry" if lost == 1 else f"{lost:,} entries"
    return Entry(
        following.at,
        following.tick,
        following.is_clock_trusted,
        Deed.ENTRIES_LOST.value,
        detail=f"{many} before this moment could not be written and did not fit into memory"
        + (f": {reason}" if reason else ""),
    )
