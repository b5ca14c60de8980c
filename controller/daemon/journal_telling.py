"""What the journal tells of a time gone by, as JSON has it; beside it what the plan ordered."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.journal_entry import Numbered
from controller.core.journal_history import on_stretches
from controller.core.journal_json import numbered_as_json
from controller.core.order_differences import Difference, differences
from controller.core.orders import AlarmCode, Event
from controller.core.schedule import make_schedule
from controller.core.standing import alarm_code, standing
from controller.core.units import rfc3339
from controller.shell.journal.history import read_history

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from controller.core.journal_history import Stretch
    from controller.core.plan import Load, Plan
    from controller.core.units import Instant
    from controller.shell.journal.history import HistoryFound
    from controller.shell.journal.past import Past

_BANDS_MAX = 20_000  # in one answer; of more, the newest


def history_told(
    path: Path, plan: Plan, *, since: Instant, until: Instant, in_force_since: Instant
) -> dict[str, Any]:
    """The stretch [since, until): by load when it was on and, from when the plan came into
    force, where it did not do what the plan ordered. Lengths are ms after `since`; what
    began earlier is told uncut.

    Raises:
        UnusableFileError: there is no journal, or it cannot be read.
    """
    found = read_history(path, since=since, until=until)
    ordered_from = max(since, in_force_since)
    # The loop's own calendar belongs to the loop's thread, and this is another.
    schedule = make_schedule(plan)
    loads: list[dict[str, Any]] = []
    left, is_whole = _BANDS_MAX, True
    for name in [*plan.loads, *sorted(set(found.history.states) - set(plan.loads))]:
        states = found.history.states.get(name, ())
        on = [(start, end) for start, end in on_stretches(states) if end > since]
        is_whole = is_whole and len(on) <= left
        on = on[max(0, len(on) - left) :]
        left -= len(on)
        planned = plan.loads.get(name)
        differ: list[dict[str, Any]] = []
        if planned is not None:
            timeline = schedule.loads[schedule.places[name]].own
            differ = [
                _difference_told(one, name, planned, found, since)
                for one in differences(
                    states, found.history.away, timeline, since=ordered_from, until=until
                )
            ]
        kind = None if planned is None else planned.kind
        loads.append({"name": name, "kind": kind, "on": _after(on, since), "differs": differ})
    return {
        "since_utc": rfc3339(since),
        "until_utc": rfc3339(until),
        "known_from_utc": None if found.known_from is None else rfc3339(found.known_from),
        "ordered_from_utc": rfc3339(min(ordered_from, until)),
        "timezone": plan.site.timezone,
        "is_whole": is_whole,
        "loads": loads,
        "away": _after([one for one in found.history.away if one[1] > since], since),
        "marks": [numbered_as_json(line) for line in found.marks],
        "lateness": found.lateness._asdict(),
    }


def _after(stretches: Iterable[Stretch], since: Instant) -> list[list[int]]:
    return [[start - since, end - since] for start, end in stretches]


def _difference_told(
    one: Difference, name: str, load: Load, found: HistoryFound, since: Instant
) -> dict[str, Any]:
    why = one.why or _why_kept(one.start, name, load, found.marks)
    return {
        "from_ms": one.start - since,
        "to_ms": one.end - since,
        "ordered": "on" if one.is_ordered_on else "off",
        "why": why,
    }


def _why_kept(at: Instant, name: str, load: Load, marks: Sequence[Numbered]) -> str:
    """Which rule kept a load as it was although nothing was switched: what stood then. Empty
    where it began before the stretch."""
    for line in standing(line for line in marks if line.entry.at <= at):
        entry = line.entry
        if entry.what == Event.STOPPED.value:
            return "stop switch"
        if entry.what == Event.HOLD_BEGAN.value and entry.subject == name:
            return "hold"
        if entry.what == Event.CLOCK_LOST.value:
            return "clock not trusted"
        if _concerns(alarm_code(entry), entry.subject, name, load):
            return alarm_code(entry)
    return ""


def _concerns(code: str, subject: str, name: str, load: Load) -> bool:
    return (
        (code == AlarmCode.LEAK.value and load.kind in {"pump", "valve"})
        or (code == AlarmCode.LEVEL_LOW.value and subject == load.level)
        or (code == AlarmCode.NO_FLOW.value and subject in {name, load.flow})
    )


def past_told(past: Past, load: str, at: Instant) -> dict[str, Any]:
    """What is known of a load at a moment, as JSON has it."""
    away = past.away
    return {
        "load": load,
        "at_utc": rfc3339(at),
        "switching": _line_told(past.switching),
        "notices": [numbered_as_json(line) for line in past.notices],
        "next": _line_told(past.following),
        "stood": [numbered_as_json(line) for line in past.stood],
        "away": None
        if away is None
        else {"since_utc": rfc3339(away.since), "is_certain": away.is_certain},
    }


def _line_told(line: Numbered | None) -> dict[str, Any] | None:
    return None if line is None else numbered_as_json(line)
