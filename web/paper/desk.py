"""Hands plans to workers and answers back, so that no plan can hold up the page.

Small jobs (a check, an edit, a preview) go to workers that stay while they are used. What
follows a finger comes before what can wait; a preview is shared among the workers, and of one
client's previews the newest wins. Guests have the last worker alone, the owner goes past it while
they do. Each dry run has a worker of its own, a few at once.
"""

from __future__ import annotations

import asyncio
import os
import sys
from asyncio.subprocess import PIPE
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import web
from controller.core.errors import BusyError, PaperError
from web.paper.asking import answer_to, result_of
from web.paper.lasting_worker import LastingWorker
from web.paper.room import Room
from web.paper.shares import share_of, whole

if TYPE_CHECKING:
    from asyncio.subprocess import Process
    from collections.abc import Callable, Mapping

_MODULE = "web.paper"
# Who follows a finger on the screen is served first.
_RANKS = {"wake": 0, "edit": 0, "preview": 0}
_LAST = 1
_GUEST = 2


class PaperLimits(NamedTuple):
    """What work on paper may take."""

    small_job_s: float = 20.0  # on a small board, the first one loads everything
    dry_run_s: float = 120.0
    idle_s: float = 300.0  # after which the worker for small jobs ends
    waiting_max: int = 16
    waiting_guests_max: int = 8
    waiting_one_guest_max: int = 4  # a browser of theirs asks for two things at once
    lasting_workers: int = min(2, os.cpu_count() or 1)
    dry_runs_max: int = 2
    small_job_bytes: int = 300 * 1024 * 1024
    dry_run_bytes: int = 500 * 1024 * 1024


class PaperDesk:
    """Gives out work; `close` leaves no worker behind."""

    def __init__(self, limits: PaperLimits | None = None) -> None:
        self._limits = PaperLimits() if limits is None else limits
        self._workers: set[Process] = set()
        self._lasting = [self._lasting_worker() for _ in range(self._limits.lasting_workers)]
        self._room = Room(
            jobs_max=self._limits.waiting_max,
            guests_max=self._limits.waiting_guests_max,
            one_guest_max=self._limits.waiting_one_guest_max,
        )
        self._newest: dict[str, asyncio.Future[None]] = {}
        self._dry_runs = 0
        self._is_closed = False
        self._waking: asyncio.Task[None] | None = None

    def _lasting_worker(self) -> LastingWorker:
        limits = self._limits
        return LastingWorker(
            lambda: self._started(limits.small_job_bytes),
            lambda process, job: self._answer_to(process, job, limits.small_job_s),
            self._ended,
            idle_s=limits.idle_s,
        )

    # Small jobs

    def wake(self) -> None:
        """Has the workers ready soon: somebody is likely to need them."""
        is_asleep = any(not worker.is_there for worker in self._lasting)
        if is_asleep and (self._waking is None or self._waking.done()):
            self._waking = asyncio.get_running_loop().create_task(self._woken())

    async def _woken(self) -> None:
        for worker in self._lasting:
            with suppress(PaperError, BusyError):  # whoever needs it will be told
                await worker.do({"job": "wake"}, _RANKS["wake"], _never())

    async def small_job(self, job: Mapping[str, Any], *, guest: str | None = None) -> Any:
        """The result of a job, from the worker whose line is shortest; `guest` tells guests
        apart, None is the owner.

        Raises:
            Problem: the plan, or what is asked of it, is refused.
            PaperError: it took too long, or too much memory.
            BusyError: too much is asked at once.
        """
        rank = _RANKS.get(job["job"], _LAST) if guest is None else _GUEST
        with self._room.place(guest):
            workers = self._workers_of(guest)
            worker = min(workers, key=lambda one: (one.line_length, not one.is_there))
            return result_of(await worker.do(job, rank, _never()))

    async def preview(
        self, job: Mapping[str, Any], *, client: str | None = None, guest: str | None = None
    ) -> bytes:
        """The JSON text of a preview, on which all workers work; of one client's previews, one
        that still waits gives way to a newer one. `guest` as for `small_job`.

        Raises:
            Problem, PaperError, BusyError: as `small_job`.
            SupersededError: the same client asked for something newer.
        """
        rank = _RANKS["preview"] if guest is None else _GUEST
        with self._room.place(guest):
            given_up = self._supersede(client)
            workers = self._workers_of(guest)[: len(job["parts"]) or 1]
            works = [
                worker.do({**job, "share": [number, len(workers)]}, rank, given_up)
                for number, worker in enumerate(workers)
            ]
            try:
                # A worker is not torn from its share because another one cannot do its own.
                answers = await asyncio.gather(*works, return_exceptions=True)
            finally:
                if client is not None and self._newest.get(client) is given_up:
                    del self._newest[client]
        shares = []
        for answer in answers:
            if isinstance(answer, BaseException):
                raise answer
            shares.append(share_of(result_of(answer)))
        return whole(shares)

    def _workers_of(self, guest: str | None) -> list[LastingWorker]:
        """Whom a job may go to. What a guest has begun can last, and nobody else waits for it
        where there are two."""
        if guest is not None:
            return self._lasting[-1:]
        return self._lasting[:-1] if self._room.has_guests and self._lasting[1:] else self._lasting

    def _supersede(self, client: str | None) -> asyncio.Future[None]:
        """Tells the client's older job to give way; what will tell this one so."""
        given_up = _never()
        if client is not None:
            older = self._newest.get(client)
            if older is not None and not older.done():
                older.set_result(None)
            self._newest[client] = given_up
        return given_up

    # Dry runs

    async def dry_run(
        self, job: Mapping[str, Any], on_progress: Callable[[float], None] = lambda _: None
    ) -> Any:
        """The result of a dry run, in a worker of its own; when cancelled, the worker ends.
        `on_progress` is told now and then which share is done, from 0 to 1.

        Raises:
            Problem, PaperError, BusyError: as `small_job`.
        """
        if self._dry_runs >= self._limits.dry_runs_max:
            raise BusyError("other dry runs are at work: try again when they are done")
        self._dry_runs += 1
        try:
            worker = await self._started(self._limits.dry_run_bytes)
            try:
                within_s = self._limits.dry_run_s
                return result_of(await self._answer_to(worker, job, within_s, on_progress))
            finally:
                await self._ended(worker)
        finally:
            self._dry_runs -= 1

    async def _started(self, memory_bytes: int) -> Process:
        self._refuse_late()
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
        try:
            self._refuse_late()
        except BusyError:  # the page began to end meanwhile
            await self._ended(worker)
            raise
        return worker

    def _refuse_late(self) -> None:
        """Nothing is begun any more once the page ends.

        Raises:
            BusyError: it does.
        """
        if self._is_closed:
            raise BusyError("the page ends")

    async def _answer_to(
        self,
        worker: Process,
        job: Mapping[str, Any],
        within_s: float,
        on_progress: Callable[[float], None] = lambda _: None,
    ) -> Any:
        try:
            return await answer_to(worker, job, within_s, on_progress)
        except PaperError:
            self._refuse_late()  # if it was ended for that, and for no fault of the job
            raise

    async def _ended(self, worker: Process) -> None:
        if worker.returncode is None:
            with suppress(ProcessLookupError):
                worker.kill()
        await worker.wait()
        self._workers.discard(worker)

    async def close(self) -> None:
        """Ends every worker; what still waits is told so."""
        self._is_closed = True
        for lasting in self._lasting:
            await lasting.close()
        if self._waking is not None:
            self._waking.cancel()
            await asyncio.wait({self._waking})
        for worker in [*self._workers]:
            await self._ended(worker)


def _never() -> asyncio.Future[None]:
    """What tells a job to give way, once somebody says so."""
    return asyncio.get_running_loop().create_future()


def _environment() -> dict[str, str]:
    """This process's own, with our packages where the worker finds them, whatever its folder."""
    root = str(Path(web.__file__).resolve().parents[1])
    paths = [root, *filter(None, [os.environ.get("PYTHONPATH")])]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(paths)}
