"""The status as text: what every load does, what is wrong, and what changed since."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import UnknownZoneError
from controller.core.units import DAY_MS, SECOND_MS, utc_datetime
from controller.core.wall_clock import load_zone, local_datetime
from controller.report.text_cells import printable, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from controller.core.findings import Level
    from controller.core.status.record import (
        AlarmStatus,
        HoldStatus,
        LoadStatus,
        SensorStatus,
        Status,
    )
    from controller.core.units import Instant
    from controller.report.ink import Ink

_LENGTHS = ((86_400, "d"), (3_600, "h"), (60, "min"), (1, "s"))


def why_text(status: Status, *, width: int, ink: Ink) -> str:
    """What loads do and why, with the alarms and readings that concern them."""
    blocks = [
        alarms_text(status, width=width, ink=ink),
        loads_text(status, status.loads, width=width, ink=ink),
        _sensors(status, width, ink),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def status_text(status: Status, *, width: int, ink: Ink) -> str:
    """Everything at one moment, the most pressing first."""
    blocks = [
        _headline(status, width),
        alarms_text(status, width=width, ink=ink),
        loads_text(status, status.loads, width=width, ink=ink),
        _sensors(status, width, ink),
        _plan_and_self(status, width, ink),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _headline(status: Status, width: int) -> list[str]:
    if status.is_clock_trusted:
        told = f"It is {now_text(status)} in {printable(status.timezone)}."
    else:
        told = (
            f"Clock not trusted: it shows {now_text(status)}. Loads run on "
            "elapsed time, by their without_clock cycles."
        )
    if status.is_stopped:
        told = f"Everything is stopped; `rootclock resume` lets it go on. {told}"
    if status.is_rehearsal:
        told += f" A rehearsal, {status.speed:g} times as fast as life."
    if status.is_mock:
        told += " No relay is switched: the lines are mock ones."
    return wrapped(told, width)


def alarms_text(status: Status, *, width: int, ink: Ink) -> list[str]:
    """The alarms that stand, and what to do about each."""
    lines: list[str] = []
    for alarm in status.alarms:
        level: Level = "note" if alarm.is_acknowledged else "error"
        head, *more = wrapped(_alarm_words(status, alarm), width, rest="  ")
        lines += [ink.level(level, "Alarm") + head.removeprefix("Alarm"), *more]
        lines += wrapped(printable(alarm.what_to_do), width, first="  ", rest="  ")
    return lines


def _alarm_words(status: Status, alarm: AlarmStatus) -> str:
    told = f"Alarm: {printable(alarm.code)}"
    told += f" ({printable(alarm.subject)})" if alarm.subject else ""
    if status.is_clock_trusted:
        told += f", since {local_text(status, alarm.since)}"
    told += "." if alarm.is_active else "; it is over, and stays until it is acknowledged."
    return f"{told} Acknowledged." if alarm.is_acknowledged else told


def loads_text(status: Status, loads: Iterable[LoadStatus], *, width: int, ink: Ink) -> list[str]:
    """What loads do and why, a paragraph each."""
    lines = []
    for load in loads:
        state = "on" if load.is_on else "off"
        since = "" if load.for_s is None else f" for {length_text(load.for_s)}"
        head = f"{printable(load.name)}: {state}{since}."
        name_length = len(printable(load.name))
        told = f"{head} {printable(load.sentence)}"
        if load.held is not None:
            told += f" {held_words(status, load)}"
        first, *more = wrapped(told, width, rest="  ")
        lines += [ink.heading(first[:name_length]) + first[name_length:], *more]
    return lines


def held_words(status: Status, load: LoadStatus) -> str:
    """Until when a load is held, and what comes then; empty where it is not."""
    if load.held is None:
        return ""
    if load.why == "hold" and load.left_s == load.held.left_s:  # its sentence says until when
        return "Then the plan goes on."
    order = load.held.order
    order = order if order in {"on", "off"} else f"at {printable(order)}"
    return f"Held {order} {hold_end_words(status, load.held)}, then the plan goes on."


def hold_end_words(status: Status, held: HoldStatus) -> str:
    """Until when a hold lasts, or how long where the clock is not trusted."""
    if held.ends is None:
        return f"for {length_text(held.left_s)} more"
    return f"until {local_text(status, held.ends)}"


def _sensors(status: Status, width: int, ink: Ink) -> list[str]:
    lines = []
    for sensor in status.sensors:
        first, *more = wrapped(
            f"{printable(sensor.name)}: {_reading_words(sensor)}", width, rest="  "
        )
        lines += [ink.faint(first), *(ink.faint(line) for line in more)]
    return lines


# What a contact's 1 and 0 mean, as `plan.Quantity` has it.
_CONTACTS = {
    "level": ("water at the float", "below the float"),
    "leak": ("wet", "dry"),
    "stop": ("pressed", "released"),
}


def _reading_words(sensor: SensorStatus) -> str:
    kind = sensor.measures.replace("_", " ")
    if sensor.value is None:
        return f"{kind}, not known: {printable(sensor.why_silent or 'no reason given')}."
    age = "" if sensor.age_s is None else f", {length_text(sensor.age_s)} ago"
    if sensor.measures in _CONTACTS:
        is_set = sensor.value >= 1.0
        return f"{kind}, {_CONTACTS[sensor.measures][0 if is_set else 1]}{age}."
    return f"{kind} {sensor.value:.4g} {printable(sensor.unit)}{age}."


def _plan_and_self(status: Status, width: int, ink: Ink) -> list[str]:
    plan, late = status.plan, status.lateness
    told = f"Plan {printable(plan.source)}, revision {plan.revision}"
    if plan.taken is not None and status.is_clock_trusted:
        told += f", in force since {local_text(status, plan.taken)}"
    lines = wrapped(f"{told}.", width, rest="  ")
    if plan.refused is not None:
        text = f"A newer plan was not taken: {printable(plan.refused)}"
        lines += wrapped(text, width, first="  ", rest="  ")
    told = f"rootclock {printable(status.version)}, up for {length_text(status.up_s)}"
    if late.switchings and late.p50_ms is not None and late.max_ms is not None:
        told += (
            f"; {late.switchings} switching{'' if late.switchings == 1 else 's'}, "
            f"half of them less than {late.p50_ms:.2g} ms late, none more than "
            f"{late.max_ms:.2g} ms"
        )
    lines += wrapped(f"{told}.", width, rest="  ")
    return [ink.faint(line) for line in lines]


def differences(before: Status, after: Status) -> list[str]:
    """What became different between two statuses, a sentence each; nothing else."""
    told = []
    if before.is_stopped is not after.is_stopped:
        told.append("Everything is stopped." if after.is_stopped else "The stop is over.")
    if before.is_clock_trusted is not after.is_clock_trusted:
        told.append(
            "The clock is trusted." if after.is_clock_trusted else "The clock is not trusted."
        )
    if before.plan.revision != after.plan.revision:
        told.append(f"Revision {after.plan.revision} of the plan is in force.")
    if after.plan.refused is not None and before.plan.refused != after.plan.refused:
        told.append(f"A newer plan was not taken: {printable(after.plan.refused)}")
    told += _load_differences(before, after)
    told += _alarm_differences(before, after)
    return told


def _load_differences(before: Status, after: Status) -> list[str]:
    earlier = {load.name: load for load in before.loads}
    told = []
    for load in after.loads:
        was = earlier.get(load.name)
        has_changed = (
            was is None
            or (was.is_on, was.why, was.variant) != (load.is_on, load.why, load.variant)
            or _order_of(was) != _order_of(load)
        )
        if has_changed:
            state = "on" if load.is_on else "off"
            words = f"{printable(load.name)} {state}: {printable(load.sentence)}"
            told.append(f"{words} {held_words(after, load)}".rstrip())
    names = {load.name for load in after.loads}
    told += [
        f"{printable(name)} is no longer in the plan." for name in earlier if name not in names
    ]
    return told


def _order_of(load: LoadStatus) -> str | None:
    return None if load.held is None else load.held.order


def _alarm_differences(before: Status, after: Status) -> list[str]:
    earlier = {(alarm.code, alarm.subject): alarm for alarm in before.alarms}
    now = {(alarm.code, alarm.subject): alarm for alarm in after.alarms}
    told = []
    for key, alarm in now.items():
        was = earlier.get(key)
        if was is None or (alarm.is_active and not was.is_active):
            told.append(f"{_alarm_words(after, alarm)} {printable(alarm.what_to_do)}")
        elif was._replace(since=alarm.since) != alarm:
            told.append(_alarm_words(after, alarm))
    for key, alarm in earlier.items():
        if key not in now:
            about = f" ({printable(alarm.subject)})" if alarm.subject else ""
            told.append(f"Alarm over: {printable(alarm.code)}{about}.")
    return told


def local_text(status: Status, instant: Instant) -> str:
    """The local time of an instant, with the date where it is half a day away or more; in UTC
    where this machine does not know the zone."""
    local_time, suffix = _local(status.timezone, instant)
    text = f"{local_time:%H:%M}{suffix}"
    if abs(instant - status.now) < DAY_MS // 2:
        return text
    return f"{text} on {local_time.day} {local_time:%b}"


def now_text(status: Status) -> str:
    """The local time and date of the status itself."""
    local_time, _ = _local(status.timezone, status.now)
    return f"{clock_text(status)} on {local_time.day} {local_time:%b %Y}"


def clock_text(status: Status) -> str:
    """The local time of the status itself, to the second."""
    local_time, suffix = _local(status.timezone, status.now)
    return f"{local_time:%H:%M:%S}{suffix}"


def _local(timezone: str, instant: Instant) -> tuple[datetime, str]:
    whole = instant // SECOND_MS * SECOND_MS
    try:
        return local_datetime(load_zone(timezone), whole), ""
    except UnknownZoneError:
        return utc_datetime(whole), " UTC"


def length_text(seconds: float) -> str:
    """A length with its two largest units: `2 h 5 min`, `40 s`."""
    rest = max(0, int(seconds))
    parts = []
    for size, unit in _LENGTHS:
        count, rest = divmod(rest, size)
        if count:
            parts.append(f"{count} {unit}")
        elif parts:
            break
    return " ".join(parts[:2]) or "0 s"
