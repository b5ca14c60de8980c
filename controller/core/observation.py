"""What a decision is told: the time, the readings and what people asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.cycle import Cycle
    from controller.core.orders import AlarmCode
    from controller.core.units import Instant

# Milliseconds on the monotonic clock: it never steps, starts anywhere, and its readings
# compare only within one boot. Everything that must last is measured with it.
Tick: TypeAlias = int


class Reading(NamedTuple):
    """A sensor's value, in the unit of its quantity, and when it was taken."""

    value: float
    taken: Tick


class HoldRequest(NamedTuple):
    """A person's order for one load: a cycle (steady ones too) or a variant's name."""

    load: str
    order: Cycle | str
    for_ms: int


class ReleaseRequest(NamedTuple):
    """A person ends a load's hold."""

    load: str


class AcknowledgeRequest(NamedTuple):
    """A person has looked at an alarm."""

    code: AlarmCode
    subject: str


class StopRequest(NamedTuple):
    """A person stops everything."""


class ResumeRequest(NamedTuple):
    """A person lets everything go on."""


Request: TypeAlias = HoldRequest | ReleaseRequest | AcknowledgeRequest | StopRequest | ResumeRequest


class Trouble(NamedTuple):
    """Something wrong with the controller itself, while it lasts: a relay, the journal, the
    plan's file."""

    code: AlarmCode
    subject: str


class Observation(NamedTuple):
    """The world at one moment.

    `boot` is another number whenever the loads have been without the controller since
    the last decision (`down_since` tells since when, if anybody knows) and the monotonic
    clock may have started anew. `down_ms` is how long that took at most, where the
    monotonic clock ran on: ticks compare across the outage then, whatever the clock shows.
    `troubles` are those that there are, told each time. The same `readings` object means
    that nothing was read.
    """

    now: Instant
    tick: Tick
    boot: int
    is_clock_trusted: bool
    readings: Mapping[str, Reading]
    requests: tuple[Request, ...] = ()
    down_since: Instant | None = None
    down_ms: int | None = None
    troubles: frozenset[Trouble] = frozenset()
