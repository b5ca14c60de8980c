"""What a person is told after an order of theirs: what was done, and what happens next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.messages.alarm_choice import alarm_name
from controller.report.status_words import hold_end_words
from controller.report.text_cells import printable

if TYPE_CHECKING:
    from collections.abc import Iterable

    from controller.core.status.record import LoadStatus, Status


def hold_text(status: Status, before: LoadStatus | None, after: LoadStatus | None) -> list[str]:
    """What a hold has done to its load; `before` and `after` are the load's."""
    if after is None or after.held is None:
        return ["The hold is over already."]
    name, order = printable(after.name), after.held.order
    until = hold_end_words(status, after.held)
    state = "on" if after.is_on else "off"
    held = f"held {order}" if order in {"on", "off"} else f"held at {printable(order)}"
    if order in {"on", "off"} and order != state:
        return [
            f"{name} is {held} {until}, then the plan goes on. "
            f"But it is {state} now: {printable(after.sentence)}"
        ]
    has_switched = before is None or before.is_on is not after.is_on
    if order in {"on", "off"}:
        now = f"is switched {state} now, and " if has_switched else "is "
        return [f"{name} {now}{held} {until}; then the plan goes on."]
    now = f"is switched {state} now" if has_switched else f"stays {state} now"
    return [f"{name} is {held} {until}; then the plan goes on. It {now}."]


def release_text(before: LoadStatus | None, after: LoadStatus | None) -> list[str]:
    """What a release has done to its load."""
    if after is None:
        return ["The load is no longer in the plan."]
    name = printable(after.name)
    was_held = before is not None and before.held is not None
    what = "is not held any more" if was_held else "was not held"
    state = "on" if after.is_on else "off"
    has_switched = before is not None and before.is_on is not after.is_on
    now = f"is switched {state}" if has_switched else f"is {state}"
    return [f"{name} {what}, and {now}. {printable(after.sentence)}"]


def acknowledge_text(status: Status, alarms: Iterable[tuple[str, str]]) -> list[str]:
    """What became of the alarms that were acknowledged, one sentence each."""
    standing = {(alarm.code, alarm.subject): alarm for alarm in status.alarms}
    told = []
    for code, subject in alarms:
        name = printable(alarm_name(code, subject))
        alarm = standing.get((code, subject))
        if alarm is None:
            told.append(f"Acknowledged, and gone: {name}.")
        else:
            told.append(
                f"Acknowledged: {name}. Its cause is still there, and it goes away with it. "
                f"{printable(alarm.what_to_do)}"
            )
    return told


def stop_text(status: Status) -> list[str]:
    """What the stop has done."""
    on = [printable(load.name) for load in status.loads if load.is_on]
    if on:
        return [
            f"Everything is stopped, but still on: {', '.join(on)}. See why with rootclock why, "
            "and unplug what must not run."
        ]
    return ["Everything is stopped and off. It stays so until rootclock resume."]
