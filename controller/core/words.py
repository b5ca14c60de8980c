"""Reasons, alarms and notices as sentences for a grower; every word of them stands here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.anchor import Anchor, ClockTime, LoadChange
from controller.core.orders import Reason, Why
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, SECOND_MS, duration_text

if TYPE_CHECKING:
    from controller.core.calendar import Calendar
    from controller.core.schedule import LoadSchedule
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
    Why.LEAK: "Stopped: {detail} is wet. Look for the leak, then acknowledge the alarm.",
    Why.LEVEL_LOW: "Stopped: {detail} says the reservoir is low. Top it up.",
    Why.NO_FLOW: "Stopped: it ran and {detail} saw no water. Look at pump and hose.",
    Why.LONGEST_ON: "Has been on for as long as it may at a stretch (longest_on).",
    Why.SHORTEST_ON: "Finishing its shortest time on (shortest_on).",
    Why.SHORTEST_OFF: "Finishing its shortest rest (shortest_off).",
    Why.STARTS_APART: "Waiting for its turn: starts are kept apart.",
    Why.WATTS_AT_ONCE: "Waiting: as many watts are in use as may be at once.",
    Why.HOLD: "Held by hand: {detail}.",
    Why.WITHOUT_CLOCK: "The clock is not trusted, so it runs on elapsed time.",
    Why.RECOVERY: "Recovery watering: the roots were dry for longer than planned.",
    Why.NO_SPAN: "The plan has no span for this moment.",
}


_FOLLOW_A_PIECE = {Why.PLAN, Why.VARIANT, Why.HOLD}


def sentence(
    reason: Reason, load: LoadSchedule, *, is_on: bool, now: Instant, calendar: Calendar
) -> str:
    """What the load does, until when, and why: two or three short sentences."""
    parts = [_state_words(reason, load, is_on=is_on, now=now, calendar=calendar)]
    if reason.why in _BECAUSE:
        parts.append(_BECAUSE[reason.why].format(detail=reason.detail))
    if reason.why is Why.VARIANT:
        parts.append(f"Variant {reason.detail}.")
    if reason.piece is not None and reason.why in _FOLLOW_A_PIECE:
        parts.append(_cycle_words(reason, load, now=now, calendar=calendar))
    return " ".join(parts)


def _state_words(
    reason: Reason, load: LoadSchedule, *, is_on: bool, now: Instant, calendar: Calendar
) -> str:
    on_word, off_word, noun = _DOING[load.kind]
    word = on_word if is_on else off_word
    if reason.until is None:
        return f"{word}."
    at = clock_words(reason.until, now=now, calendar=calendar)
    left = length_words(reason.until - now)
    if is_on:
        return f"{word} until {at}, {left} more."
    return f"{word}. Next {noun} at {at}, in {left}."


def _cycle_words(reason: Reason, load: LoadSchedule, *, now: Instant, calendar: Calendar) -> str:
    piece = reason.piece
    if piece is None or piece.span < 0:
        return ""
    timeline = load.own
    if reason.why is not Why.PLAN:
        for variant, of_variant in zip(load.variants, load.variant_timelines, strict=True):
            if variant.name == reason.detail:
                timeline = of_variant
    anchor = timeline.spans[piece.span].anchor
    cycle = piece.cycle
    what = f"Steadily {cycle}" if cycle.steady is not None else f"Cycle {cycle}"
    at = clock_words(piece.start, now=now, calendar=calendar)
    since = (
        f"since {at}"
        if isinstance(anchor.base, ClockTime) and not anchor.offset_ms
        else (f"since {anchor_words(anchor)} at {at}")
    )
    return f"{what}, {since}."


def anchor_words(anchor: Anchor) -> str:
    """The anchor in words: `30 min before sunrise`, `lamp on`."""
    base = anchor.base
    name = str(base) if isinstance(base, ClockTime | LoadChange) else base.value
    if not anchor.offset_ms:
        return name
    relation = "after" if anchor.offset_ms > 0 else "before"
    return f"{length_words(abs(anchor.offset_ms))} {relation} {name}"


def clock_words(instant: Instant, *, now: Instant, calendar: Calendar) -> str:
    """The local time of an instant, with seconds only where there are some, and with the
    date where it is not today's or tomorrow's small hours."""
    local_time = calendar.local(instant)
    has_seconds = local_time.second or local_time.microsecond
    text = local_time.strftime("%H:%M:%S" if has_seconds else "%H:%M")
    if abs(instant - now) < DAY_MS // 2:
        return text
    return f"{text} on {local_time.day} {local_time.strftime('%b')}"


def length_words(length_ms: int) -> str:
    """A length for people: `6 min`, `2 h 5 min`, `40 s`; whole minutes once it is long."""
    if length_ms < MINUTE_MS:
        return f"{max(0, -(-length_ms // SECOND_MS))} s"
    if length_ms >= 2 * DAY_MS:
        return f"{length_ms // DAY_MS} days"
    minutes = -(-length_ms // MINUTE_MS)
    hours, minutes = divmod(minutes, HOUR_MS // MINUTE_MS)
    parts = ([f"{hours} h"] if hours else []) + ([f"{minutes} min"] if minutes else [])
    return " ".join(parts)


def exact_words(length_ms: int) -> str:
    """A length to the second, for tables: `15m`, `1h2m3s`."""
    return duration_text(round(length_ms / SECOND_MS) * SECOND_MS)
