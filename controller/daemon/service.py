"""The controller as a service: wires the loop to this board, and leaves everything as ordered.

The order of a start: what the plan is, what was so before, what the clock is worth, then at
once one decision and the relays. Clients, the watch of the plan's file and everything else
that is slow come after that. The order of an end: relays first.
"""

from __future__ import annotations

import asyncio
import signal
from contextlib import aclosing
from typing import TYPE_CHECKING

from controller import __version__
from controller.core.errors import RootclockError, UnwatchedError
from controller.core.journal_entry import Deed, Entry
from controller.core.journal_json import entry_as_json
from controller.core.snapshot import snapshot_text
from controller.daemon.loop import ControlLoop
from controller.daemon.parts import Parts, open_parts
from controller.daemon.watch import Watch
from controller.daemon.world import ControllerWorld
from controller.shell import supervision
from controller.shell.plan_store.taken import refusal_words

if TYPE_CHECKING:
    from collections.abc import Callable, Coroutine, Sequence
    from typing import Any

    from controller.core.decide import Decision
    from controller.core.observation import Observation
    from controller.core.schedule import Schedule
    from controller.daemon.options import Options
    from controller.daemon.rehearsal import Pace
    from controller.shell.control_socket.server import ControlSocket
    from controller.shell.plan_store.taken import Taken

_LAST_WORDS_S = 3.0  # what the journal may take at the end
_ALIVE_EVERY_MS = 5_000


class Service:
    """One controller on this board, from its start to its end.

    `tell` takes what a person at the terminal, or the system's log, is to read.
    """

    def __init__(self, options: Options, parts: Parts, tell: Callable[[str], None]) -> None:
        self.options = options
        self.parts = parts
        self.started = parts.clock.read()[1]
        self.on_entries: Callable[[Sequence[Entry]], None] = _nobody
        self._tell = tell
        self._fatal: BaseException | None = None
        self._tasks: list[asyncio.Task[None]] = []
        self._socket: ControlSocket | None = None
        self._awaiting_step: list[asyncio.Future[None]] = []
        self._alive_at = 0
        begun = parts.begun
        self.world = ControllerWorld(
            clock=parts.clock,
            relays=parts.board.relays,
            sensors=parts.sensors,
            journal=parts.journal,
            outage=begun.outage,
        )
        self.loop = ControlLoop(
            parts.taken.prepared.schedule,
            begun.memory,
            world=self.world,
            clock=parts.clock,
            sensors=parts.sensors,
        )
        self.world.note(begun.notices)
        self.world.on_step = self._after_step
        self._kernel_boot = parts.kernel_boot
        self._refused_state = begun.refused

    # The start

    def _note_start(self) -> None:
        parts, taken = self.parts, self.parts.taken
        told = [f"rootclock {__version__}, {taken.sentence}", *taken.remarks]
        if self.options.mock_because is not None:
            told.append(f"mock relays, nothing real is switched: {self.options.mock_because}")
        if self._refused_state:
            told.append(f"what was so before is not known: {self._refused_state}")
        if parts.clock.trust.reason is not None:
            told.append(f"the clock is trusted: {parts.clock.trust.reason}")
        self._note(Deed.STARTED, "; ".join(told))
        self._take_notice(taken)

    async def run(self) -> None:
        """Runs until a signal or `end`; whatever happens, the relays are released first.

        Raises:
            BaseException: what went wrong, after the relays were released and it was noted.
        """
        asyncio_loop = asyncio.get_running_loop()
        asyncio_loop.set_exception_handler(self._on_mistake)
        for number in (signal.SIGTERM, signal.SIGINT):
            asyncio_loop.add_signal_handler(number, self.end)
        asyncio_loop.add_signal_handler(signal.SIGHUP, self.reload)
        watch = Watch(
            [self._look_at_relays, self._look_at_loop, self._look_at_clock],
            supervision.watchdog_fed,
        )
        try:
            self._note_start()
            self.loop.step()
            watch.start()
            self._open_socket()
            supervision.ready(self._summary())
            self._later(self._watch_plan())
            rehearsal = self.parts.rehearsal
            await self.loop.run(is_over=_never if rehearsal is None else rehearsal.is_over)
        except BaseException as error:  # noqa: BLE001 - raised again when all is safe
            self._fatal = self._fatal or error
        finally:
            self.parts.board.relays.release()
            watch.close()
            supervision.stopping()
            await self._leave()
        if self._fatal is not None:
            raise self._fatal

    def end(self) -> None:
        """Ends the controller in an orderly way."""
        self.loop.end()

    def reload(self) -> None:
        """Looks at the plan's file now."""
        self._later(self._look_at_plan())

    def _on_mistake(self, loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
        """Something of ours raised where nobody catches: ends with safe relays, so that the
        service manager starts afresh."""
        error = context.get("exception")
        if isinstance(error, BaseException):
            self._fatal = self._fatal or error
            self.loop.end()
        else:
            loop.default_exception_handler(context)

    def _later(self, work: Coroutine[Any, Any, None]) -> None:
        task = asyncio.get_running_loop().create_task(work)
        self._tasks.append(task)
        task.add_done_callback(self._done)

    def _done(self, task: asyncio.Task[None]) -> None:
        self._tasks.remove(task)
        if not task.cancelled() and task.exception() is not None:
            self._fatal = self._fatal or task.exception()
            self.loop.end()

    # The end

    async def _leave(self) -> None:
        """Writes the last entry and closes everything; each within a bounded time."""
        parts = self.parts
        now, tick = parts.clock.read()
        what = "all loads are left as the plan says for a stop"
        detail = what if self._fatal is None else f"{what}; ended by {self._fatal!r}"
        state = None
        if self.loop.memory is not None:
            state = snapshot_text(
                self.loop.schedule,
                self.loop.memory._replace(now=now, tick=tick),
                kernel_boot=self._kernel_boot,
            )
        entry = Entry(now, tick, parts.clock.is_trusted, Deed.ENDED.value, detail=detail)
        parts.journal.note([entry], state=state)
        self._publish([entry])
        parts.alive.set(now, tick)
        for task in [*self._tasks]:
            task.cancel()
        if self._tasks:
            await asyncio.wait(self._tasks, timeout=_LAST_WORDS_S)
        if self._socket is not None:
            await self._socket.close()
        try:
            await asyncio.wait_for(parts.journal.written(), _LAST_WORDS_S)
        except TimeoutError:
            self._tell("the journal's last entry could not be written in time")
        parts.close()

    # What is looked after every second

    def _look_at_relays(self) -> bool:
        self.world.look_after_relays()
        return True

    def _look_at_loop(self) -> bool:
        return not self.loop.is_overdue()

    def _look_at_clock(self) -> bool:
        clock = self.parts.clock
        clock.look_at_trust()
        now, tick = clock.read()
        if tick >= self._alive_at:
            self._alive_at = tick + _ALIVE_EVERY_MS
            self.parts.alive.set(now, tick)
        return True

    # The plan

    async def _watch_plan(self) -> None:
        from controller.shell.plan_store.watch import hand_edits

        for remark in await self.parts.store.keep():
            self._note(Deed.PLAN_TAKEN, remark)
        try:
            async with aclosing(hand_edits(self.options.plan_path)) as edits:
                async for _ in edits:
                    await self._look_at_plan()
        except UnwatchedError as error:
            self._note(Deed.PLAN_REFUSED, str(error))

    async def _look_at_plan(self) -> None:
        now, _ = self.parts.clock.read()
        self.take_over(await self.parts.store.reload(now=now))

    def take_over(self, taken: Taken, *, who: str = "") -> None:
        """Lets the plan in force be the one that was taken, from the next decision on."""
        if taken.is_new:
            self.loop.adopt(taken.prepared.schedule)
        if taken.is_news:
            what = Deed.PLAN_TAKEN if taken.refused is None else Deed.PLAN_REFUSED
            by = f" (by {who})" if who else ""
            self._note(what, ". ".join((taken.sentence + by, *taken.remarks)))
        self._take_notice(taken)

    async def next_step(self) -> None:
        """Returns after the next decision, which is made now."""
        stepped: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        self._awaiting_step.append(stepped)
        self.parts.clock.wake_up()
        await stepped

    def _take_notice(self, taken: Taken) -> None:
        self.parts.taken = taken
        self.parts.journal.note_zone(taken.prepared.plan.site.timezone)
        refused = None if taken.refused is None else refusal_words(taken.refused)
        if refused != self.world.refused_plan:
            self.world.refused_plan = refused
            self.parts.clock.wake_up()

    # Clients

    def _open_socket(self) -> None:
        from controller.daemon.answers import Answers
        from controller.shell.control_socket.server import ControlSocket

        socket = ControlSocket(
            self.options.socket_path, Answers(self).answer, group=self.options.group
        )
        try:
            socket.open()
        except RootclockError as error:
            # Roots need no clients: without a socket the plan is carried out all the same.
            self._note(Deed.STARTED, f"no control socket: {error}")
            return
        self._socket = socket

    def _after_step(
        self,
        seen: Observation,
        decision: Decision,
        entries: Sequence[Entry],
    ) -> None:
        if self.parts.rehearsal is not None:
            self.parts.rehearsal.tell(seen, decision)
        for stepped in self._awaiting_step:
            if not stepped.done():
                stepped.set_result(None)
        self._awaiting_step.clear()
        if entries:
            self._publish(entries)
        if self._socket is not None and (entries or decision.notices):
            self._socket.changed()

    def _note(self, what: Deed, detail: str) -> None:
        now, tick = self.parts.clock.read()
        entry = Entry(now, tick, self.parts.clock.is_trusted, what.value, detail=detail)
        self.parts.journal.note([entry])
        self._publish([entry])

    def _publish(self, entries: Sequence[Entry]) -> None:
        self.on_entries(entries)
        if self._socket is not None:
            self._socket.tell_journal([entry_as_json(entry) for entry in entries])

    def _summary(self) -> str:
        mock = " (mock relays)" if self.options.mock_because is not None else ""
        return f"{self.parts.taken.sentence}{mock}"


async def serve(
    options: Options,
    *,
    tell: Callable[[str], None],
    on_entries: Callable[[Sequence[Entry], Schedule], None],
    pace: Callable[[Schedule], Pace] | None = None,
) -> None:
    """Runs a controller until it is told to end, or a rehearsal to its end.

    `on_entries` is told what the journal is told, and the plan by which to read it; `pace`
    makes a rehearsal of it.

    Raises:
        PlanRefusedError, UnusableFileError: there is no plan that could run.
        UnusableBoardError: the board's lines cannot be used.
    """
    services: list[Service] = []
    parts = open_parts(
        options, pace=pace, is_on=lambda: services[0].world.is_on() if services else (), tell=tell
    )
    try:
        service = Service(options, parts, tell)
        services.append(service)
        service.on_entries = lambda entries: on_entries(entries, service.loop.schedule)
        await service.run()
        if parts.rehearsal is not None:
            parts.rehearsal.finish()
    finally:
        parts.close()


def _nobody(entries: Sequence[Entry]) -> None:
    """Nobody listens."""


def _never() -> bool:
    """A controller has no end of its own."""
    return False
