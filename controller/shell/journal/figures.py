"""What the journal says in sum: switchings and time on of each load, lateness, and what a
load did at a moment."""

from __future__ import annotations

from array import array
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.journal_entry import Deed, Numbered
from controller.shell.journal.read_log import number_ranges
from controller.shell.journal.reading import open_to_read
from controller.shell.journal.rows import COLUMNS, numbered_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from controller.core.units import Instant
    from controller.shell.journal.reading import OpenToRead

# How far back of a stretch the states at its start are looked for. Every start of the
# controller tells them all.
_LOOK_BACK = 20_000
_NOTICES_MAX = 50


class SwitchCount(NamedTuple):
    """How often a load was started in a stretch of time, and for how long it was on."""

    starts: int
    on_ms: int


class LatenessFound(NamedTuple):
    """Of how many switchings, and how late they were carried out, in ms; None where there
    were none."""

    count: int  # type: ignore[assignment]  # nobody counts these fields
    p50_ms: float | None
    p99_ms: float | None
    max_ms: float | None


class StateThen(NamedTuple):
    """A load's last switching before a moment (None: the journal knows none), and what was
    noted between the two besides switchings, newest last."""

    switching: Numbered | None
    notices: tuple[Numbered, ...]


class _Count:
    """One load's starts and time on, within a stretch."""

    def __init__(self, since: Instant, until: Instant) -> None:
        self._since, self._until = since, until
        self._on_since: Instant | None = None
        self.starts = 0
        self.on_ms = 0

    def switch(self, at: Instant, *, is_on: bool) -> None:
        if not is_on:
            self.end(at)
        elif self._on_since is None:
            self._on_since = at
            self.starts += self._since <= at < self._until

    def end(self, at: Instant) -> None:
        """It is off from here on, or nothing is known of it any more."""
        if self._on_since is not None:
            within = min(at, self._until) - max(self._on_since, self._since)
            self.on_ms += max(0, within)
            self._on_since = None


def switch_counts(path: Path, *, since: Instant, until: Instant) -> dict[str, SwitchCount]:
    """Starts and time on of each load that the journal knows, in a stretch of time.

    A controller that died without a word counts as ended with its last entry. A load that is
    on at the end counts as on until the newest entry, or until the end of the stretch.

    Raises:
        UnusableFileError: there is no journal, or it cannot be read.
    """
    counts: dict[str, _Count] = {}
    with open_to_read(path) as journal:
        newest = None
        for what, subject, at in _switchings(journal, since=since, until=until):
            if what in {Deed.SWITCHED_ON.value, Deed.SWITCHED_OFF.value}:
                count = counts.setdefault(subject, _Count(since, until))
                count.switch(at, is_on=what == Deed.SWITCHED_ON.value)
            elif what == Deed.STARTED.value:
                for count in counts.values():
                    count.end(at if newest is None else newest)
            newest = at
        for count in counts.values():
            count.end(until if newest is None else newest)
    return {load: SwitchCount(count.starts, count.on_ms) for load, count in counts.items()}


def _switchings(journal: OpenToRead, *, since: Instant, until: Instant) -> Iterator[Any]:
    """What, subject and time of all entries of the stretch, of some before it and one after."""
    ranges = number_ranges(journal, since=since, until=until)
    if not ranges:
        return
    first, last = ranges[0][0], ranges[-1][1]
    yield from journal.rows(
        "SELECT what, subject, at FROM entries WHERE id BETWEEN ? AND ? ORDER BY id",
        (first - _LOOK_BACK, min(last, 2**63 - 2) + 1),
    )


def lateness(path: Path, *, since: Instant, until: Instant) -> LatenessFound:
    """How late switchings were carried out in a stretch of time, by the nearest rank.

    Raises:
        UnusableFileError: there is no journal, or it cannot be read.
    """
    late_ms = array("d")
    with open_to_read(path) as journal:
        for first, last in number_ranges(journal, since=since, until=until):
            rows = journal.rows(
                "SELECT late_ms FROM entries WHERE id BETWEEN ? AND ? AND at >= ? AND at < ? "
                "AND late_ms IS NOT NULL",
                (first, last, since, until),
            )
            late_ms.extend(late for (late,) in rows)
    ordered = sorted(late_ms)
    if not ordered:
        return LatenessFound(0, None, None, None)
    p50, p99 = (ordered[-(-len(ordered) * percent // 100) - 1] for percent in (50, 99))
    return LatenessFound(len(ordered), p50, p99, ordered[-1])


def state_at(path: Path, load: str, instant: Instant) -> StateThen:
    """What a load was doing just before a moment, why, and what was noted since.

    Raises:
        UnusableFileError: there is no journal, or it cannot be read.
    """
    with open_to_read(path) as journal:
        for first, last in reversed(number_ranges(journal, since=None, until=instant)):
            rows = journal.rows(
                f"SELECT {COLUMNS} FROM entries WHERE id BETWEEN ? AND ? AND at < ? "  # noqa: S608
                "AND subject = ? AND what IN ('on', 'off') ORDER BY id DESC LIMIT 1",
                (first, last, instant, load),
            )
            for row in rows:
                switching = numbered_of(row)
                return StateThen(switching, _notices(journal, switching.number, instant))
        return StateThen(None, ())


def _notices(journal: OpenToRead, after: int, until: Instant) -> tuple[Numbered, ...]:
    rows = journal.rows(
        f"SELECT {COLUMNS} FROM entries WHERE id > ? AND at < ? "  # noqa: S608
        "AND what NOT IN ('on', 'off') ORDER BY id DESC LIMIT ?",
        (after, until, _NOTICES_MAX),
    )
    return tuple(reversed([numbered_of(row) for row in rows]))
