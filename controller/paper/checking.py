"""All findings about a plan that can be read: its own, and those of its year."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.findings import worst_first
from controller.core.year.walk import walk

if TYPE_CHECKING:
    from datetime import date

    from controller.core.findings import Finding
    from controller.core.plan_text.reading import ReadPlan
    from controller.core.schedule import Schedule
    from controller.core.year.walk import WalkSpans


def checked(
    read: ReadPlan, schedule: Schedule, first: date, *, walk_spans: WalkSpans | None = None
) -> list[Finding]:
    """What `check` tells, worst first; the year begins on the local date `first`. `walk_spans` is
    as for `core.year.walk.walk`."""
    walked = [
        finding._replace(line=read.lines.of(finding.where))
        for finding in walk(schedule, first, walk_spans=walk_spans)
    ]
    return worst_first([*read.findings, *walked])
