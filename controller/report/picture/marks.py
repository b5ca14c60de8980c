"""What a picture marks besides times on: faults, guards, people, variants, longest dry gaps."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING, NamedTuple

from controller.core.orders import Event, Why
from controller.core.phrases import length_words
from controller.core.units import HOUR_MS
from controller.report.text_cells import printable

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.account import Account
    from controller.report.picture.recording import Recording

_LABEL_LENGTH_MAX = 24
# Marks of one kind and label closer than this are one mark.
_APART_MS = HOUR_MS


class MarkKind(Enum):
    """What a mark means, as the legend says it; in the order in which they matter."""

    POWER = "no power: everything is off"
    STOPPED = "everything stopped"
    FAILING = "on, but no water moves (hollow)"
    GUARD = "a guard overrides the plan"
    CLOCK = "the clock is wrong or not trusted"
    SENSOR = "a sensor is silent"
    MISSED = "a watering missed"
    RECOVERY = "recovery watering"
    HOLD = "held by hand"
    VARIANT = "a variant is in force"
    DIAL = "the clocks change: what comes twice is drawn in halves, the first above"
    DRIEST = "longest dry gap of a pump"


class Mark(NamedTuple):
    """Something marked from `start` to `end` (a moment, where they are one).

    `places` are the loads that it is about, none where it is about all.
    """

    kind: MarkKind
    label: str
    start: Instant
    end: Instant
    places: tuple[int, ...] = ()


_KIND_OF_WHY = {
    Why.NO_POWER: MarkKind.POWER,
    Why.STOPPED: MarkKind.STOPPED,
    Why.HOLD: MarkKind.HOLD,
    Why.WITHOUT_CLOCK: MarkKind.CLOCK,
    Why.RECOVERY: MarkKind.RECOVERY,
    Why.VARIANT: MarkKind.VARIANT,
    None: MarkKind.FAILING,
}
_ABOUT_ALL = {MarkKind.POWER, MarkKind.STOPPED, MarkKind.CLOCK}


def marks_of(schedule: Schedule, account: Account, recording: Recording) -> list[Mark]:
    """All marks of a recorded run, in time order; what several loads share is one mark."""
    found = [
        Mark(
            kind := _KIND_OF_WHY.get(episode.why, MarkKind.GUARD),
            _label(episode.why, episode.detail),
            episode.start,
            episode.end,
            () if kind in _ABOUT_ALL else (episode.place,),
        )
        for episode in recording.episodes
    ]
    for notice, start, end in recording.happenings:
        if notice.event is Event.CLOCK_STEPPED:
            found.append(Mark(MarkKind.CLOCK, _short(f"clock steps {notice.detail}"), start, end))
        elif notice.subject in schedule.places:
            place = schedule.places[notice.subject]
            found.append(Mark(MarkKind.MISSED, "missed", start, end, (place,)))
        else:
            found.append(Mark(MarkKind.SENSOR, _short(f"{notice.subject} silent"), start, end))
    found += _driest(schedule, account, recording)
    return sorted(_merged(found), key=lambda mark: (mark.start, mark.kind.name, mark.label))


def _label(why: Why | None, detail: str) -> str:
    if why is None:
        return "no water"
    if why is Why.VARIANT:
        return _short(detail)
    if why is Why.HOLD:
        return _short(f"by hand: {detail}")
    return "recovery" if why is Why.RECOVERY else why.value


def _short(text: str) -> str:
    text = printable(text)
    return text if len(text) <= _LABEL_LENGTH_MAX else text[: _LABEL_LENGTH_MAX - 1] + "…"


def _driest(schedule: Schedule, account: Account, recording: Recording) -> Iterable[Mark]:
    for place, load in enumerate(schedule.loads):
        gap = account.loads[load.name].longest_dry_gap
        if load.waters and gap is not None and gap.start < recording.shown_end:
            label = f"longest dry gap {length_words(gap.length_ms)}"
            yield Mark(MarkKind.DRIEST, label, gap.start, gap.end, (place,))


def _merged(marks: Sequence[Mark]) -> list[Mark]:
    """Marks of one kind and label that overlap or nearly touch, as one."""
    merged: list[Mark] = []
    latest: dict[tuple[MarkKind, str], int] = {}
    for mark in sorted(marks, key=lambda mark: mark.start):
        key = (mark.kind, mark.label)
        index = latest.get(key)
        if index is not None and mark.start - merged[index].end <= _APART_MS:
            earlier = merged[index]
            merged[index] = earlier._replace(
                end=max(earlier.end, mark.end),
                places=tuple(sorted({*earlier.places, *mark.places})),
            )
        else:
            latest[key] = len(merged)
            merged.append(mark)
    return merged


def place_words(schedule: Schedule, mark: Mark) -> str:
    """The loads that a mark is about: their names, or how many they are."""
    names = [schedule.loads[place].name for place in mark.places]
    if not names:
        return "everything"
    return ", ".join(names) if len(names) <= 3 else f"{names[0]} to {names[-1]}, {len(names)} loads"
