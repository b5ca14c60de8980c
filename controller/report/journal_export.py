"""The journal for other programs: CSV and JSON lines."""

from __future__ import annotations

import csv
import json
from typing import TYPE_CHECKING

from controller.core.units import rfc3339

if TYPE_CHECKING:
    from collections.abc import Iterable
    from typing import TextIO

    from controller.core.journal_entry import Entry, Numbered

HEADER = ("utc", "what", "subject", "why", "detail", "late_ms", "clock_trusted")


class JournalCsv:
    """Writes entries to an open stream as CSV, after a header.

    Fields are quoted where RFC 4180 asks for it; lines end with a line feed, as in the
    events file. What is not known is empty; `clock_trusted` is `yes` or `no`.
    """

    def __init__(self, stream: TextIO) -> None:
        self._writer = csv.writer(stream, lineterminator="\n")
        self._writer.writerow(HEADER)

    def write(self, lines: Iterable[Numbered]) -> None:
        """Writes one row an entry."""
        self._writer.writerows(_row(line.entry) for line in lines)


def _row(entry: Entry) -> tuple[str, ...]:
    return (
        rfc3339(entry.at),
        entry.what,
        entry.subject,
        entry.why,
        entry.detail,
        "" if entry.late_ms is None else f"{entry.late_ms:.3f}",
        "yes" if entry.is_clock_trusted else "no",
    )


def write_json_lines(stream: TextIO, lines: Iterable[Numbered]) -> None:
    """Writes entries to an open stream as JSON, an object a line (RFC 8259)."""
    for number, entry in lines:
        line = {
            "number": number,
            "utc": rfc3339(entry.at),
            "what": entry.what,
            "subject": entry.subject,
            "why": entry.why,
            "detail": entry.detail,
            "late_ms": entry.late_ms,
            "clock_trusted": entry.is_clock_trusted,
            "tick_ms": entry.tick,
        }
        stream.write(json.dumps(line, ensure_ascii=False, allow_nan=False) + "\n")
