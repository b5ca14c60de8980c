"""What a load was doing at a time gone by, why, and how everything stood then."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core import standing
from controller.core.journal_entry import Deed, Kind, Numbered
from controller.shell.journal.read_log import Query, number_ranges, read_log
from controller.shell.journal.reading import open_to_read
from controller.shell.journal.rows import COLUMNS, numbered_of

if TYPE_CHECKING:
    from pathlib import Path

    from controller.core.units import Instant
    from controller.shell.journal.reading import OpenToRead

_NOTICES_MAX = 50
_LOOKED_THROUGH = 5_000  # entries that are no switchings, for what stood
_ENDS = (Deed.STARTED.value, Deed.ENDED.value)


class Away(NamedTuple):
    """The controller did not run. `is_certain` is False where it died without a word at some
    moment after its last entry, which is of `since`."""

    since: Instant
    is_certain: bool


class Past(NamedTuple):
    """What is known of a load at a moment.

    `switching` is its last one by then (None: the journal knows none), `notices` what was noted
    between the two besides switchings, `following` its next switching. `stood` are the entries
    that began what had not ended by then: alarms, holds, variants, a stop, a clock not trusted.
    """

    switching: Numbered | None
    notices: tuple[Numbered, ...] = ()
    following: Numbered | None = None
    stood: tuple[Numbered, ...] = ()
    away: Away | None = None


def read_past(path: Path, load: str, instant: Instant) -> Past:
    """What a load was doing at a moment, with what was switched at that very moment.

    Raises:
        UnusableFileError: there is no journal, or it cannot be read.
    """
    until = instant + 1
    with open_to_read(path) as journal:
        ranges = number_ranges(journal, since=None, until=until)
        switching = _last_switching(journal, load, ranges, until)
        if switching is None:
            return Past(None)
        notices = _notices(journal, switching.number, until)
        stood = standing.standing(_that_may_stand(journal, until))
        away = _away(journal, until)
    after = Query(since=until, subject=load, kinds=frozenset({Kind.SWITCHED}), limit=1)
    following = read_log(path, after).lines
    return Past(switching, notices, following[0] if following else None, stood, away)


def _last_switching(
    journal: OpenToRead, load: str, ranges: list[tuple[int, int]], until: Instant
) -> Numbered | None:
    for first, last in reversed(ranges):
        rows = journal.rows(
            f"SELECT {COLUMNS} FROM entries WHERE id BETWEEN ? AND ? AND at < ? "  # noqa: S608
            "AND subject = ? AND what IN ('on', 'off') ORDER BY id DESC LIMIT 1",
            (first, last, until, load),
        )
        for row in rows:
            return numbered_of(row)
    return None


def _notices(journal: OpenToRead, after: int, until: Instant) -> tuple[Numbered, ...]:
    rows = journal.rows(
        f"SELECT {COLUMNS} FROM entries WHERE id > ? AND at < ? "  # noqa: S608
        "AND what NOT IN ('on', 'off') ORDER BY id DESC LIMIT ?",
        (after, until, _NOTICES_MAX),
    )
    return tuple(reversed([numbered_of(row) for row in rows]))


def _that_may_stand(journal: OpenToRead, until: Instant) -> list[Numbered]:
    marks = ", ".join("?" * len(standing.WHATS))
    rows = journal.rows(
        f"SELECT {COLUMNS} FROM entries WHERE what NOT IN ('on', 'off') "  # noqa: S608
        f"AND what IN ({marks}) AND at < ? ORDER BY id DESC LIMIT ?",
        (*standing.WHATS, until, _LOOKED_THROUGH),
    )
    return [numbered_of(row) for row in rows][::-1]


def _away(journal: OpenToRead, until: Instant) -> Away | None:
    """Whether the controller had ended by then, or died before its next start."""
    last = next(
        journal.rows(
            "SELECT what, at FROM entries WHERE what NOT IN ('on', 'off') AND what IN (?, ?) "
            "AND at < ? ORDER BY id DESC LIMIT 1",
            (*_ENDS, until),
        ),
        None,
    )
    if last is not None and last[0] == Deed.ENDED.value:
        return Away(last[1], is_certain=True)
    newest = next(
        journal.rows("SELECT id, at FROM entries WHERE at < ? ORDER BY id DESC LIMIT 1", (until,)),
        None,
    )
    if newest is None:
        return None
    following = next(
        journal.rows("SELECT what FROM entries WHERE id > ? ORDER BY id LIMIT 1", (newest[0],)),
        None,
    )
    if following is not None and following[0] == Deed.STARTED.value:
        return Away(newest[1], is_certain=False)
    return None
