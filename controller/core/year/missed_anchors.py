"""Anchors that some dates of a year do not have, or not as they are written: no sunrise, no change
of a lamp, a time of the clock that is skipped or comes twice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.anchor import Anchor, ClockTime, LoadChange, SunEvent
from controller.core.findings import Finding
from controller.core.units import DAY_MS, date_of_number
from controller.core.year.day_ranges import dates_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.calendar import Calendar
    from controller.core.sun import Absence
    from controller.core.year.span_list import SpanList


def absent_sun(calendar: Calendar, lists: Sequence[SpanList], days: range) -> list[Finding]:
    """Sun events that anchors name and that some dates do not have."""
    used = {
        anchor.base
        for spans in lists
        for anchor in (span.anchor for span in spans.timeline.spans)
        if isinstance(anchor.base, SunEvent)
    }
    findings = []
    for event in SunEvent:
        if event not in used:
            continue
        absent: dict[Absence, list[int]] = {}
        for number in days:
            time = calendar.sun_time(event, number)
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
                    f"{dates_words(numbers)} there is no {event.value}: {what}; "
                    f"the anchor stands at {stands_at}",
                    "look at such a date with `rootclock day`; clock times or a lamp's anchors "
                    "give a steadier day",
                )
            )
    return findings


def missing_starts(spans: SpanList, days: range) -> list[Finding]:
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
                        else f"does not happen {dates_words(missing)}"
                    ),
                    f"let {span.anchor.base.load} change to that state every day, or anchor the "
                    "span to a clock time",
                )
            )
    return findings


def moved_clock_times(calendar: Calendar, spans: SpanList, days: range) -> list[Finding]:
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
                        f"{spans.name}: {dates_words([number])} {text}",
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
