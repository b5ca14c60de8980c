"""An entry of the journal as JSON has it, for the socket and for export."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.units import rfc3339

if TYPE_CHECKING:
    from controller.core.journal_entry import Entry, Numbered


def entry_as_json(entry: Entry) -> dict[str, Any]:
    """The entry as a JSON object; `utc` is RFC 3339 with Z."""
    return {
        "utc": rfc3339(entry.at),
        "what": entry.what,
        "subject": entry.subject,
        "why": entry.why,
        "detail": entry.detail,
        "late_ms": entry.late_ms,
        "clock_trusted": entry.is_clock_trusted,
        "tick_ms": entry.tick,
    }


def numbered_as_json(line: Numbered) -> dict[str, Any]:
    """The entry as a JSON object, with its number in the journal first."""
    return {"number": line.number, **entry_as_json(line.entry)}
