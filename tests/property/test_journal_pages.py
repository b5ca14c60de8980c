"""Pages of the log put together are the log, and counts of switchings forget nothing."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from controller.core.journal_entry import Entry, Numbered
from controller.core.wear import Tally
from controller.daemon.journal_answers import log_text
from controller.shell.journal.figures import read_worn
from controller.shell.journal.journal_file import JournalFile
from controller.shell.journal.limits import Limits
from controller.shell.journal.read_log import Query, read_log
from tests.journals import NOON, QUICK
from tests.strategies import examples
from tests.unit.test_journal_trimming import write

# Few instants, in any order: many entries share one, and the clock is put back again and again.
_ENTRIES = st.lists(
    st.builds(
        lambda at, what, load: Entry(NOON + at * 3_600_000, 0, True, what, load, "plan"),
        at=st.integers(0, 60) | st.just(3),
        what=st.sampled_from(["on", "off", "alarm", "controller started"]),
        load=st.sampled_from(["pump", "lamp"]),
    ),
    min_size=1,
    max_size=60,
)


def _page(path: Path, query: Query, last: int, before: int | None) -> tuple[list[int], int | None]:
    """The numbers of one page as the controller answers it, and the `before` of the next."""
    asked = query._replace(limit=last + 1, is_newest_first=True, after=before)
    told = json.loads(log_text(read_log(path, asked), last))
    return [entry["number"] for entry in told["entries"]], told["next"]


def _fits(line: Numbered, query: Query) -> bool:
    entry = line.entry
    since, until = query.since, query.until
    return (
        (since is None or entry.at >= since)
        and (until is None or entry.at < until)
        and (query.subject is None or entry.subject == query.subject)
    )


@given(
    entries=_ENTRIES,
    last=st.integers(1, 9),
    since=st.none() | st.integers(0, 60),
    until=st.none() | st.integers(0, 61),
    subject=st.sampled_from([None, "pump"]),
)
@examples(60)
def test_pages_lose_and_repeat_nothing(
    entries: list[Entry], last: int, since: int | None, until: int | None, subject: str | None
) -> None:
    """However many entries share an instant, and wherever the clock was put back: each that fits
    comes once, in the order in which it was written."""
    query = Query(
        since=None if since is None else NOON + since * 3_600_000,
        until=None if until is None else NOON + until * 3_600_000,
        subject=subject,
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "journal.db"
        file = JournalFile(path, QUICK)
        write(file, entries)
        found: list[int] = []
        before: int | None = None
        while True:
            numbers, before = _page(path, query, last, before)
            assert len(numbers) <= last
            found = numbers + found
            if before is None:
                break
            assert len(numbers) == last
        file.close()
        everything = read_log(path, Query(limit=1_000)).lines
    # The one with which the file begins has no subject.
    assert found == [line.number for line in everything if _fits(line, query)]


def _operations(entries: list[Entry]) -> dict[str, int]:
    """Counted with no regard to time or memory."""
    is_on: dict[str, bool] = {}
    counts: dict[str, int] = {}
    for entry in entries:
        if entry.what == "controller started":
            is_on = {}
        elif entry.what in {"on", "off"}:
            counts.setdefault(entry.subject, 0)
            if entry.what == "on" and not is_on.get(entry.subject):
                counts[entry.subject] += 1
            is_on[entry.subject] = entry.what == "on"
    return counts


@given(
    batches=st.lists(_ENTRIES, min_size=1, max_size=12),
    asks=st.lists(st.booleans(), min_size=12, max_size=12),
    bytes_max=st.sampled_from([20_000, 30_000, 10**9]),
)
@examples(60)
def test_counts_of_switchings_forget_nothing(
    batches: list[list[Entry]], asks: list[bool], bytes_max: int
) -> None:
    """Whatever went because the file was at its bound, and whenever somebody asked."""
    limits = Limits(bytes_max=bytes_max)
    known: Tally | None = None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "journal.db"
        file = JournalFile(path, limits)
        for batch, is_asked in zip(batches, asks, strict=False):
            write(file, batch)
            if is_asked:
                known = read_worn(path, known)
        tallies = [read_worn(path), read_worn(path, known)]
        file.close()
    expected = _operations([entry for batch in batches for entry in batch])
    for tally in tallies:
        assert {name: load.operations for name, load in tally.loads.items()} == expected
