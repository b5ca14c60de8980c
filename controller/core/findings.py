"""A finding: one thing that a plan's reader should know, and how to mend it."""

from __future__ import annotations

from typing import Literal, NamedTuple

from controller.core.sentence import for_form

Level = Literal["error", "warning", "note"]
LEVELS: tuple[Level, ...] = ("error", "warning", "note")  # worst first


class Finding(NamedTuple):
    """What was found at one place of a plan.

    `where` is the dotted place (`loads.pump.spans.0.cycle`; list items count from 0),
    `line` the line in the file counted from 1, or None where there is no file. Message and
    mend are texts in the words of the file; many are sentences that know their parts.
    """

    level: Level
    where: str
    message: str
    mend: str
    line: int | None = None

    def as_json(self) -> dict[str, object]:
        """The finding as the `check --json` list has it."""
        return {
            "level": self.level,
            "where": self.where,
            "line": self.line,
            "message": self.message,
            "mend": self.mend,
        }

    def as_form_json(self) -> dict[str, object]:
        """As `as_json`, with the parts by which a form words it for itself."""
        return {
            **self.as_json(),
            "message_parts": for_form(self.message),
            "mend_parts": for_form(self.mend),
        }


def worst_first(findings: list[Finding]) -> list[Finding]:
    """The findings ordered by level, then by line, otherwise as they came."""
    return sorted(findings, key=lambda f: (LEVELS.index(f.level), f.line or 0))
