"""Who waits for the loop's next decision, or until none is about to be due."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from controller.daemon.loop import ControlLoop
    from controller.daemon.ports import Clock

# An answer takes half a millisecond of a desktop's processor, ten times that of a small board's.
_GIVE_WAY_MS = 20
_GIVE_WAY_TIMES = 3  # a plan whose loads change all the time must not silence its controller


class Steps:
    """Lets others wait for the decisions of a loop; `made` is called after each."""

    def __init__(self, loop: ControlLoop, clock: Clock) -> None:
        self._loop = loop
        self._clock = clock
        self._waiting: list[asyncio.Future[None]] = []

    async def next(self) -> None:
        """Returns after the next decision, which is made now."""
        self._clock.wake_up()
        await self._step()

    async def give_way(self) -> None:
        """Returns when no switching is about to be due, whose loop an answer would keep busy."""
        for _ in range(_GIVE_WAY_TIMES):
            if not self._loop.is_due_within(_GIVE_WAY_MS):
                return
            await self._step()

    def made(self) -> None:
        """A decision was made and carried out: whoever waited for it goes on."""
        for step in self._waiting:
            if not step.done():
                step.set_result(None)
        self._waiting.clear()

    def _step(self) -> asyncio.Future[None]:
        step: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        self._waiting.append(step)
        return step
