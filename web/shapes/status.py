"""The shapes of what is so now: the controller, its loads, sensors and alarms."""

from __future__ import annotations

from typing import Literal

from web.shapes.told import Told


class HoldStatus(Told):
    """A hold in force."""

    order: str
    ends_utc: str | None
    left_s: float


class LoadStatus(Told):
    """What one load does, and why."""

    name: str
    kind: str
    line: int
    is_on: bool
    since_utc: str | None
    for_s: float | None
    until_utc: str | None
    left_s: float | None
    why: str
    sentence: str
    held: HoldStatus | None
    variant: str | None
    watts: float | None
    may_be_mains: bool


class SensorStatus(Told):
    """A sensor's last value."""

    name: str
    measures: str
    unit: str
    value: float | None
    age_s: float | None
    why_silent: str | None


class AlarmStatus(Told):
    """An alarm that stands."""

    code: str
    subject: str
    since_utc: str
    is_active: bool
    is_acknowledged: bool
    what_to_do: str


class PlanStatus(Told):
    """The plan in force."""

    source: str
    revision: int
    taken_utc: str | None
    refused: str | None


class SunStatus(Told):
    """Sunrise and sunset of the site's present date; null where it has none."""

    sunrise_utc: str | None
    sunset_utc: str | None


class Lateness(Told):
    """How long after their time switchings were carried out."""

    count: int
    p50_ms: float | None
    p99_ms: float | None
    max_ms: float | None


class Status(Told):
    """Everything at one moment."""

    version: str
    protocol: int
    now_utc: str
    now_local: str
    timezone: str
    up_s: float
    is_mock: bool
    is_rehearsal: bool
    speed: float
    is_clock_trusted: bool
    is_stopped: bool
    sun: SunStatus
    plan: PlanStatus
    loads: list[LoadStatus]
    sensors: list[SensorStatus]
    alarms: list[AlarmStatus]
    lateness: Lateness


class PictureShape(Told):
    """The last status and its age."""

    is_connected: bool
    reason: str | None
    age_s: float | None
    status: Status | None


class Health(Told):
    """The controller answers."""

    is_alive: Literal[True]
    age_s: float
    version: str
