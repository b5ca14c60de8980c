"""The status as values. Instants are what the controller's clock shows; lengths are seconds.

While the clock is not trusted, moments to come and moments past are None (an untrusted clock
is no time), and the lengths beside them still tell.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from controller.core.units import Instant

# The version of what is said over the control socket, of which the status is the larger
# part: one more whenever an older client would misread something.
PROTOCOL = 1


class HoldStatus(NamedTuple):
    """A person's order in force: `on`, `off`, a cycle or a variant's name, and its end."""

    order: str
    ends: Instant | None
    left_s: float


class LoadStatus(NamedTuple):
    """What one load does, and why.

    `for_s` is None where nobody knows how long it has been so, `left_s` where no end is
    known. `why` is the rule (`orders.Why` as text), `sentence` the same for people. `watts` is
    what it takes while on, None where the plan does not say. `may_be_mains` is false where the
    plan says that its relay switches no mains voltage.
    """

    name: str
    kind: str
    line: int
    is_on: bool
    since: Instant | None
    for_s: float | None
    until: Instant | None
    left_s: float | None
    why: str
    sentence: str
    held: HoldStatus | None
    variant: str | None
    watts: float | None
    may_be_mains: bool


class SensorStatus(NamedTuple):
    """A sensor's last value, in `unit`, unless it is too old to be one."""

    name: str
    measures: str
    unit: str
    value: float | None
    age_s: float | None
    why_silent: str | None


class AlarmStatus(NamedTuple):
    """An alarm that stands, whether its cause does, and what a person is to do."""

    code: str
    subject: str
    since: Instant
    is_active: bool
    is_acknowledged: bool
    what_to_do: str


class PlanStatus(NamedTuple):
    """The plan in force: where it came from, its revision, since when it is in force.

    `refused` says what is wrong with a newer plan on disk that was not taken.
    """

    source: str
    revision: int
    taken: Instant | None
    refused: str | None


class SunStatus(NamedTuple):
    """Sunrise and sunset of the site's present date; None where it has none."""

    sunrise: Instant | None
    sunset: Instant | None


class Lateness(NamedTuple):
    """How long after their time switchings were carried out; None while there was none."""

    switchings: int
    p50_ms: float | None
    p99_ms: float | None
    max_ms: float | None


class Status(NamedTuple):
    """Everything at one moment."""

    version: str
    protocol: int
    now: Instant
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
    loads: tuple[LoadStatus, ...]
    sensors: tuple[SensorStatus, ...]
    alarms: tuple[AlarmStatus, ...]
    lateness: Lateness
