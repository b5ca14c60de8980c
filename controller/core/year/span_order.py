"""In which order the spans of a day follow each other, and on which dates they do otherwise."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from controller.core.findings import Finding
from controller.core.units import DAY_MS, date_of_number
from controller.core.words import length_words
from controller.core.year.day_ranges import dates_words, ranges

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.timeline import Timeline
    from controller.core.year.span_list import SpanList


def unusual_orders(spans: SpanList, days: range) -> list[Finding]:
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
    for first, last in ranges(unusual):
        middle = (first + last) // 2
        findings.append(
            Finding(
                "warning",
                spans.where,
                f"{spans.name}: {dates_words(range(first, last + 1))} the spans follow each other "
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
