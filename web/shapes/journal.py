"""The shapes of the journal's lines."""

from __future__ import annotations

from web.shapes.told import Told


class Entry(Told):
    """One line of the journal."""

    number: int
    utc: str
    what: str
    subject: str
    why: str
    detail: str
    late_ms: float | None
    clock_trusted: bool
    tick_ms: int


class Log(Told):
    """Entries, oldest first; `next` is the `page` of those before them."""

    entries: list[Entry]
    remark: str
    next: str | None
