"""One local date of a plan: what the sun does, and when which span starts."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.anchor import SunEvent
from controller.core.sun import Absence
from controller.core.units import day_number, rfc3339
from controller.core.words import length_words
from controller.report.text_cells import width_of, wrapped

if TYPE_CHECKING:
    from datetime import date

    from controller.core.plan_parts.spans import Span
    from controller.core.schedule import LoadSchedule, Schedule
    from controller.core.spans_in_force import Piece
    from controller.core.timeline import Timeline
    from controller.core.units import Instant

_ABSENT = {
    None: "not on this date",
    Absence.SUN_STAYS_UP: "none: the sun stays up",
    Absence.SUN_STAYS_DOWN: "none: the sun stays down",
}
_TWILIGHT_ABSENT = {
    None: "not on this date",
    Absence.SUN_STAYS_UP: "none: it does not get dark",
    Absence.SUN_STAYS_DOWN: "none: it does not get light",
}

_FURTHER = "    "  # before what goes on in the next line


class DaySpan(NamedTuple):
    """A span that an anchor of the date starts; `place` is its place in the plan's list."""

    start: Instant
    span: Span
    place: int


def spans_on(schedule: Schedule, timeline: Timeline, day: date) -> list[DaySpan]:
    """The spans whose anchors belong to a local date, in the order in which they start.

    A span that starts at the same instant as another and loses to it is listed before it.
    """
    number = day_number(day)
    found = []
    for place, span in enumerate(timeline.spans):
        base = span.anchor.base
        numbers = (
            schedule.calendar.solar_days_of(base, day) if isinstance(base, SunEvent) else [number]
        )
        for of_number in numbers:
            found += [
                (start, place)
                for start, started in timeline.starts_of_day(of_number)
                if started == place
            ]
    found.sort()
    spans = timeline.spans
    return [DaySpan(start.instant, spans[place], place) for start, place in found]


def in_force_at_midnight(schedule: Schedule, timeline: Timeline, day: date) -> Piece:
    """The piece in force when a local date begins."""
    return timeline.piece_at(schedule.calendar.midnight(day_number(day)))


def day_json(schedule: Schedule, day: date) -> dict[str, object]:
    """The date as `day --json` has it."""
    anchors: dict[str, str | None] = {}
    absences: dict[str, str] = {}
    for event in SunEvent:
        time = schedule.calendar.sun_event_on(event, day)
        anchors[event.value] = rfc3339(time) if isinstance(time, int) else None
        if not isinstance(time, int):
            absences[event.value] = _absence_words(event, time)
    return {
        "date": day.isoformat(),
        "timezone": schedule.calendar.zone.key,
        "anchors": anchors,
        "absences": absences,
        "loads": {load.name: _load_json(schedule, load, day) for load in schedule.loads},
    }


def _load_json(schedule: Schedule, load: LoadSchedule, day: date) -> dict[str, object]:
    at_midnight = in_force_at_midnight(schedule, load.own, day)
    return {
        "spans": _spans_json(schedule, load.own, day),
        "in_force_at_midnight": {
            "start_utc": rfc3339(at_midnight.start),
            "from": str(load.own.spans[at_midnight.span].anchor) if at_midnight.span >= 0 else None,
            "cycle": (
                str(load.own.spans[at_midnight.span].cycle_)
                if at_midnight.span >= 0
                else str(at_midnight.cycle)
            ),
        },
        "variants": {
            variant.name: _spans_json(schedule, timeline, day)
            for variant, timeline in zip(load.variants, load.variant_timelines, strict=True)
        },
    }


def _spans_json(schedule: Schedule, timeline: Timeline, day: date) -> list[dict[str, str]]:
    return [
        {
            "start_utc": rfc3339(one.start),
            "from": str(one.span.anchor),
            "cycle": str(one.span.cycle_),
        }
        for one in spans_on(schedule, timeline, day)
    ]


def _absence_words(event: SunEvent, absence: Absence | None) -> str:
    twilight = event in {SunEvent.DAWN, SunEvent.DUSK}
    return (_TWILIGHT_ABSENT if twilight else _ABSENT)[absence]


def day_text(schedule: Schedule, day: date, *, width: int) -> str:
    """The date for people, in local time, in lines of at most `width` cells."""
    calendar = schedule.calendar
    number = day_number(day)
    hours = length_words(calendar.midnight(number + 1) - calendar.midnight(number))
    lines = wrapped(
        f"{day:%A} {day.day} {day:%B %Y}, {calendar.zone.key}, {hours} long", width, rest="  "
    )
    lines.append("")
    for event in (SunEvent.DAWN, SunEvent.SUNRISE, SunEvent.SUNSET, SunEvent.DUSK):
        time = calendar.sun_event_on(event, day)
        shown = (
            _clock(schedule, time, day) if isinstance(time, int) else _absence_words(event, time)
        )
        lines.append(f"  {event.value:<8} {shown}")
    for load in schedule.loads:
        lines += ["", *wrapped(f"{load.name} ({load.kind})", width, rest="  ")]
        before = in_force_at_midnight(schedule, load.own, day)
        if before.start < calendar.midnight(number):
            what = (
                load.own.spans[before.span].cycle_words if before.span >= 0 else str(before.cycle)
            )
            since = _clock(schedule, before.start, day)
            lines += wrapped(
                f"before that: {what}, since {since}", width, first="  ", rest=_FURTHER
            )
        lines += _span_lines(schedule, load.own, day, width=width, indent="  ")
        for variant, timeline in zip(load.variants, load.variant_timelines, strict=True):
            lines += wrapped(f"variant {variant.name}:", width, first="  ", rest=_FURTHER)
            lines += _span_lines(schedule, timeline, day, width=width, indent="    ")
    return "\n".join(lines)


def _span_lines(
    schedule: Schedule, timeline: Timeline, day: date, *, width: int, indent: str
) -> list[str]:
    spans = spans_on(schedule, timeline, day)
    if not spans:
        return wrapped("no span starts on this date", width, first=indent, rest=indent)
    lines: list[str] = []
    for one in spans:
        clock = _clock(schedule, one.start, day)
        head, what = f"{indent}{clock}  ", one.span.cycle_words
        anchor = str(one.span.anchor)
        line = f"{head}{what}" if anchor in clock else f"{head}{what}   ({anchor})"
        if width_of(line) > width:
            told = line.removeprefix(head)
            lines += wrapped(told, width, first=head, rest=" " * width_of(head))
        else:
            lines.append(line)
    return lines


def _clock(schedule: Schedule, instant: Instant, day: date) -> str:
    local_time = schedule.calendar.local(instant)
    text = f"{local_time:%H:%M:%S}" if local_time.second else f"{local_time:%H:%M}"
    return text if local_time.date() == day else f"{text} on {local_time.day} {local_time:%b}"
