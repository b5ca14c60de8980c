"""Walks a plan through a year and says where the season or the clock surprises it.

All in closed form: pieces and their borders are looked at, not every watering.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from controller.core.units import day_number
from controller.core.year.missed_anchors import absent_sun, missing_starts, moved_clock_times
from controller.core.year.sensor_trust import rests_that_a_sensor_may_draw_out
from controller.core.year.span_borders import rests_beyond_the_limit, runs_where_spans_meet
from controller.core.year.span_list import SpanList, span_lists
from controller.core.year.span_order import unusual_orders

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from controller.core.calendar import Calendar
    from controller.core.findings import Finding
    from controller.core.schedule import Schedule

    WalkSpans: TypeAlias = Callable[[Calendar, SpanList, range], list[Finding]]

WALK_DAYS = 366


def walk(schedule: Schedule, first: date, *, walk_spans: WalkSpans | None = None) -> list[Finding]:
    """What happens to a plan in the year that begins on a local date; `walk_spans` may be one
    that remembers what `walked_spans` found."""
    days = range(day_number(first), day_number(first) + WALK_DAYS)
    lists = [*span_lists(schedule)]
    findings = absent_sun(schedule.calendar, lists, days)
    for spans in lists:
        findings += (walk_spans or walked_spans)(schedule.calendar, spans, days)
        findings += rests_that_a_sensor_may_draw_out(schedule.calendar, spans, days)
        limit_ms = schedule.plan.loads[spans.load.name].limits.longest_dry_gap
        if limit_ms is not None:
            findings += rests_beyond_the_limit(schedule.calendar, spans, days, limit_ms=limit_ms)
    return findings


def walked_spans(calendar: Calendar, spans: SpanList, days: range) -> list[Finding]:
    """What happens to one list of spans; besides them only `where` and `name` matter, and of
    its load the name, `waters` and `longest_on_ms`."""
    return [
        *unusual_orders(spans, days),
        *missing_starts(spans, days),
        *moved_clock_times(calendar, spans, days),
        *runs_where_spans_meet(calendar, spans, days),
    ]
