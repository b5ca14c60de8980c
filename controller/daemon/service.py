"""The controller as a service: wires the loop to this board, and leaves everything as ordered.

The order of a start: what the plan is, what was so before, what the clock is worth, then at
once one decision and the relays. Clients, the watch of the plan's file and everything else
that is slow come after that. The order of an end: relays first.
"""

from __future__ import annotations

import asyncio
import gc
import signal
import sys
from typing import TYPE_CHECKING

from controller import __version__
from controller.core.journal_entry import Deed
from controller.core.snapshot import snapshot_text
from controller.daemon.errands import Errands
from controller.daemon.explaining import explanation
from controller.daemon.loop import ControlLoop
from controller.daemon.parts import Parts, open_parts
from controller.daemon.plan_changes import PlanChanges
from controller.daemon.running import Running
from controller.daemon.steps import Steps
from controller.daemon.telling import Telling
from controller.daemon.upkeep import Upkeep
from controller.daemon.watch import Watch
from controller.daemon.world import ControllerWorld
from controller.shell import supervision

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from controller.core.decide import Decision
    from controller.core.journal_entry import Entry
    from controller.core.observation import Observation
    from controller.core.schedule import Schedule
    from controller.daemon.options import Options
    from controller.daemon.rehearsal import Pace

# What the end waits for, with the socket's second and the journal's five, is less than the ten
# seconds after which a service manager ends it by force (TimeoutStopSec in systemd's unit).
_ERRANDS_END_S = 1.0
_LAST_WORDS_S = 2.0
# A thread of ours that works in Python (a plan made ready, a page of the log) keeps the loop
# waiting for so long, each time that the loop comes back from a wait; Python's own choice is 5 ms.
_SLICE_S = 0.0005


class Service:
    """One controller on this board, from its start to its end.

    `tell` takes what a person at the terminal, or the system's log, is to read; it may neither
    wait nor raise.

    Only what is wrong with the decisions and the relays themselves ends it. Whatever else
    goes wrong (with a client, a sensor, the plan's file) is told, and the watering goes on: a
    controller that ended for it would do so again at every start, and its pumps with it.
    """

    def __init__(self, options: Options, parts: Parts, tell: Callable[[str], None]) -> None:
        self.options = options
        self.parts = parts
        self.started = parts.clock.read()[1]
        self.on_ready: Callable[[], None] = _nothing
        self.telling = Telling(parts, tell)
        self._errands = Errands(self.telling.mistakes)
        self._fatal: BaseException | None = None
        self._is_leaving = False
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
        self.steps = Steps(self.loop, parts.clock)
        self._upkeep = Upkeep(parts, loop=self.loop, world=self.world, fail=self._fail)
        self.world.note(begun.notices)
        self.world.on_step = self._after_step
        self.world.explain = lambda notice: explanation(notice, parts)
        self.plans = PlanChanges(
            options.plan_path,
            parts,
            loop=self.loop,
            world=self.world,
            note=self.telling.note,
            mistakes=self.telling.mistakes,
        )

    @property
    def running(self) -> Running:
        """What it answers its clients from."""
        return Running(
            self.options,
            self.parts,
            self.started,
            self.loop,
            self.world,
            self.plans,
            self.steps,
        )

    # The start

    def _note_start(self) -> None:
        parts, taken = self.parts, self.parts.taken
        told = [f"rootclock {__version__}, {taken.sentence}", *taken.remarks]
        if self.options.mock_because is not None:
            told.append(f"mock relays, nothing real is switched: {self.options.mock_because}")
        if parts.begun.refused:
            told.append(f"what was so before is not known: {parts.begun.refused}")
        if parts.clock.trust.reason is not None:
            told.append(f"the clock is trusted: {parts.clock.trust.reason}")
        self.telling.note(Deed.STARTED, "; ".join(told))
        self.plans.take_notice(taken)

    async def run(self) -> None:
        """Runs until a signal or `end`; whatever happens, the relays are released first.

        Raises:
            BaseException: what went wrong, after the relays were released and it was noted.
        """
        asyncio.get_running_loop().set_exception_handler(self.telling.mistakes.on_mistake)
        self._heed_signals()
        watch = Watch(self._upkeep.duties, supervision.watchdog_fed)
        try:
            self._note_start()
            self.loop.step()
            watch.start()
            self.telling.clients.let_in(self.running)
            supervision.ready(self._summary())
            self.on_ready()
            self._errands.begin(self.plans.watch(), "the watch of the plan's file")
            # What there is by now stays; not to be gone through again spares every later
            # collection, and the switching that would wait for it, some tens of milliseconds.
            gc.collect()
            gc.freeze()
            rehearsal = self.parts.rehearsal
            await self.loop.run(is_over=_never if rehearsal is None else rehearsal.is_over)
        except BaseException as error:  # noqa: BLE001 - raised again when all is safe
            self._fatal = self._fatal or error
        finally:
            self.parts.board.relays.release()
            self._is_leaving = True
            # Whoever is asked a second time does not wait for a disk that hangs.
            asyncio.get_running_loop().remove_signal_handler(signal.SIGINT)
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
        if not self._is_leaving:
            self._errands.begin(self.plans.look(), "the look at the plan's file")

    def _heed_signals(self) -> None:
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, signal.SIGINT):
            loop.add_signal_handler(number, self.end)
        if not self.options.ends_with_terminal:
            loop.add_signal_handler(signal.SIGHUP, self.reload)
        elif signal.getsignal(signal.SIGHUP) is not signal.SIG_IGN:  # as nohup(1) leaves it
            loop.add_signal_handler(signal.SIGHUP, self.end)

    # What goes wrong

    def _fail(self, error: BaseException) -> None:
        """Ends with safe relays, so that the service manager starts afresh."""
        self._fatal = self._fatal or error
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
                kernel_boot=parts.kernel_boot,
            )
        self.telling.note(Deed.ENDED, detail, state=state)
        self._upkeep.mark_alive(now, tick)
        await self._errands.end(within_s=_ERRANDS_END_S)
        await self.telling.clients.leave()
        try:
            await asyncio.wait_for(parts.journal.written(), _LAST_WORDS_S)
        except TimeoutError:
            self.telling.tell("the journal's last entry could not be written in time")
        parts.close()

    # What is told

    def _after_step(self, seen: Observation, decision: Decision, entries: Sequence[Entry]) -> None:
        if self.parts.rehearsal is not None:
            self.parts.rehearsal.tell(seen, decision)
        self.steps.made()
        self.telling.made(decision, entries, self.loop.schedule)

    def _summary(self) -> str:
        mock = " (mock relays)" if self.options.mock_because is not None else ""
        return f"{self.parts.taken.sentence}{mock}"


async def serve(
    options: Options,
    *,
    tell: Callable[[str], None],
    on_entries: Callable[[Sequence[Entry], Schedule], None],
    on_ready: Callable[[], None] | None = None,
    pace: Callable[[Schedule], Pace] | None = None,
) -> None:
    """Runs a controller until it is told to end, or a rehearsal to its end.

    `on_entries` is told what the journal is told, and the plan by which to read it; `on_ready`
    is called when loads are switched and clients let in, and may neither wait nor raise; `pace`
    makes a rehearsal of it.

    Raises:
        PlanRefusedError, UnusableFileError: there is no plan that could run.
        UnusableBoardError: the board's lines cannot be used.
    """
    sys.setswitchinterval(_SLICE_S)
    services: list[Service] = []
    parts = open_parts(
        options, pace=pace, is_on=lambda: services[0].world.is_on() if services else (), tell=tell
    )
    try:
        service = Service(options, parts, tell)
        services.append(service)
        service.telling.on_entries = lambda entries: on_entries(entries, service.loop.schedule)
        service.on_ready = on_ready or _nothing
        await service.run()
        if parts.rehearsal is not None:
            parts.rehearsal.finish()
    finally:
        parts.close()


def _nothing() -> None:
    """Nothing waits for it to be ready."""


def _never() -> bool:
    """A controller has no end of its own."""
    return False
