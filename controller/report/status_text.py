"""The status as text: what every load does and why, and what is wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.report.status_moments import length_text, local_text, now_text
from controller.report.status_words import alarm_words, held_words, reading_words
from controller.report.text_cells import printable, wrapped

if TYPE_CHECKING:
    from controller.core.findings import Level
    from controller.core.status.record import Status
    from controller.report.ink import Ink


def why_text(status: Status, *, width: int, ink: Ink) -> str:
    """What loads do and why, with the alarms and readings that concern them."""
    blocks = [
        _alarms(status, width, ink),
        _loads(status, width, ink),
        _sensors(status, width, ink),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def status_text(status: Status, *, width: int, ink: Ink) -> str:
    """Everything at one moment, the most pressing first."""
    blocks = [
        _headline(status, width),
        _alarms(status, width, ink),
        _loads(status, width, ink),
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


def _alarms(status: Status, width: int, ink: Ink) -> list[str]:
    """The alarms that stand, and what to do about each."""
    lines: list[str] = []
    for alarm in status.alarms:
        level: Level = "note" if alarm.is_acknowledged else "error"
        head, *more = wrapped(alarm_words(status, alarm), width, rest="  ")
        lines += [ink.level(level, "Alarm") + head.removeprefix("Alarm"), *more]
        lines += wrapped(printable(alarm.what_to_do), width, first="  ", rest="  ")
    return lines


def _loads(status: Status, width: int, ink: Ink) -> list[str]:
    """What loads do and why, a paragraph each."""
    lines = []
    for load in status.loads:
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


def _sensors(status: Status, width: int, ink: Ink) -> list[str]:
    lines = []
    for sensor in status.sensors:
        first, *more = wrapped(
            f"{printable(sensor.name)}: {reading_words(sensor)}", width, rest="  "
        )
        lines += [ink.faint(first), *(ink.faint(line) for line in more)]
    return lines


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
