"""Questions to the journal, and bounded answers, page by page."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.journal_entry import Kind, whats_of
from controller.core.units import DAY_MS
from controller.shell.journal import facts
from controller.shell.journal.reading import open_to_read
from controller.shell.journal.rows import COLUMNS, numbered_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from controller.core.journal_entry import Numbered
    from controller.core.units import Instant
    from controller.shell.journal.reading import OpenToRead

ENTRIES_MAX = 10_000  # in one answer; the next page has more
_LAST = 2**63 - 1


class Query(NamedTuple):
    """Which entries are asked for; what is left out is not asked.

    `since` and `until` are half open, by the clock as it was then. `find` is looked for in
    the subject and the text, whether large or small. `after` is the number of the last entry
    of the page before, in the same order.
    """

    since: Instant | None = None
    until: Instant | None = None
    subject: str | None = None
    kinds: frozenset[Kind] = frozenset()
    find: str = ""
    limit: int = 1_000
    is_newest_first: bool = False
    after: int | None = None


class Page(NamedTuple):
    """Entries in the order that was asked for; more may follow where there are as many as the
    limit. `remark` says what cannot be read."""

    lines: tuple[Numbered, ...]
    remark: str


class Facts(NamedTuple):
    """What a reader should know beforehand: the zone of the site (None: not known), the loads
    and sensors of late, and what cannot be read."""

    zone: str | None
    subjects: tuple[str, ...]
    remark: str


def read_facts(path: Path) -> Facts:
    """What the journal is about.

    Raises:
        UnusableFileError: there is no journal, or it cannot be read.
    """
    with open_to_read(path) as journal:
        subjects = journal.rows(
            "SELECT DISTINCT subject FROM (SELECT subject FROM entries ORDER BY id DESC LIMIT ?) "
            "WHERE subject != '' ORDER BY subject",
            (ENTRIES_MAX,),
        )
        names = tuple(str(subject) for (subject,) in subjects)
        return Facts(facts.zone(journal.connection), names, journal.remark)


def read_log(path: Path, query: Query) -> Page:
    """The entries that a query asks for, at most `ENTRIES_MAX` of them.

    Raises:
        UnusableFileError: there is no journal, or it cannot be read.
    """
    limit = min(query.limit, ENTRIES_MAX)
    found: list[Numbered] = []
    with open_to_read(path) as journal:
        needle = query.find.casefold()
        journal.connection.create_function("holds", 1, lambda text: needle in text.casefold())
        ranges = number_ranges(journal, since=query.since, until=query.until)
        for numbers in reversed(ranges) if query.is_newest_first else ranges:
            if len(found) < limit:
                found += _in_range(journal, query, numbers, limit - len(found))
        return Page(tuple(found), journal.remark)


def _in_range(
    journal: OpenToRead, query: Query, numbers: tuple[int, int], limit: int
) -> Iterator[Numbered]:
    first, last = numbers
    if query.after is not None and query.is_newest_first:
        last = min(last, query.after - 1)
    elif query.after is not None:
        first = max(first, query.after + 1)
    conditions: list[str] = ["id BETWEEN ? AND ?"]
    values: list[Any] = [first, last]
    for condition, value in (
        ("at >= ?", query.since),
        ("at < ?", query.until),
        ("subject = ?", query.subject),
    ):
        if value is not None:
            conditions.append(condition)
            values.append(value)
    if query.kinds:
        whats = [what for kind in query.kinds for what in whats_of(kind)]
        conditions.append(f"what IN ({', '.join('?' * len(whats))})")
        values += whats
        if Kind.SWITCHED not in query.kinds:  # in the index's own words, so that it is used
            conditions.append("what NOT IN ('on', 'off')")
    if query.find:
        conditions.append("holds(subject || ' ' || what || ' ' || why || ' ' || detail)")
    order = "DESC" if query.is_newest_first else "ASC"
    rows = journal.rows(
        # Only words of this file are put together; what was given is bound.
        f"SELECT {COLUMNS} FROM entries WHERE {' AND '.join(conditions)} "  # noqa: S608
        f"ORDER BY id {order} LIMIT ?",
        (*values, limit),
    )
    yield from map(numbered_of, rows)


def number_ranges(
    journal: OpenToRead, *, since: Instant | None, until: Instant | None
) -> list[tuple[int, int]]:
    """The numbers, from and to, among which all entries of a stretch of time are; in order.

    More than one where the clock was set back. Found without looking at the entries.
    """
    runs = [*journal.rows("SELECT first_id, day FROM days ORDER BY first_id"), (_LAST + 1, 0)]
    ranges: list[tuple[int, int]] = []
    for (first, day), (following, _) in pairwise(runs):
        is_before = since is not None and (day + 1) * DAY_MS <= since
        is_after = until is not None and day * DAY_MS >= until
        if is_before or is_after:
            continue
        if ranges and ranges[-1][1] == first - 1:
            first = ranges.pop()[0]
        ranges.append((first, following - 1))
    return ranges
