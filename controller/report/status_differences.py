"""What became different between two statuses, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.report.status_words import alarm_words, held_words
from controller.report.text_cells import printable

if TYPE_CHECKING:
    from controller.core.status.record import LoadStatus, Status


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
            told.append(f"{alarm_words(after, alarm)} {printable(alarm.what_to_do)}")
        elif was._replace(since=alarm.since) != alarm:
            told.append(alarm_words(after, alarm))
    for key, alarm in earlier.items():
        if key not in now:
            about = f" ({printable(alarm.subject)})" if alarm.subject else ""
            told.append(f"Alarm over: {printable(alarm.code)}{about}.")
    return told
