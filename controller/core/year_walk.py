"""Walks a plan through a year and says where the season or the clock surprises it.

All in closed form: pieces and their borders are looked at, not every watering.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, TypeAlias

from controller.core.anchor import Anchor, ClockTime, LoadChange, SunEvent
from controller.core.findings import Finding
from controller.core.sensor_trust import rests_that_a_sensor_may_draw_out
from controller.core.span_borders import SpanList, rests_beyond_the_limit, runs_where_spans_meet
from controller.core.units import DAY_MS, date_of_number, day_number
from controller.core.words import length_words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from datetime import date

    from controller.core.calendar import Calendar
    from controller.core.schedule import Schedule
    from controller.core.sun import Absence
    from controller.core.timeline import Timeline

    WalkSpans: TypeAlias = Callable[[Calendar, SpanList, range], list[Finding]]

WALK_DAYS = 366


def walk(schedule: Schedule, first: date, *, walk_spans: WalkSpans | None = None) -> list[Finding]:
    """What happens to a plan in the year that begins on a local date; `walk_spans` may be one
    that remembers what `walked_spans` found."""
    days = range(day_number(first), day_number(first) + WALK_DAYS)
    findings = _absent_sun(schedule, days)
    for spans in _span_lists(schedule):
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
        *_unusual_orders(spans, days),
        *_missing_starts(spans, days),
        *_moved_clock_times(calendar, spans, days),
        *runs_where_spans_meet(calendar, spans, days),
    ]


def _span_lists(schedule: Schedule) -> Iterator[SpanList]:
    for load in schedule.loads:
        where = f"loads.{load.name}"
        yield SpanList(load, load.own, f"{where}.spans", load.name)
        for place, variant in enumerate(load.variants):
            yield SpanList(
                load,
                load.variant_timelines[place],
                f"{where}.variants.{place}.spans",
                f"{load.name}, variant {variant.name}",
            )


def _ranges(numbers: Iterable[int]) -> Iterator[tuple[int, int]]:
    """Day numbers as ranges, first and last included."""
    start = last = None
    for number in numbers:
        if last is not None and number == last + 1:
            last = number
            continue
        if start is not None and last is not None:
            yield start, last
        start = last = number
    if start is not None and last is not None:
        yield start, last


def _dates(numbers: Iterable[int], *, ranges_max: int = 4) -> str:
    """Day numbers in words: `on 29 Mar 2026`, `from 18 May to 26 Jul 2026 (70 days)`."""
    texts = []
    for first, last in _ranges(numbers):
        begin, end = date_of_number(first), date_of_number(last)
        if first == last:
            texts.append(f"on {begin.day} {begin:%b %Y}")
        else:
            days = last - first + 1
            texts.append(f"from {begin.day} {begin:%b %Y} to {end.day} {end:%b %Y} ({days} days)")
    if len(texts) > ranges_max:
        texts = [*texts[:ranges_max], f"and {len(texts) - ranges_max} times more"]
    return ", ".join(texts)


# What the sun does not do


def _absent_sun(schedule: Schedule, days: range) -> list[Finding]:
    used = {
        anchor.base
        for spans in _span_lists(schedule)
        for anchor in (span.anchor for span in spans.timeline.spans)
        if isinstance(anchor.base, SunEvent)
    }
    findings = []
    for event in SunEvent:
        if event not in used:
            continue
        absent: dict[Absence, list[int]] = {}
        for number in days:
            time = schedule.calendar.sun_time(event, number)
            if time.absence is not None:
                absent.setdefault(time.absence, []).append(number)
        for absence, numbers in absent.items():
            stands_at = "solar midnight" if absence.name == "SUN_STAYS_UP" else "solar noon"
            what = (
                absence.value
                if event in {SunEvent.SUNRISE, SunEvent.SUNSET}
                else (
                    "the sun never comes 6° under the horizon"
                    if absence.name == "SUN_STAYS_UP"
                    else "the sun stays more than 6° under the horizon"
                )
            )
            findings.append(
                Finding(
                    "note",
                    "site.latitude",
                    f"{_dates(numbers)} there is no {event.value}: {what}; "
                    f"the anchor stands at {stands_at}",
                    "look at such a date with `rootclock day`; clock times or a lamp's anchors "
                    "give a steadier day",
                )
            )
    return findings


# In which order the spans of a day start


def _unusual_orders(spans: SpanList, days: range) -> list[Finding]:
    """Dates on which spans follow each other otherwise than on most days of the year.

    What follows a span is told by which span it is and how many days on it belongs: under
    the midnight sun yesterday's sunset + 1h comes after today's sunrise - 30m.
    """
    if len(spans.timeline.spans) < 2:
        return []
    patterns: dict[tuple[tuple[int, int, int], ...], list[int]] = {}
    for number, pattern in _followings(spans.timeline, days):
        patterns.setdefault(pattern, []).append(number)
    usual = max(patterns, key=lambda pattern: len(patterns[pattern]))
    unusual = sorted(
        number for pattern, numbers in patterns.items() if pattern != usual for number in numbers
    )
    # A change of order shows on the days before and after it as well; one finding a season.
    findings = []
    for first, last in _ranges(unusual):
        middle = (first + last) // 2
        findings.append(
            Finding(
                "warning",
                spans.where,
                f"{spans.name}: {_dates(range(first, last + 1))} the spans follow each other "
                f"otherwise than usual; {_shares(spans.timeline, middle)}",
                "see whether that is meant (`rootclock day PLAN --on DATE`); if not, move an "
                "anchor or use clock times",
            )
        )
    return findings


def _followings(
    timeline: Timeline, days: range
) -> Iterator[tuple[int, tuple[tuple[int, int, int], ...]]]:
    """For each day what follows each of its starts: (span, following span, days on)."""
    ordered = sorted(
        (start, span, number)
        for number in range(days.start - 1, days.stop + 2)
        for start, span in timeline.starts_of_day(number)
    )
    followed: dict[int, list[tuple[int, int, int]]] = {number: [] for number in days}
    for (_, span, number), (_, following, other) in pairwise(ordered):
        if number in followed:
            followed[number].append((span, following, other - number))
    for number, pattern in followed.items():
        yield number, tuple(sorted(pattern))


def _shares(timeline: Timeline, number: int) -> str:
    """How long each span is in force around a day, in words."""
    begin, end = number * DAY_MS, (number + 1) * DAY_MS
    in_force: dict[int, int] = {}
    for piece in timeline.pieces(begin, end):
        within_ms = min(piece.end, end) - max(piece.start, begin)
        in_force[piece.span] = in_force.get(piece.span, 0) + within_ms
    texts = [
        f"`{span.anchor}` ({span.cycle_words}) for {length_words(in_force[place])}"
        if place in in_force
        else f"`{span.anchor}` never"
        for place, span in enumerate(timeline.spans)
    ]
    day = date_of_number(number)
    return f"of the 24 hours of {day.day} {day:%b} it is " + ", ".join(texts)


def _missing_starts(spans: SpanList, days: range) -> list[Finding]:
    """Anchors that follow a load which does not change on some dates."""
    findings = []
    for place, span in enumerate(spans.timeline.spans):
        if not isinstance(span.anchor.base, LoadChange):
            continue
        missing = [
            number
            for number in days
            if place not in {started for _, started in spans.timeline.starts_of_day(number)}
        ]
        if missing:
            is_never = len(missing) == len(days)
            findings.append(
                Finding(
                    "error" if is_never else "warning",
                    f"{spans.where}.{place}.from",
                    f"{spans.name}: `{span.anchor}` "
                    + (
                        "never happens in the year"
                        if is_never
                        else f"does not happen {_dates(missing)}"
                    ),
                    f"let {span.anchor.base.load} change to that state every day, or anchor the "
                    "span to a clock time",
                )
            )
    return findings


# What the clock does


def _moved_clock_times(calendar: Calendar, spans: SpanList, days: range) -> list[Finding]:
    """Clock times that a date skips or repeats where the zone's clocks are moved."""
    findings = []
    moved = [
        number
        for number in days
        if calendar.midnight(number + 1) - calendar.midnight(number) != DAY_MS
    ]
    for place, span in enumerate(spans.timeline.spans):
        anchor = span.anchor
        if not isinstance(anchor.base, ClockTime):
            continue
        for number in moved:
            text = _moved_words(calendar, anchor, number)
            if text:
                findings.append(
                    Finding(
                        "note",
                        f"{spans.where}.{place}.from",
                        f"{spans.name}: {_dates([number])} {text}",
                        "nothing has to be done; choose a time outside of 00:00 to 03:00 to "
                        "stay clear of it",
                    )
                )
    return findings


def _moved_words(calendar: Calendar, anchor: Anchor, number: int) -> str:
    base = anchor.base
    if not isinstance(base, ClockTime):
        return ""
    start = calendar.clock_time(number, base.time_ms)
    shown = calendar.local(start)
    dial_ms = ((shown.hour * 60 + shown.minute) * 60 + shown.second) * 1000
    if dial_ms != base.time_ms or shown.date() != date_of_number(number):
        return f"the clocks skip {base}: the span starts at {shown:%H:%M} instead"
    # A repeated time is shown again later the same day.
    day_ms = calendar.midnight(number + 1) - calendar.midnight(number)
    again = start + day_ms - DAY_MS
    if day_ms > DAY_MS and calendar.local(again).time() == shown.time():
        return f"the clocks show {base} twice: the span starts at the first"
    return ""
