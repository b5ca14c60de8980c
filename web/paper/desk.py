"""Hands plans to workers and answers back, so that no plan can hold up the page.

Small jobs (a check, an edit, a preview) go to one worker that stays while it is used; of one
client's previews the newest wins. Each dry run has a worker of its own, a few at once.
"""

from __future__ import annotations

import asyncio
import os
import sys
from asyncio.subprocess import PIPE
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import web
from controller.core.errors import BusyError, PaperError, SupersededError
from web.paper.frames import frame_of, next_frame
from web.problems import Problem

if TYPE_CHECKING:
    from asyncio.subprocess import Process
    from collections.abc import AsyncIterator, Mapping

_MODULE = "web.paper"
_MISTAKE = 1  # exit code of a Python program that did not expect something


class PaperLimits(NamedTuple):
    """What work on paper may take."""

    small_job_s: float = 20.0  # on a small board, the first one loads everything
    dry_run_s: float = 120.0
    idle_s: float = 300.0  # after which the worker for small jobs ends
    waiting_max: int = 16
    dry_runs_max: int = 2
    small_job_bytes: int = 300 * 1024 * 1024
    dry_run_bytes: int = 500 * 1024 * 1024


class PaperDesk:
    """Gives out work; `close` leaves no worker behind."""

    def __init__(self, limits: PaperLimits | None = None) -> None:
        self._limits = PaperLimits() if limits is None else limits
        self._workers: set[Process] = set()
        self._worker: Process | None = None  # of them, the one for small jobs
        self._one = asyncio.Lock()
        self._waiting = 0
        self._newest: dict[str, asyncio.Future[None]] = {}
        self._dry_runs = 0
        self._idle: asyncio.TimerHandle | None = None
        self._is_closed = False
        self._waking: asyncio.Task[None] | None = None

    # Small jobs

    def wake(self) -> None:
        """Has the worker ready soon: somebody is likely to need it."""
        if self._worker is None and (self._waking is None or self._waking.done()):
            self._waking = asyncio.get_running_loop().create_task(self._woken())

    async def _woken(self) -> None:
        with suppress(PaperError, BusyError):  # whoever needs it will be told
            await self.small_job({"job": "wake"})

    async def small_job(self, job: Mapping[str, Any], *, client: str | None = None) -> Any:
        """The result of a job; of one client's jobs, one that still waits gives way.

        Raises:
            Problem: the plan, or what is asked of it, is refused.
            PaperError: it took too long, or too much memory.
            BusyError: too much is asked at once.
            SupersededError: the same client asked for something newer.
        """
        if self._waiting >= self._limits.waiting_max:
            raise BusyError("too many plans are being looked at: try again in a moment")
        given_up = self._supersede(client)
        self._waiting += 1
        try:
            async with self._turn(given_up):
                return _result(await self._ask_worker(job))
        finally:
            self._waiting -= 1
            if client is not None and self._newest.get(client) is given_up:
                del self._newest[client]

    def _supersede(self, client: str | None) -> asyncio.Future[None]:
        """Tells the client's older job to give way; what will tell this one so."""
        given_up = asyncio.get_running_loop().create_future()
        if client is not None:
            older = self._newest.get(client)
            if older is not None and not older.done():
                older.set_result(None)
            self._newest[client] = given_up
        return given_up

    @asynccontextmanager
    async def _turn(self, given_up: asyncio.Future[None]) -> AsyncIterator[None]:
        """The worker for oneself, unless something newer comes first."""
        getting = asyncio.ensure_future(self._one.acquire())
        either: set[asyncio.Future[Any]] = {getting, given_up}
        try:
            await asyncio.wait(either, return_when=asyncio.FIRST_COMPLETED)
            if not getting.done():
                raise SupersededError("the same page has asked for something newer since")
            yield
        finally:
            if getting.done() and not getting.cancelled():
                self._one.release()
            getting.cancel()

    async def _ask_worker(self, job: Mapping[str, Any]) -> Any:
        if self._idle is not None:
            self._idle.cancel()
        try:
            if self._worker is None or self._worker.returncode is not None:
                self._worker = await self._started(self._limits.small_job_bytes)
            answer = await _asked(self._worker, job, self._limits.small_job_s)
        except BaseException:
            await self._end_worker()  # it may be half way through an answer
            raise
        loop = asyncio.get_running_loop()
        self._idle = loop.call_later(self._limits.idle_s, self._let_go)
        return answer

    def _let_go(self) -> None:
        """Ends a worker that nobody needs."""
        if self._one.locked():
            return  # the job at work will see to it
        worker, self._worker = self._worker, None
        if worker is not None:
            self._waking = asyncio.get_running_loop().create_task(self._ended(worker))

    async def _end_worker(self) -> None:
        worker, self._worker = self._worker, None
        if worker is not None:
            await self._ended(worker)

    # Dry runs

    async def dry_run(self, job: Mapping[str, Any]) -> Any:
        """The result of a dry run, in a worker of its own; when cancelled, the worker ends.

        Raises:
            Problem, PaperError, BusyError: as `small_job`.
        """
        if self._dry_runs >= self._limits.dry_runs_max:
            raise BusyError("other dry runs are at work: try again when they are done")
        self._dry_runs += 1
        try:
            worker = await self._started(self._limits.dry_run_bytes)
            try:
                return _result(await _asked(worker, job, self._limits.dry_run_s))
            finally:
                await self._ended(worker)
        finally:
            self._dry_runs -= 1

    async def _started(self, memory_bytes: int) -> Process:
        if self._is_closed:
            raise BusyError("the page ends")
        try:
            worker = await asyncio.create_subprocess_exec(
                *(sys.executable, "-P", "-m", _MODULE, str(memory_bytes)),
                stdin=PIPE,
                stdout=PIPE,
                env=_environment(),
                start_new_session=True,  # Ctrl-C in a terminal is the page's to hear
            )
        except OSError as error:
            raise PaperError(f"no plan can be tried now: {error.strerror}") from None
        self._workers.add(worker)
        return worker

    async def _ended(self, worker: Process) -> None:
        if worker.returncode is None:
            with suppress(ProcessLookupError):
                worker.kill()
        await worker.wait()
        self._workers.discard(worker)

    async def close(self) -> None:
        """Ends every worker; what still waits is told so."""
        self._is_closed = True
        if self._idle is not None:
            self._idle.cancel()
        if self._waking is not None:
            self._waking.cancel()
            await asyncio.wait({self._waking})
        for worker in [*self._workers]:
            await self._ended(worker)


def _environment() -> dict[str, str]:
    """This process's own, with our packages where the worker finds them, whatever its folder."""
    root = str(Path(web.__file__).resolve().parents[1])
    paths = [root, *filter(None, [os.environ.get("PYTHONPATH")])]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(paths)}


async def _asked(worker: Process, job: Mapping[str, Any], within_s: float) -> Any:
    if worker.stdin is None or worker.stdout is None:
        raise PaperError("the worker was started without a way to talk to it")
    try:
        async with asyncio.timeout(within_s):
            worker.stdin.write(frame_of(job))
            await worker.stdin.drain()
            return await next_frame(worker.stdout)
    except TimeoutError:
        raise PaperError(
            f"trying the plan on paper took longer than {within_s:g} s and was ended: ask for "
            "fewer days, or give loads fewer spans"
        ) from None
    except (asyncio.IncompleteReadError, ConnectionError):
        if await worker.wait() == _MISTAKE:  # it has told the log which
            text = (
                "trying the plan on paper failed: this is a fault of rootclock, and its log tells"
            )
            raise Problem("our-mistake", text) from None
        raise PaperError(
            "trying the plan on paper came to no end, most likely for want of memory: ask for less"
        ) from None


def _result(answer: Mapping[str, Any]) -> Any:
    if "result" in answer:
        return answer["result"]
    if "too_much" in answer:
        raise PaperError(answer["too_much"])
    if "findings" in answer:
        raise Problem("plan-refused", answer["refused"], findings=answer["findings"])
    raise Problem("unfit", answer["refused"])
