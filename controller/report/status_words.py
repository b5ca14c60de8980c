"""One thing of a status in words: an alarm, a hold, a reading."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.report.status_moments import length_text, local_text
from controller.report.text_cells import printable

if TYPE_CHECKING:
    from controller.core.status.record import (
        AlarmStatus,
        HoldStatus,
        LoadStatus,
        SensorStatus,
        Status,
    )

# What a contact's 1 and 0 mean, as `plan.Quantity` has it.
_CONTACTS = {
    "level": ("water at the float", "below the float"),
    "leak": ("wet", "dry"),
    "stop": ("pressed", "released"),
}


def alarm_words(status: Status, alarm: AlarmStatus) -> str:
    """Which alarm, about what, since when, and whether it is over or acknowledged."""
    told = f"Alarm: {printable(alarm.code)}"
    told += f" ({printable(alarm.subject)})" if alarm.subject else ""
    if status.is_clock_trusted:
        told += f", since {local_text(status, alarm.since)}"
    told += "." if alarm.is_active else "; it is over, and stays until it is acknowledged."
    return f"{told} Acknowledged." if alarm.is_acknowledged else told


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


def reading_words(sensor: SensorStatus) -> str:
    """What a sensor measures and says, and how long ago; or why that is not known."""
    kind = sensor.measures.replace("_", " ")
    if sensor.value is None:
        return f"{kind}, not known: {printable(sensor.why_silent or 'no reason given')}."
    age = "" if sensor.age_s is None else f", {length_text(sensor.age_s)} ago"
    if sensor.measures in _CONTACTS:
        is_set = sensor.value >= 1.0
        return f"{kind}, {_CONTACTS[sensor.measures][0 if is_set else 1]}{age}."
    return f"{kind} {sensor.value:.4g} {printable(sensor.unit)}{age}."
