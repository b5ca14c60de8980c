"""The plan store: which plan is in force, how another one comes to be, and those before it.

A plan comes from the file that the grower edits, or as a proposal of a client. Whatever comes
is examined first; what is refused changes nothing. What is taken is written to the plan file
(a proposal) and then to the archive, in this order: a process that ends between the two finds
the newer plan in the file at its next start, and takes it.
"""

from __future__ import annotations

import asyncio
from contextlib import asynccontextmanager
from typing import TYPE_CHECKING, NamedTuple, Protocol

from controller.core.errors import BusyError, PlanRefusedError, UnusableFileError
from controller.shell.plan_store.archive import Archive
from controller.shell.plan_store.beginning import begin
from controller.shell.plan_store.crash_mark import CrashMark
from controller.shell.plan_store.examiner import examine
from controller.shell.plan_store.in_force import InForce
from controller.shell.plan_store.objections import (
    refuse_broken_limits,
    refuse_outdated,
    refuse_unfit_note,
)
from controller.shell.plan_store.plan_place import PlanPlace
from controller.shell.plan_store.prepared import ready
from controller.shell.plan_store.revision import How, Revision, sha256_of
from controller.shell.plan_store.undisturbed import undisturbed

if TYPE_CHECKING:
    from collections.abc import AsyncIterator
    from pathlib import Path

    from controller.core.errors import RootclockError
    from controller.core.units import Instant
    from controller.shell.plan_store.examination import Examination
    from controller.shell.plan_store.prepared import Prepared
    from controller.shell.plan_store.taken import Taken


class Examiner(Protocol):
    """`examiner.examine`, or its double."""

    async def __call__(self, data: bytes, *, source: str, now: Instant) -> Examination:
        """What there is to say about a plan; raises PlanRefusedError."""


PROPOSALS_MAX = 4  # that wait for their turn: each may hold 256 kB, and takes seconds


class _Order(NamedTuple):
    """A plan that is to come into force, and what is told of it."""

    data: bytes
    source: str
    how: How
    note: str
    now: Instant


class PlanStore:
    """The plan in force and its history. `start` comes first, then `keep`, then the rest.

    All but `start` are called from the loop's thread and leave what is slow to other threads
    and processes. Whoever is cancelled while a plan is examined has changed nothing; while it
    is written, it comes into force all the same, and the next `Taken` tells of it.
    """

    def __init__(
        self, plan_path: Path, state_folder: Path, *, examiner: Examiner = examine
    ) -> None:
        self._place = PlanPlace(plan_path, aside=state_folder / "refused-plan.toml")
        self._archive = Archive(state_folder / "revisions")
        self._mark = CrashMark(state_folder / "plan-being-read")
        self._examiner = examiner
        self._turn = asyncio.Lock()
        self._proposals = 0
        self._in_force: InForce | None = None

    @property
    def _plan(self) -> InForce:
        assert self._in_force is not None, "start comes first"
        return self._in_force

    @property
    def in_force(self) -> Revision:
        """The revision that is in force."""
        return self._plan.revision

    @property
    def refused(self) -> RootclockError | None:
        """What is wrong with the plan file, as far as it has been looked at."""
        return self._plan.refused

    @property
    def is_safe(self) -> bool:
        """Whether the record of plans is on the disk, all of it."""
        return self._archive.is_safe

    def start(self, now: Instant) -> Taken:
        """Chooses the plan to begin with. Reads, and writes nothing that takes long.

        Raises:
            PlanRefusedError: the plan file has errors, and no earlier plan is kept.
            UnusableFileError: it cannot be read, and no earlier plan is kept; says how to begin.
        """
        begun = begin(self._place, self._archive, self._mark, now)
        self._in_force = InForce(begun)
        return self._in_force.tell(remarks=begun.remarks)

    async def keep(self) -> tuple[str, ...]:
        """Writes to the disk what is not there yet; returns what keeps it from that, in words."""
        async with self._turn:
            return await undisturbed(self._keep())

    async def _keep(self) -> tuple[str, ...]:
        try:
            await asyncio.to_thread(self._archive.keep, self.in_force.number)
        except UnusableFileError as error:
            return (f"the plan runs, but the record of plans is not written: {error}",)
        return ()

    async def take(
        self, data: bytes, *, now: Instant, note: str = "", based_on: int | None = None
    ) -> Taken:
        """Puts a client's plan into force and into the plan file.

        Args:
            data: the plan's text as bytes.
            now: what the clock shows.
            note: why; needed where the plan breaks a limit that it states.
            based_on: the revision that its editor had before them, None where nobody looked.

        Raises:
            PlanRefusedError: it has errors, or could not be examined.
            LimitBrokenError: it breaks a limit, and there is no note.
            PlanConflictError: another plan has come into force, or into the file, since.
            BusyError: too many proposals wait.
            BadRequestError: the note is too long or has more than one line.
        """
        refuse_unfit_note(note)
        order = _Order(data, "proposed plan", How.PROPOSAL, note, now)
        return await self._propose(order, based_on, needs_reason=not note)

    async def restore(
        self, number: int, *, now: Instant, note: str = "", based_on: int | None = None
    ) -> Taken:
        """Puts an earlier revision into force and into the plan file, as a new revision.

        Raises:
            BadRequestError: there is no such revision, or the note does not fit.
            UnusableFileError: it cannot be read, or is damaged.
            PlanRefusedError, PlanConflictError, BusyError: as for `take`.
        """
        refuse_unfit_note(note)
        data = await asyncio.to_thread(self._archive.bytes_of, self._archive.find(number))
        told = f"revision {number} again" + (f": {note}" if note else "")
        order = _Order(data, f"plan revision {number}", How.RESTORED, told, now)
        return await self._propose(order, based_on, needs_reason=False)

    async def reload(self, *, now: Instant) -> Taken:
        """Looks at the plan file, and puts it into force if it is another plan, and good.

        Never raises for what is in the file: that is told as `refused`.
        """
        async with self._turn:
            try:
                data = await asyncio.to_thread(self._place.look)
            except UnusableFileError as error:
                self._place.seen = None
                self._plan.refused = error
                return self._plan.tell()
            sha256 = sha256_of(data)
            is_same = sha256 == self._place.seen and self.refused is None
            self._place.seen = sha256
            if is_same or sha256 == self.in_force.sha256:
                self._plan.refused = None
                return self._plan.tell()
            order = _Order(data, str(self._place.path), How.HAND_EDIT, "", now)
            try:
                examination = await self._examiner(data, source=order.source, now=now)
                prepared = await ready(data, order.source)
            except PlanRefusedError as error:
                self._plan.refused = error
                return self._plan.tell()
            return await self._put_in_force(order, prepared, examination)

    def revisions(self) -> tuple[Revision, ...]:
        """Every revision that is kept, in order."""
        return self._archive.revisions

    async def text_of(self, number: int) -> str:
        """The text of a revision.

        Raises:
            BadRequestError: there is no such revision.
            UnusableFileError: it cannot be read, or is damaged.
        """
        return await asyncio.to_thread(self._archive.text_of, self._archive.find(number))

    async def _propose(self, order: _Order, based_on: int | None, *, needs_reason: bool) -> Taken:
        async with self._proposal_turn():
            refuse_outdated(based_on, self.in_force)
            examination = await self._examiner(order.data, source=order.source, now=order.now)
            if needs_reason:
                refuse_broken_limits(examination)
            prepared = await ready(order.data, order.source)
            return await self._put_in_force(order, prepared, examination)

    @asynccontextmanager
    async def _proposal_turn(self) -> AsyncIterator[None]:
        if self._proposals >= PROPOSALS_MAX:
            raise BusyError(
                f"{PROPOSALS_MAX} plans wait to be examined already: send yours in a minute"
            )
        self._proposals += 1
        try:
            async with self._turn:
                yield
        finally:
            self._proposals -= 1

    async def _put_in_force(
        self, order: _Order, prepared: Prepared, examination: Examination
    ) -> Taken:
        """From here on there is no way back, whoever gives up waiting."""
        remarks = await undisturbed(self._write(order, prepared))
        return self._plan.tell(remarks=remarks, examination=examination)

    async def _write(self, order: _Order, prepared: Prepared) -> tuple[str, ...]:
        """To the plan file where it does not come from there, then to the archive; what keeps it
        from that, in words."""
        remarks: list[str] = []
        if order.how is not How.HAND_EDIT:
            is_refused = self.refused is not None
            remarks = await asyncio.to_thread(self._place.put, order.data, is_refused=is_refused)
        sha256 = sha256_of(order.data)
        if self._place.seen == sha256:  # not so where the file could not be written
            self._plan.refused = None
        if sha256 == self.in_force.sha256:
            return tuple(remarks)
        revision = self._archive.add(
            order.data,
            taken=order.now,
            how=order.how,
            note=order.note,
            file_sha256=self._place.seen,
        )
        self._plan.put(revision, prepared)
        return (*remarks, *await self._keep())
