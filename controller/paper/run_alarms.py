"""The alarms and notices of a run, gathered and told with what to do about them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.findings import Finding
from controller.core.orders import AlarmCode, Event, alarm_code_of
from controller.core.phrases import (
    between_words,
    counted,
    length_words,
    moment_words,
    times_words,
)

if TYPE_CHECKING:
    from controller.core.findings import Level
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.account import Account


class _Words(NamedTuple):
    happened: str
    mend: str


# What happened and what to do about it, the worst for roots and people first. {subject} is
# the load or sensor, {times} how often, {first} when first, {detail} what the alarm says.
_WORDS = {
    AlarmCode.LEAK: _Words(
        "{subject} was wet {times}, first {first}: every pump and valve stayed off",
        "decide who looks, and how soon: nothing is watered until somebody has acknowledged "
        "the alarm",
    ),
    AlarmCode.LEVEL_LOW: _Words(
        "{subject} reported a low reservoir {times}, first {first}: its pumps stayed off",
        "top it up earlier, or take a larger reservoir",
    ),
    AlarmCode.NO_FLOW: _Words(
        "ran without moving water {times}, first {first}",
        "look at pump, strainer and hose, and keep a spare pump: roots stay dry as long as "
        "it fails",
    ),
    AlarmCode.OUTAGE: _Words(
        "roots went without water through an outage or a wrong clock {times}, first told "
        "{first} ({detail})",
        "a battery for pump and board bridges an outage; without one, the recovery watering "
        "afterwards is all that can be done",
    ),
    AlarmCode.WATERING_MISSED: _Words(
        "missed {times} while it waited ({detail}), first {first}",
        "shift its spans against the others', or allow more at once under [guards]",
    ),
    AlarmCode.KEPT_WAITING: _Words(
        "waited for its turn or for watts for over an hour {times}, first {first} ({detail})",
        "shift its spans against the others', or allow more at once under [guards]",
    ),
    AlarmCode.NO_SPAN: _Words(
        "had no span to say what it does {times}, first {first}",
        "give it a span that starts at a time which comes every day",
    ),
    AlarmCode.CLOCK_UNTRUSTED: _Words(
        "the clock was not trusted {times}, first {first}: loads ran by elapsed time",
        "a clock with a battery on the board, or a network at its start, shortens that",
    ),
    AlarmCode.SENSOR_SILENT: _Words(
        "gave no fresh reading {times}, first {first}",
        "look at its wire and supply: nothing is decided by it meanwhile",
    ),
}
_ORDER = list(_WORDS)
# What weather tells, by the plan's word for it; a sensor that the plan does not declare reads it.
_OF_THE_AIR = ("air_temperature", "humidity", "light")
_AIR_IS_SILENT = (
    "on paper, take a weather file that has these hours, or a run within it; in life, look at its "
    "wire and supply: nothing is decided by it meanwhile"
)


class _Case(NamedTuple):
    code: AlarmCode
    subject: str
    first: Instant
    detail: str
    times: int = 1


def alarms(schedule: Schedule, account: Account) -> list[Finding]:
    """A warning for each alarm and the load or sensor that it is about, the worst first."""
    cases: dict[tuple[AlarmCode, str], _Case] = {}
    for instant, notice in account.remarks:
        if notice.event is not Event.ALARM_RAISED:
            continue
        code = alarm_code_of(notice.detail)
        assert code is not None, notice.detail
        _, _, detail = notice.detail.partition(": ")
        key = (code, notice.subject)
        earlier = cases.get(key)
        cases[key] = (
            _Case(code, notice.subject, instant, detail)
            if earlier is None
            else earlier._replace(times=earlier.times + 1)
        )
    ordered = sorted(cases.values(), key=lambda case: _ORDER.index(case.code))
    return [_warning(schedule, case) for case in ordered]


def _warning(schedule: Schedule, case: _Case) -> Finding:
    words = _WORDS[case.code]
    is_missed = case.code is AlarmCode.WATERING_MISSED
    text = words.happened.format(
        subject=case.subject,
        times=counted(case.times, "watering") if is_missed else times_words(case.times),
        first=moment_words(case.first, schedule.calendar),
        detail=case.detail,
    )
    mend = words.mend
    if case.code is AlarmCode.SENSOR_SILENT:
        sensor = schedule.plan.sensors.get(case.subject)
        if sensor is None or sensor.measures in _OF_THE_AIR:
            mend = _AIR_IS_SILENT
    return Finding("warning", _where(schedule, case.subject), text, mend)


def _where(schedule: Schedule, subject: str) -> str:
    if subject in schedule.places:
        return f"loads.{subject}"
    return f"sensors.{subject}" if subject else "site"


_TOLD: dict[Event, tuple[Level, str, str]] = {
    Event.REQUEST_REFUSED: (
        "warning",
        "a person's order was refused: {detail}",
        "look at the fault script or the order: it fits neither the plan nor the moment",
    ),
    Event.CLOCK_STEPPED: (
        "note",
        "the clock stepped by {detail}",
        "a clock that a time service keeps does not step while it runs",
    ),
}


def outages(schedule: Schedule, account: Account) -> list[Finding]:
    """One finding for all the times without power."""
    stretches: list[tuple[Instant, Instant]] = []
    lost_at: Instant | None = None
    for instant, notice in account.remarks:
        if notice.event is Event.POWER_LOST:
            lost_at = instant
        elif notice.event is Event.POWER_BACK and lost_at is not None:
            stretches.append((lost_at, instant))
            lost_at = None
    if lost_at is not None:
        stretches.append((lost_at, account.end))
    if not stretches:
        return []
    in_all_ms = sum(end - start for start, end in stretches)
    longest = max(stretches, key=lambda stretch: stretch[1] - stretch[0])
    text = (
        f"no power {times_words(len(stretches))}, {length_words(in_all_ms)} in all, longest "
        f"{between_words(*longest, schedule.calendar)}: everything was off"
    )
    mend = "see below what it did to the roots; a battery for pump and board bridges an outage"
    return [Finding("warning", "site", text, mend)]


def told_notices(schedule: Schedule, account: Account) -> list[Finding]:
    """Findings for the notices besides alarms that a grower should know of."""
    found = []
    for instant, notice in account.remarks:
        if notice.event in _TOLD:
            level, message, mend = _TOLD[notice.event]
            text = message.format(detail=notice.detail)
            when = moment_words(instant, schedule.calendar)
            found.append(Finding(level, "site", f"{when}: {text}", mend))
    return found
