"""The journal for other programs: CSV and JSON lines."""

from __future__ import annotations

import csv
import json
from typing import TYPE_CHECKING

from controller.core.journal_json import entry_as_json, numbered_as_json

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from typing import Any, TextIO

    from controller.core.journal_entry import Numbered

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
        self._writer.writerows(csv_cells(entry_as_json(line.entry)) for line in lines)


def csv_cells(line: Mapping[str, Any]) -> tuple[str, ...]:
    """The cells below `HEADER` of an entry as `core.journal_json` has it."""
    late_ms = line["late_ms"]
    return (
        *(line[key] for key in ("utc", "what", "subject", "why", "detail")),
        "" if late_ms is None else f"{late_ms:.3f}",
        "yes" if line["clock_trusted"] else "no",
    )


def write_json_lines(stream: TextIO, lines: Iterable[Numbered]) -> None:
    """Writes entries to an open stream as JSON, an object a line."""
    stream.writelines(json_line(numbered_as_json(line)) for line in lines)


def json_line(line: Mapping[str, Any]) -> str:
    """An entry as a line of its own (RFC 8259)."""
    return json.dumps(line, ensure_ascii=False, allow_nan=False) + "\n"
