"""The loop: the one place in which the controller's time passes."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from controller.core.adoption import adopted_memory
from controller.step import take_step

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.core.memory import Memory
    from controller.core.observation import Tick
    from controller.core.orders import Notice
    from controller.core.schedule import Schedule
    from controller.daemon.ports import Clock, Sensors
    from controller.daemon.world import ControllerWorld

# A decision is due at its wake; a loop that is later than this does not live.
OVERDUE_MS = 2_000


class ControlLoop:
    """Observes, decides, carries out and sleeps, until told to end.

    `memory` is what the last decision remembered, or what the first is to start from.
    """

    def __init__(
        self,
        schedule: Schedule,
        memory: Memory | None,
        *,
        world: ControllerWorld,
        clock: Clock,
        sensors: Sensors,
    ) -> None:
        self.schedule = schedule
        self.memory = memory
        self.wake: Tick = 0
        self._world = world
        self._clock = clock
        self._sensors = sensors
        self._next_schedule: Schedule | None = None
        self._is_ending = False
        world.use(schedule, earlier=memory, notices=())

    def adopt(self, schedule: Schedule) -> None:
        """Goes on with another plan from the next decision on."""
        self._next_schedule = schedule
        self._clock.wake_up()

    def end(self) -> None:
        """Takes no further decision."""
        self._is_ending = True
        self._clock.wake_up()

    def is_overdue(self) -> bool:
        """Whether a decision is due for so long that the loop cannot be alive."""
        return self._clock.read()[1] > self.wake + OVERDUE_MS

    def is_due_within(self, length_ms: int) -> bool:
        """Whether the next decision is due by then, or overdue."""
        return self.wake - self._clock.read()[1] <= length_ms

    async def run(self, *, is_over: Callable[[], bool] = lambda: False) -> None:
        """Runs until `end` is called, or until `is_over` says so after a sleep."""
        while not self._is_ending and not is_over():
            self.step()
            if self._world.inbox:
                await asyncio.sleep(0)  # others have their turn between two requests
                continue
            await self._clock.sleep_until(min(self.wake, self._sensors.next_look()))

    def step(self) -> None:
        """Takes one decision now."""
        if self._next_schedule is not None:
            self._take_over(self._next_schedule)
        self.memory, self.wake = take_step(self.schedule, self.memory, self._world)

    def _take_over(self, schedule: Schedule) -> None:
        self._next_schedule = None
        memory = self.memory
        notices: tuple[Notice, ...] = ()
        if memory is not None:
            memory, notices = adopted_memory(self.schedule, schedule, memory, self._world.glimpse())
            # Told anew: a relay's alarm that went with its load may still have its cause.
            memory = memory._replace(troubles=frozenset())
        self.schedule, self.memory = schedule, memory
        self._world.use(schedule, earlier=memory, notices=notices)
