"""What the journal says in sum: how late switchings were, and how often relays switched."""

from __future__ import annotations

from array import array
from typing import TYPE_CHECKING, NamedTuple

from controller.shell.journal.read_log import number_ranges
from controller.shell.journal.reading import open_to_read
from controller.shell.journal.worn import count_on, goes_on, kept_worn

if TYPE_CHECKING:
    from pathlib import Path

    from controller.core.units import Instant
    from controller.core.wear import Tally

_AT_ONCE = 20_000  # entries; some tens of milliseconds in which the journal's log cannot shrink


class LatenessFound(NamedTuple):
    """Of how many switchings, and how late they were carried out, in ms; None where there
    were none."""

    count: int  # type: ignore[assignment]  # nobody counts these fields
    p50_ms: float | None
    p99_ms: float | None
    max_ms: float | None


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


def read_worn(path: Path, known: Tally | None = None) -> Tally:
    """How often every load has switched over the journal's life; `known` is what an earlier call
    has told, is counted on, and spares its work.

    Raises:
        UnusableFileError: there is no journal, or it cannot be read.
    """
    tally = known
    while True:
        with open_to_read(path) as journal:
            kept = kept_worn(journal.connection)
            if tally is None or not goes_on(journal.connection, tally, kept):
                tally = kept
            before = tally.up_to
            count_on(journal.connection, tally, limit=_AT_ONCE)
        if tally.up_to == before:
            return tally
