"""Reasons, alarms and notices as sentences for a grower; every word of them stands here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.anchor import Anchor, ClockTime, LoadChange
from controller.core.orders import Reason, Why
from controller.core.units import (
    DATE_MAX,
    DATE_MIN,
    DAY_MS,
    HOUR_MS,
    MINUTE_MS,
    SECOND_MS,
    day_number,
)

if TYPE_CHECKING:
    from controller.core.calendar import Calendar
    from controller.core.plan_parts.spans import Span
    from controller.core.schedule import LoadSchedule
    from controller.core.timeline import Timeline
    from controller.core.units import Instant

# What a load does when on and off, and what its being on is called.
_DOING = {
    "pump": ("Watering", "Resting", "watering"),
    "valve": ("Open", "Closed", "opening"),
    "lamp": ("Lit", "Dark", "light"),
    "fan": ("Blowing", "Still", "run"),
    "heater": ("Heating", "Cold", "heating"),
}

_BECAUSE = {
    Why.NO_POWER: "No power.",
    Why.STOPPED: "Everything is stopped until a person lets it go on.",
    Why.LEAK: "Stopped: {detail} told of a leak. Look for it, then acknowledge the alarm.",
    Why.LEVEL_LOW: "Stopped: {detail} says the reservoir is low. Top it up.",
    Why.NO_FLOW: "Stopped: it ran and {detail} saw no water. Look at pump and hose.",
    Why.LONGEST_ON: "Has been on for as long as it may at a stretch (longest_on).",
    Why.SHORTEST_ON: "Finishing its shortest time on (shortest_on).",
    Why.SHORTEST_OFF: "Finishing its shortest rest (shortest_off).",
    Why.STARTS_APART: "Waiting for its turn: starts are kept apart.",
    Why.WATTS_AT_ONCE: "Waiting: as many watts are in use as may be at once.",
    Why.WITHOUT_CLOCK: "The clock is not trusted, so it runs on elapsed time.",
    Why.RECOVERY: "Recovery watering: the roots were dry for longer than planned.",
    Why.NO_SPAN: "The plan has no span for this moment.",
}
# A board's clock that shows another time than these knows none.
_EARLIEST = day_number(DATE_MIN) * DAY_MS
_LATEST = day_number(DATE_MAX) * DAY_MS


def sentence(
    reason: Reason, load: LoadSchedule, *, is_on: bool, now: Instant, calendar: Calendar
) -> str:
    """What the load does, until when, and why: two or three short sentences."""
    parts = [_state_words(reason, load, is_on=is_on, now=now, calendar=calendar)]
    if reason.why in _BECAUSE:
        parts.append(_BECAUSE[reason.why].format(detail=reason.detail))
    else:
        parts.append(_order_words(reason, load, now=now, calendar=calendar))
    return " ".join(filter(None, parts))


def _state_words(
    reason: Reason, load: LoadSchedule, *, is_on: bool, now: Instant, calendar: Calendar
) -> str:
    on_word, off_word, noun = _DOING[load.kind]
    word = on_word if is_on else off_word
    if reason.until is None:
        return f"{word}."
    left = length_words(reason.until - now)
    if reason.why is Why.WITHOUT_CLOCK or not _EARLIEST <= reason.until < _LATEST:
        # A clock that is not trusted can tell how long, and not at what time.
        return f"{word} for {left} more." if is_on else f"{word}. Next {noun} in {left}."
    at = clock_words(reason.until, now=now, calendar=calendar)
    if is_on or reason.why is Why.HOLD:  # the plan may leave it off when the hold is over
        return f"{word} until {at}, {left} more."
    if reason.why is Why.NO_FLOW:
        return f"{word}. Tries again at {at}, in {left}."
    return f"{word}. Next {noun} at {at}, in {left}."


def _order_words(reason: Reason, load: LoadSchedule, *, now: Instant, calendar: Calendar) -> str:
    """What is carried out while no guard objects: a hold, a variant's cycle, the plan's."""
    if reason.why is Why.DEMAND:
        return f"{reason.detail[:1].upper()}{reason.detail[1:]}."
    timelines = dict(zip((v.name for v in load.variants), load.variant_timelines, strict=True))
    timeline = load.own if reason.why is Why.PLAN else timelines.get(reason.detail)
    what = ""
    if timeline is not None:
        what = _cycle_words(reason, load, timeline, now=now, calendar=calendar)
    if reason.why is Why.PLAN:
        return what[:1].upper() + what[1:]
    name = reason.detail if timeline is None else f"variant {reason.detail}"
    told = f"held by hand: {name}" if reason.why is Why.HOLD else name
    told = told[:1].upper() + told[1:]
    if not what:
        return f"{told}."
    return f"{told}, {what}" if reason.why is Why.HOLD else f"{told}: {what}"


def _cycle_words(
    reason: Reason, load: LoadSchedule, timeline: Timeline, *, now: Instant, calendar: Calendar
) -> str:
    piece = reason.piece
    if piece is None or piece.span < 0:
        return ""
    span = timeline.spans[piece.span]
    anchor, cycle = span.anchor, piece.cycle
    what = f"steadily {cycle}" if cycle.steady is not None else f"cycle {cycle}"
    if span.is_on_demand:
        # Of a hold nothing else tells: only a demand gives waterings a length of its own.
        is_fixed = reason.why is not Why.HOLD or piece.watering_ms is None
        what = _fixed_words(span, load, now) if is_fixed else "on demand"
    at = clock_words(piece.start, now=now, calendar=calendar)
    since = (
        f"since {at}"
        if isinstance(anchor.base, ClockTime) and not anchor.offset_ms
        else f"since {anchor_words(anchor)} at {at}"
    )
    return f"{what}, {since}."


def _fixed_words(span: Span, load: LoadSchedule, now: Instant) -> str:
    """The fixed cycle of a span on demand, and why it goes by that."""
    if any(one.is_sown(now) for one in load.drinkers):
        return f"cycle {span.without_air_words}"
    return f"cycle {span.cycle} while nothing is sown"


def anchor_words(anchor: Anchor) -> str:
    """The anchor in words: `30 min before sunrise`, `lamp on`."""
    base = anchor.base
    name = str(base) if isinstance(base, ClockTime | LoadChange) else base.value
    if not anchor.offset_ms:
        return name
    relation = "after" if anchor.offset_ms > 0 else "before"
    return f"{length_words(abs(anchor.offset_ms))} {relation} {name}"


def clock_words(instant: Instant, *, now: Instant, calendar: Calendar) -> str:
    """The local time of an instant to the nearest minute, to the second where it is less
    than a minute away, and with the date where it is half a day away or more."""
    away_ms = abs(instant - now)
    grain_ms = SECOND_MS if away_ms < MINUTE_MS else MINUTE_MS
    local_time = calendar.local((instant + grain_ms // 2) // grain_ms * grain_ms)
    text = local_time.strftime("%H:%M:%S" if local_time.second else "%H:%M")
    if away_ms < DAY_MS // 2:
        return text
    return f"{text} on {local_time.day} {local_time.strftime('%b')}"


def length_words(length_ms: int) -> str:
    """A length for people: `6 min`, `2 h 5 min`, `40 s`; to the nearest minute from one on,
    to the nearest day from two on."""
    seconds = -(-length_ms // SECOND_MS)  # what is left is never 0 s
    if seconds < MINUTE_MS // SECOND_MS:
        return f"{max(0, seconds)} s"
    if length_ms >= 2 * DAY_MS:
        return f"{(length_ms + DAY_MS // 2) // DAY_MS} days"
    minutes = (length_ms + MINUTE_MS // 2) // MINUTE_MS
    hours, minutes = divmod(minutes, HOUR_MS // MINUTE_MS)
    parts = ([f"{hours} h"] if hours else []) + ([f"{minutes} min"] if minutes else [])
    return " ".join(parts)
