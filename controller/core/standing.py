"""What stood at a moment: alarms, holds, variants, a stop, a clock that is not trusted."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from controller.core.orders import Event, alarm_code_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from controller.core.journal_entry import Entry, Numbered

_Key: TypeAlias = tuple[str, str, str]

_BEGINS = {
    Event.HOLD_BEGAN.value: "hold",
    Event.VARIANT_ENTERED.value: "variant",
    Event.STOPPED.value: "stop",
    Event.CLOCK_LOST.value: "clock",
}
_ENDS = {
    Event.HOLD_ENDED.value: "hold",
    Event.VARIANT_LEFT.value: "variant",
    Event.RESUMED.value: "stop",
    Event.CLOCK_TRUSTED.value: "clock",
}
_OF_ALL = ("stop", "clock")  # there is one, whatever brought it about
_RAISED, _CLEARED = Event.ALARM_RAISED.value, Event.ALARM_CLEARED.value
WHATS = (*_BEGINS, *_ENDS, _RAISED, _CLEARED)


def standing(lines: Iterable[Numbered]) -> tuple[Numbered, ...]:
    """The entries that began what none of the later ones ended; given and told in the order in
    which they were written. An alarm that was seen stands on."""
    stands: dict[_Key, Numbered] = {}
    for line in lines:
        entry = line.entry
        if entry.what == _RAISED:
            stands.setdefault(_alarm_key(entry), line)
        elif entry.what == _CLEARED:
            stands.pop(_alarm_key(entry), None)
        elif entry.what in _BEGINS:
            key = _key(_BEGINS[entry.what], entry)
            stands.pop(key, None)  # a hold that follows on another takes its place
            stands[key] = line
        elif entry.what in _ENDS:
            stands.pop(_key(_ENDS[entry.what], entry), None)
    return tuple(stands.values())


def alarm_code(entry: Entry) -> str:
    """The code in an alarm's entry, as text; "" where there is none."""
    code = alarm_code_of(entry.detail)
    return "" if code is None else code.value


def _alarm_key(entry: Entry) -> _Key:
    return "alarm", entry.subject, alarm_code(entry) or entry.detail


def _key(kind: str, entry: Entry) -> _Key:
    return kind, "" if kind in _OF_ALL else entry.subject, ""
