"""Repeats: what a plan does again and again is decided once.

A period of the cycles in force is carried out step by step, and what it told is kept. Where the
state of the controller is then the same as a period before, see `core/recurrence`, the periods
that follow are told again instead of decided again, up to where anything else may happen. A year
of a quarter on, a quarter off is so decided in some thousand steps instead of thirty-five.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.recurrence import later, recurs, rhythm_of, still_until, wake_of

if TYPE_CHECKING:
    from controller.core.memory import Memory
    from controller.core.observation import Tick
    from controller.core.recurrence import Rhythm
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.virtual_world import VirtualWorld

# Of which fewer are to come is not worth the proof.
_PERIODS_MIN = 3
# How often two periods are compared before a stretch is taken to have no rhythm: the first may
# begin with a step that was no cycle's doing.
_TRIES_MAX = 3
# After which a plan is asked again, at the earliest, that has no rhythm now or not for long.
_PAUSE_MS = 300_000


class Repeats:
    """Looks for periods that recur in one run, and passes them.

    Attributes:
        look_at: when to call `pass_by` next; calls before that are in vain.
    """

    def __init__(self, schedule: Schedule, world: VirtualWorld) -> None:
        self.look_at: Instant = world.true_now
        self._schedule = schedule
        self._world = world
        self._before: Memory | None = None  # the state a period before `look_at`
        self._tries = 0

    def pass_by(self, memory: Memory, wake: Tick) -> tuple[Memory, Tick]:
        """Passes the periods that recur after a step; the memory and the next tick then."""
        world, before = self._world, self._before
        rhythm = rhythm_of(self._schedule, memory) if world.is_steady else None
        if rhythm is None:
            self._pause(0)
            return memory, wake
        alike_ms = min(rhythm.alike_until - memory.tick, world.steady_until - world.true_now)
        period_ms = rhythm.period_ms
        if before is None or not recurs(before, memory, rhythm):
            self._watch(memory, rhythm, alike_ms)
            return memory, wake
        alike_ms = min(alike_ms, still_until(before, memory) - memory.tick)
        times = (alike_ms - 1) // period_ms
        if times > 0:
            passed_ms = times * period_ms
            world.pass_by(period_ms=period_ms, times=times)
            memory = later(before, memory, passed_ms)
            wake, alike_ms = wake_of(memory), alike_ms - passed_ms
        self._pause(alike_ms)
        return memory, wake

    def _watch(self, memory: Memory, rhythm: Rhythm, alike_ms: int) -> None:
        """Looks at the period that begins now, if enough of them are to come."""
        unsettled_ms = max(0, rhythm.settled_at - memory.tick)
        to_come = (alike_ms - unsettled_ms) // rhythm.period_ms
        if to_come < _PERIODS_MIN or self._tries == _TRIES_MAX:
            self._pause(alike_ms)
        elif unsettled_ms:
            self._pause(unsettled_ms)
        else:
            self._world.tape.start()
            self._before = memory
            self._tries += 1
            self.look_at = self._world.true_now + rhythm.period_ms

    def _pause(self, length_ms: int) -> None:
        """Looks at nothing for that long at the least."""
        self._world.tape.stop()
        self._before, self._tries = None, 0
        self.look_at = self._world.true_now + max(length_ms, _PAUSE_MS)
