"""A worker for small jobs that stays while it is used, and the line before it."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Any

from web.paper.line import Line

if TYPE_CHECKING:
    from asyncio.subprocess import Process
    from collections.abc import Awaitable, Callable, Mapping


class LastingWorker:
    """One worker process at most, started when it is needed.

    Args:
        start: starts a process.
        ask: has a process do a job.
        end: ends a process.
        idle_s: after which a process that nobody needs is ended.
    """

    def __init__(
        self,
        start: Callable[[], Awaitable[Process]],
        ask: Callable[[Process, Mapping[str, Any]], Awaitable[Any]],
        end: Callable[[Process], Awaitable[None]],
        *,
        idle_s: float,
    ) -> None:
        self._start, self._ask, self._end = start, ask, end
        self._idle_s = idle_s
        self._line = Line()
        self._process: Process | None = None
        self._idle: asyncio.TimerHandle | None = None
        self._ending: asyncio.Task[None] | None = None

    @property
    def is_there(self) -> bool:
        """Whether the process runs."""
        return self._process is not None and self._process.returncode is None

    @property
    def line_length(self) -> int:
        """How many jobs are at work or wait."""
        return self._line.length

    async def do(self, job: Mapping[str, Any], rank: int, given_up: asyncio.Future[None]) -> Any:
        """The worker's answer to a job, when its turn has come.

        Raises:
            SupersededError: it was given up before that.
            Problem, PaperError, BusyError: the process cannot be started, or came to no answer.
        """
        async with self._line.turn(rank, given_up):
            self._forget_idleness()
            try:
                if self._process is None or self._process.returncode is not None:
                    self._process = await self._start()
                answer = await self._ask(self._process, job)
            except BaseException:
                await self._let_go()  # it may be half way through an answer
                raise
            loop = asyncio.get_running_loop()
            self._idle = loop.call_later(self._idle_s, self._end_if_idle)
            return answer

    def _forget_idleness(self) -> None:
        if self._idle is not None:
            self._idle.cancel()

    def _end_if_idle(self) -> None:
        if not self._line.length:  # the job at work will see to it
            self._ending = asyncio.get_running_loop().create_task(self._let_go())

    async def _let_go(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            await self._end(process)

    async def close(self) -> None:
        """Ends no process that is at work, but what would be done later."""
        self._forget_idleness()
        if self._ending is not None:
            await asyncio.wait({self._ending})
