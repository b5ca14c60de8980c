"""Work beside the watering that nobody waits for; a mistake in it is told, and ends it alone."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Coroutine

    from controller.daemon.mistakes import Mistakes


class Errands:
    """Begun one by one, ended together. `mistakes` is told of those that failed."""

    def __init__(self, mistakes: Mistakes) -> None:
        self._mistakes = mistakes
        self._tasks: list[asyncio.Task[None]] = []

    def begin(self, work: Coroutine[Any, Any, None], name: str) -> None:
        """Does the work in a task of its own."""
        task = asyncio.get_running_loop().create_task(work, name=name)
        self._tasks.append(task)
        task.add_done_callback(self._done)

    def _done(self, task: asyncio.Task[None]) -> None:
        self._tasks.remove(task)
        if not task.cancelled() and task.exception() is not None:
            self._mistakes.happened(f"{task.get_name()} ended", task.exception())

    async def end(self, *, within_s: float) -> None:
        """Breaks off what is still under way, and waits for that no longer than so."""
        for task in [*self._tasks]:
            task.cancel()
        if self._tasks:
            await asyncio.wait(self._tasks, timeout=within_s)
