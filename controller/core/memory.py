"""What one decision hands to the next: the whole state of the controller, as a value."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.orders import Reason, Why

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.cycle import Cycle
    from controller.core.observation import Reading, Tick
    from controller.core.orders import AlarmCode
    from controller.core.units import Instant


class Hold(NamedTuple):
    """A person's order in force: a cycle, or a variant's name; it always ends."""

    order: Cycle | str
    began: Tick
    ends: Tick
    ends_at: Instant  # what the clock was to show then, for people and for the next boot


class Alarm(NamedTuple):
    """Something wrong with a load or sensor, since when, and whether it still is."""

    code: AlarmCode
    subject: str
    since: Instant
    is_active: bool
    is_acknowledged: bool = False


class LoadMemory(NamedTuple):
    """One load's state and what its next change hangs on.

    `look` is when it must be weighed again at the latest; `watered_until` and
    `watered_ms` are the end and length of its last time on; `variant` the place of the
    sensor variant in force, or -1; `is_kept_waiting` that it should be on and waits for
    its turn or for watts; `flow_retry` when a pump stopped for want of flow tries again.
    """

    is_on: bool
    since: Tick
    look: Tick
    reason: Reason
    watered_until: Instant | None = None
    watered_ms: int = 0
    hold: Hold | None = None
    variant: int = -1
    variant_since: Tick = 0
    is_kept_waiting: bool = False
    flow_retry: Tick | None = None


class Memory(NamedTuple):
    """The controller's state between two decisions.

    `untrusted_since` counts only while the clock is not trusted. `starts` are the last
    times that any load started, as many as may start together. `recovery` lists loads
    (by place) that still wait for a recovery watering, the one whose turn it is first.
    `known` has the fresh value of each sensor that the plan uses; `sensor_look` is when
    the next of them grows stale.
    """

    boot: int
    now: Instant
    tick: Tick
    is_clock_trusted: bool
    untrusted_since: Tick
    is_stopped: bool
    loads: tuple[LoadMemory, ...]
    starts: tuple[Tick, ...]
    recovery: tuple[int, ...]
    recovery_began: Instant
    readings: Mapping[str, Reading] | None
    known: Mapping[str, float]
    sensor_look: Tick
    alarms: tuple[Alarm, ...]

    def has_alarm(self, code: AlarmCode) -> bool:
        """Whether an alarm of that code stands, over or not."""
        return any(alarm.code is code for alarm in self.alarms)


NOT_YET = Reason(Why.NO_SPAN)
