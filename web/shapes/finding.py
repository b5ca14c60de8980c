"""The shape of what a plan's reader should know."""

from __future__ import annotations

from typing import Literal

from web.shapes.told import Told


class FindingPart(Told):
    """Some words of a finding that a form puts in its own way: about the key or table at a dotted
    place, with the value that somebody would type or choose."""

    kind: Literal["key", "value", "line", "fill_in", "leave_out", "missing", "table"]
    at: str
    value: str


class Finding(Told):
    """One thing that a plan's reader should know.

    Message and mend are in the words of the file. Their parts are those of a form: plain words,
    and among them what it puts in its own way; what matters only in a file is left out. Findings
    of a run have no parts.
    """

    level: Literal["error", "warning", "note"]
    where: str
    line: int | None
    message: str
    mend: str
    message_parts: list[str | FindingPart] | None = None
    mend_parts: list[str | FindingPart] | None = None
