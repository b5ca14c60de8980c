"""The status taken from what the controller remembers, at one moment."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.alarm_words import what_to_do
from controller.core.anchor import SunEvent
from controller.core.memory import LONG_AGO_MS
from controller.core.status.record import (
    PROTOCOL,
    AlarmStatus,
    HoldStatus,
    Lateness,
    LoadStatus,
    PlanStatus,
    SensorStatus,
    Status,
    SunStatus,
)
from controller.core.sun import Absence
from controller.core.units import SECOND_MS
from controller.core.words import length_words, sentence

if TYPE_CHECKING:
    from controller.core.calendar import Calendar
    from controller.core.memory import LoadMemory, Memory
    from controller.core.observation import Tick
    from controller.core.plan import Quantity, Sensor
    from controller.core.schedule import Schedule
    from controller.core.units import Instant

# As `plan.Quantity` states them; a contact has no unit.
_UNITS: dict[Quantity, str] = {
    "air_temperature": "°C",
    "humidity": "%",
    "water_temperature": "°C",
    "light": "W/m²",
    "level": "",
    "flow": "L/min",
    "leak": "",
    "stop": "",
}


_RISE_AND_SET = (SunEvent.SUNRISE, SunEvent.SUNSET)
_NO_SUN = SunStatus(None, None)  # without a trusted clock there is no date


class Facts(NamedTuple):
    """What the daemon knows of itself, besides what it decides with."""

    version: str
    started: Tick
    is_mock: bool
    is_rehearsal: bool
    speed: float
    plan: PlanStatus
    lateness: Lateness


def status_of(
    schedule: Schedule, memory: Memory, *, now: Instant, tick: Tick, facts: Facts
) -> Status:
    """What the controller does at this moment; `now` and `tick` are read together."""
    return Status(
        version=facts.version,
        protocol=PROTOCOL,
        now=now,
        now_local=schedule.calendar.local(now).isoformat(timespec="seconds"),
        timezone=schedule.plan.site.timezone,
        up_s=_seconds(tick - facts.started),
        is_mock=facts.is_mock,
        is_rehearsal=facts.is_rehearsal,
        speed=facts.speed,
        is_clock_trusted=memory.is_clock_trusted,
        is_stopped=memory.is_stopped,
        sun=_sun_status(schedule.calendar, now) if memory.is_clock_trusted else _NO_SUN,
        plan=facts.plan,
        loads=tuple(
            _load_status(schedule, place, its, now=now, tick=tick, is_time=memory.is_clock_trusted)
            for place, its in enumerate(memory.loads)
        ),
        sensors=tuple(
            _sensor_status(name, sensor, memory, tick)
            for name, sensor in schedule.plan.sensors.items()
        ),
        alarms=tuple(
            AlarmStatus(
                code=alarm.code.value,
                subject=alarm.subject,
                since=alarm.since,
                is_active=alarm.is_active,
                is_acknowledged=alarm.is_acknowledged,
                what_to_do=what_to_do(alarm.code, alarm.subject),
            )
            for alarm in memory.alarms
        ),
        lateness=facts.lateness,
    )


def _sun_status(calendar: Calendar, now: Instant) -> SunStatus:
    day = calendar.date_of(now)
    rise, down = (calendar.sun_event_on(event, day) for event in _RISE_AND_SET)
    return SunStatus(
        None if isinstance(rise, Absence) else rise, None if isinstance(down, Absence) else down
    )


def _load_status(
    schedule: Schedule, place: int, its: LoadMemory, *, now: Instant, tick: Tick, is_time: bool
) -> LoadStatus:
    """One load's; `is_time` is whether the time of day can be believed."""
    load = schedule.loads[place]
    planned = schedule.plan.loads[load.name]
    for_ms = tick - its.since if tick - its.since < LONG_AGO_MS else None
    until = its.reason.until
    told = sentence(its.reason, load, is_on=its.is_on, now=now, calendar=schedule.calendar)
    held = None
    if its.hold is not None:
        left_ms = max(0, its.hold.ends - tick)
        held = HoldStatus(
            str(its.hold.order), now + left_ms if is_time else None, _seconds(left_ms)
        )
    return LoadStatus(
        name=load.name,
        kind=load.kind,
        line=planned.line,
        is_on=its.is_on,
        since=None if for_ms is None or not is_time else now - for_ms,
        for_s=None if for_ms is None else _seconds(for_ms),
        until=until if is_time else None,
        left_s=None if until is None else _seconds(max(0, until - now)),
        why=its.reason.why.value,
        sentence=told,
        held=held,
        variant=load.variants[its.variant].name if its.variant >= 0 else None,
        watts=planned.watts,
        may_be_mains=planned.mains is not False,
    )


def _sensor_status(name: str, sensor: Sensor, memory: Memory, tick: Tick) -> SensorStatus:
    """A sensor that no guard or variant looks at is told as well."""
    reading = None if memory.readings is None else memory.readings.get(name)
    value, age_s, why_silent = None, None, None
    if reading is None:
        why_silent = "nothing was read yet"
    else:
        age_ms = max(0, tick - reading.taken)
        age_s = _seconds(age_ms)
        if age_ms <= sensor.stale_after:
            value = reading.value
        else:
            limit = length_words(sensor.stale_after)
            why_silent = f"last read {length_words(age_ms)} ago, over {limit} (stale_after)"
    return SensorStatus(name, sensor.measures, _UNITS[sensor.measures], value, age_s, why_silent)


def _seconds(length_ms: int) -> float:
    return length_ms / SECOND_MS
