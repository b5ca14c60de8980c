"""Findings as text, worst first, with what to change."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.findings import LEVELS
from controller.core.phrases import counted
from controller.report.text_cells import printable, wrapped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.findings import Finding, Level
    from controller.report.ink import Ink


def findings_text(found: Sequence[Finding], *, width: int, ink: Ink) -> list[str]:
    """The findings as lines of at most that width; those that say the same of several
    places are told once."""
    places: dict[tuple[Level, str, str], list[str]] = {}
    for finding in found:
        key = (finding.level, finding.message, finding.mend)
        places.setdefault(key, []).append(finding.where)
    lines: list[str] = []
    for (level, message, mend), wheres in places.items():
        lines += [""] if lines else []
        head, *more = wrapped(f"{level}: {', '.join(wheres)}", width, rest="  ")
        lines += [ink.level(level, level) + head.removeprefix(level), *more]
        lines += wrapped(f"{printable(message)}.", width, first="  ", rest="  ")
        lines += wrapped(f"To change: {printable(mend)}.", width, first="  ", rest="    ")
    return lines


def summary(found: Sequence[Finding]) -> str:
    """How many findings of each level there are."""
    counts = [(level, sum(1 for f in found if f.level == level)) for level in LEVELS]
    told = [counted(count, level) for level, count in counts if count]
    return ", ".join(told) if told else "nothing to report"
