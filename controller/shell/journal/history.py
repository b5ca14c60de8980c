"""A stretch of the journal in sum: what loads did, what was noted, how late switchings were."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.journal_entry import Kind, Numbered
from controller.core.journal_history import History, Told, history_of
from controller.shell.journal.figures import LatenessFound, lateness
from controller.shell.journal.read_log import Query, number_ranges, read_log
from controller.shell.journal.reading import open_to_read

if TYPE_CHECKING:
    from pathlib import Path

    from controller.core.units import Instant
    from controller.shell.journal.reading import OpenToRead

# How far back of a stretch the states at its start are looked for. Every start of the
# controller tells them all.
_LOOK_BACK = 20_000
_ENTRIES_MAX = 60_000  # some 50 loads at 15/15 for eight days; of more, the newest
_MARKS_MAX = 500
_OTHERS = frozenset(Kind) - {Kind.SWITCHED}


class HistoryFound(NamedTuple):
    """What the journal tells of a stretch of time. Nothing is known before `known_from` (None:
    there is no entry); `marks` are the entries other than switchings, oldest first, the newest
    of too many."""

    history: History
    known_from: Instant | None
    marks: tuple[Numbered, ...]
    lateness: LatenessFound


def read_history(path: Path, *, since: Instant, until: Instant) -> HistoryFound:
    """The stretch [since, until), by the clock as it was then.

    Raises:
        UnusableFileError: there is no journal, or it cannot be read.
    """
    with open_to_read(path) as journal:
        oldest = next(journal.rows("SELECT at FROM entries ORDER BY id LIMIT 1"), None)
        told = _told(journal, since=since, until=until)
    history = history_of((one for one in told if one.at < until), until=until)
    query = Query(since=since, until=until, kinds=_OTHERS, limit=_MARKS_MAX, is_newest_first=True)
    marks = read_log(path, query).lines[::-1]
    known_from = None if oldest is None else int(oldest[0])
    if known_from is not None and len(told) == _ENTRIES_MAX:
        known_from = max(known_from, told[0].at)
    return HistoryFound(history, known_from, marks, lateness(path, since=since, until=until))


def _told(journal: OpenToRead, *, since: Instant, until: Instant) -> list[Told]:
    """The entries of the stretch, and some from before it that tell the states at its start."""
    ranges = number_ranges(journal, since=since, until=until)
    # Where nothing was noted meanwhile, what was so before lasts on.
    ranges = ranges or number_ranges(journal, since=None, until=until)[-1:]
    if not ranges:
        return []
    rows = journal.rows(
        "SELECT what, subject, at, why FROM (SELECT id, what, subject, at, why FROM entries "
        "WHERE id BETWEEN ? AND ? ORDER BY id DESC LIMIT ?) ORDER BY id",
        (ranges[0][0] - _LOOK_BACK, ranges[-1][1], _ENTRIES_MAX),
    )
    return [Told(what, subject, at, why) for what, subject, at, why in rows]
