"""The shapes of plans: in force, earlier, looked at, edited, taken."""

from __future__ import annotations

from typing import Any, Literal

from web.shapes.finding import Finding
from web.shapes.told import Told


class PlanInForce(Told):
    """The plan in force."""

    revision: int
    taken_utc: str
    text: str


class RevisionText(Told):
    """The text of a revision."""

    revision: int
    text: str


class RevisionEntry(Told):
    """One plan that was in force."""

    revision: int
    taken_utc: str
    how: str
    note: str
    is_in_force: bool


class Revisions(Told):
    """All that are kept, oldest first."""

    revisions: list[RevisionEntry]


class DifferenceLine(Told):
    """A line that went (-), came (+) or stayed ( ), with its number before and after."""

    sign: Literal["-", "+", " "]
    before: int | None
    after: int | None
    text: str


class Difference(Told):
    """What changed between two revisions, with three lines around."""

    before: int
    after: int
    text: str
    lines: list[DifferenceLine]


class Checked(Told):
    """What there is to say about a plan's text, and the text as JSON."""

    is_fit: bool
    findings: list[Finding]
    document: dict[str, Any] | None


class Edited(Told):
    """A text after edits."""

    text: str
    findings: list[Finding]
    document: dict[str, Any] | None


class Taken(Told):
    """A plan that came into force."""

    revision: int
    is_new: bool
    remarks: list[str]
    findings: list[Finding]
