"""What happens where one span ends and the next begins: waterings and rests that run together.

A rest on demand counts as the longest that the plan allows it: how long one is at a border
hangs on the air of that day.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from controller.core.findings import Finding
from controller.core.phrases import times_words
from controller.core.plan_text import said
from controller.core.plan_text.place import dotted
from controller.core.sentence import Sentence
from controller.core.spans_in_force import LOOK_DAYS
from controller.core.units import DAY_MS, duration_text
from controller.core.words import length_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from controller.core.calendar import Calendar
    from controller.core.spans_in_force import Piece
    from controller.core.timeline import Timeline
    from controller.core.units import Instant
    from controller.core.year.span_list import SpanList


class Run(NamedTuple):
    """An unbroken state over one border of spans or more."""

    is_on: bool
    start: Instant
    end: Instant

    @property
    def length_ms(self) -> int:
        """How long it lasts."""
        return self.end - self.start


def runs_over_borders(pieces: Iterable[Piece]) -> Iterator[Run]:
    """Every unbroken state that reaches over the border of two pieces or more, those on demand by
    their fixed cycles."""
    state, since, crossed = None, 0, False
    for piece in pieces:
        cycle, length_ms = piece.cycle, piece.end - piece.start
        entered, change_ms = cycle.look_ms(0)
        if state is None:
            state, since = entered, piece.start
        elif entered is state:
            crossed = True
        else:
            if crossed:
                yield Run(state, since, piece.start)
            state, since, crossed = entered, piece.start, False
        if change_ms is not None and change_ms < length_ms:
            if crossed:
                yield Run(state, since, piece.start + change_ms)
            state = cycle.state_at(length_ms - 1)
            since, crossed = piece.start + cycle.segment_start_ms(length_ms - 1), False


def rests_after_demands(timeline: Timeline, start: Instant, end: Instant) -> Iterator[Run]:
    """The longest rest that each demand may hand over to a span with a cycle of its own, until
    that or one after it waters; none where it waters at once."""
    for piece, following in pairwise(timeline.pieces(start, end)):
        bounds = timeline.demand_of(piece)
        if bounds is None or timeline.demand_of(following) is not None:
            continue
        if not following.cycle.state_at(0):
            watered = piece.end - bounds.longest_rest_ms
            yield Run(False, watered, _watered_again(timeline, piece.end, watered=watered))


def _watered_again(timeline: Timeline, at: Instant, *, watered: Instant) -> Instant:
    """When roots that were watered last at an instant are so again at the latest, from a border
    on; the end of sight where that is farther."""
    horizon = at + LOOK_DAYS * DAY_MS
    while at < horizon:
        piece = timeline.piece_at(at)
        bounds = timeline.demand_of(piece)
        if bounds is not None:
            return max(at, watered + bounds.longest_rest_ms)
        is_on, change_ms = piece.cycle.look_ms(at - piece.start)
        if is_on:
            return at
        if change_ms is not None and piece.start + change_ms < piece.end:
            return piece.start + change_ms
        at = piece.end
    return horizon


def runs_where_spans_meet(calendar: Calendar, spans: SpanList, days: range) -> list[Finding]:
    """Waterings that run together beyond `longest_on`, and rests beyond what any span has."""
    start, end = calendar.midnight(days.start), calendar.midnight(days.stop)
    longest: dict[bool, Run] = {}
    cut: list[Run] = []
    limit_ms = spans.load.longest_on_ms
    for run in runs_over_borders(spans.timeline.pieces(start, end)):
        if run.is_on not in longest or run.length_ms > longest[run.is_on].length_ms:
            longest[run.is_on] = run
        if run.is_on and limit_ms is not None and run.length_ms > limit_ms:
            cut.append(run)
    findings = []
    if cut:
        worst, place = longest[True], ("loads", spans.load.name, "longest_on")
        findings.append(
            Finding(
                "note",
                dotted(place),
                Sentence(
                    f"{spans.name}: where spans meet, waterings run together "
                    f"{times_words(len(cut))} in the year, longest "
                    f"{duration_text(worst.length_ms)} {_when(calendar, worst.start)}; ",
                    said.key(place),
                    f" cuts them at {duration_text(limit_ms or 0)}",
                ),
                "nothing has to be done; start the later cycle with its off step to avoid it",
            )
        )
    if spans.load.waters and not _has_an_end_less_rest(spans.timeline):
        rests = [*rests_after_demands(spans.timeline, start, end)]
        if False in longest:
            rests.append(longest[False])
        findings += _unplanned_rest(calendar, spans, rests)
    return findings


def _unplanned_rest(calendar: Calendar, spans: SpanList, rests: list[Run]) -> Iterator[Finding]:
    gap = max(rests, key=lambda run: run.length_ms, default=None)
    planned_ms = max(span.dry_gap_ms or 0 for span in spans.timeline.spans)
    if gap is not None and gap.length_ms > planned_ms:
        yield Finding(
            "warning",
            spans.where,
            f"{spans.name}: where spans meet, the roots stay dry for up to "
            f"{length_words(gap.length_ms)} {_when(calendar, gap.start)}, longer than "
            f"any cycle's own rest of {length_words(planned_ms)}",
            "start each cycle with its on step",
        )


def _has_an_end_less_rest(timeline: Timeline) -> bool:
    return any(span.dry_gap_ms is None for span in timeline.spans)


def rests_beyond_the_limit(
    calendar: Calendar, spans: SpanList, days: range, *, limit_ms: int
) -> Iterator[Finding]:
    """A rest on demand that goes on through a span without water, for longer than the plan's limit
    has it. Where every span waters, `runs_where_spans_meet` tells of it."""
    timeline = spans.timeline
    if not spans.load.waters or not timeline.demands or not _has_an_end_less_rest(timeline):
        return
    start, end = calendar.midnight(days.start), calendar.midnight(days.stop)
    rests = rests_after_demands(timeline, start, end)
    worst = max(rests, key=lambda run: run.length_ms, default=None)
    if worst is None or worst.length_ms <= limit_ms:
        return
    yield Finding(
        "warning",
        spans.where,
        Sentence(
            f"{spans.name}: where a span on demand ends, its longest rest may go on through the "
            f"next span, and the roots stay dry for up to {length_words(worst.length_ms)} "
            f"{_when(calendar, worst.start)}; the limit ",
            said.key(("loads", spans.load.name, "limits", "longest_dry_gap")),
            f" is {duration_text(limit_ms)}",
        ),
        "let the next span begin with water, or state a longer limit if the roots can bear it",
    )


def _when(calendar: Calendar, instant: Instant) -> str:
    local_time = calendar.local(instant)
    return f"on {local_time.day} {local_time:%b %Y} from {local_time:%H:%M}"
