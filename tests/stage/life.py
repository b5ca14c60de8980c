"""A controller's life, from the first start to the last: processes that are killed, boots,
a disk and lines that outlive them, and a judge who sees the lines from outside."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Collection, Mapping, Sequence
from random import Random
from typing import Any

from controller.core.decide import Decision
from controller.core.journal_entry import SWITCHINGS, Entry, Summary
from controller.core.memory import Memory
from controller.core.observation import Observation
from controller.core.orders import Event
from controller.core.schedule import Schedule
from controller.core.status.json_form import as_json
from controller.core.status.record import Lateness, PlanStatus
from controller.core.status.taking import Facts, status_of
from controller.core.units import Instant
from controller.core.wiring import Wire, wires_of
from controller.daemon.loop import ControlLoop
from controller.daemon.restart import restart
from controller.daemon.watch import Watch
from controller.daemon.world import ControllerWorld
from controller.shell.alive_mark import LastAlive
from tests.stage.clock import StageClock
from tests.stage.journal import Disk, StageJournal
from tests.stage.relays import Lines, StageRelays
from tests.stage.sensors import StageSensors

ALIVE_EVERY_S = 5.0
RELEASED_WITHIN_S = 1.0  # after a death, by the service manager


_BACK = {Event.CONTROLLER_BACK, Event.POWER_BACK}
_FACTS = Facts(
    "1", 0, True, False, 1.0, PlanStatus("plan", 1, None, None), Lateness(0, None, None, None)
)
_CROWD_ASKS_EVERY = 11  # decisions


class KilledError(BaseException):
    """The process is gone in the middle of what it did."""


class _MortalRelays(StageRelays):
    """Lines whose owner may be killed while it switches."""

    def __init__(self, lines: Lines, life: Life) -> None:
        super().__init__(lines)
        self._life = life

    def rewire(self, wires: Sequence[Wire], is_on: Mapping[str, bool]) -> Collection[str]:
        """Claims lines, and keeps the note for the way out after death first."""
        self._life.safe_lines = [*{w.line: w for w in [*self.wires.values(), *wires]}.values()]
        disobedient = super().rewire(wires, is_on)
        self._life.safe_lines = [*wires]
        return disobedient

    def switch(self, load: str, *, is_on: bool) -> bool:
        """Sets a line, unless it is the moment to die."""
        self._life.may_die_here()
        obeys = super().switch(load, is_on=is_on)
        self._life.may_die_here()
        return obeys


class _MortalJournal(StageJournal):
    """A journal whose owner may be killed before or after it writes."""

    def __init__(self, disk: Disk, life: Life) -> None:
        super().__init__(disk)
        self._life = life

    def note(
        self,
        entries: Sequence[Entry],
        *,
        state: str | None = None,
        summaries: Sequence[Summary] = (),
    ) -> None:
        """Takes a hand-over, unless it is the moment to die."""
        self._life.may_die_here()
        self._life.judge_noted(entries, has_state=state is not None)
        super().note(entries, state=state, summaries=summaries)
        self._life.may_die_here()


class Life:
    """One controller: `schedule` is the plan on its disk, `broken` what it did that it may not.

    Args:
        schedule: the plan of the first start.
        start: true time at the beginning; the loop's time counts from there.
        dice: chooses when a process dies in the middle of something.
        watch_every_s: how often lines are read back.
    """

    def __init__(
        self, schedule: Schedule, *, start: Instant, dice: Random, watch_every_s: float
    ) -> None:
        self.schedule = schedule
        self.lines = Lines()
        self.disk = Disk()
        self.safe_lines: list[Wire] = []
        self.told: list[Entry] = []
        self.died_at: Instant = -(10**18)
        self._down_since: Instant | None = None  # of the last process that made a decision
        self.seen: Observation | None = None
        self._journal: _MortalJournal | None = None
        self.relays: _MortalRelays | None = None
        self._is_back = True  # what there was before has been told
        self._noted: list[Entry] = []  # in this decision
        self.has_decided = False  # the process that runs now
        self.when_stopped: dict[str, str] = {}  # of every load that any plan had
        self._learn(schedule)
        self.broken: list[str] = []
        self.deaths = self.decisions = self.boots = 0
        self.readings: dict[str, float] = {}
        self.silent: set[str] = set()
        self._start = start
        self._dice = dice
        self._watch_every_s = watch_every_s
        self._asyncio = asyncio.get_running_loop()
        self._asyncio.set_exception_handler(self._on_mistake)
        self._boot_began_s = 0.0
        self._boot_name = "boot-0"
        self._boot_from = 0  # the first entry of this boot
        self.clock_off_ms = 0
        self.is_clock_trusted = True
        self._alive: LastAlive | None = None
        self._task: asyncio.Task[None] | None = None
        self._manager: asyncio.Task[None] | None = None
        self._free_since_s: dict[int, float] = {}
        self._doom = -1  # after so many more moments, the process dies
        self.clock: StageClock | None = None
        self.sensors: StageSensors | None = None
        self.world: ControllerWorld | None = None
        self.loop: ControlLoop | None = None

    # Time

    @property
    def true_now(self) -> Instant:
        """What a perfect clock shows."""
        return self._start + round(self._asyncio.time() * 1000)

    @property
    def is_alive(self) -> bool:
        """Whether a process runs."""
        return self.loop is not None and self._task is not None and not self._task.done()

    def _on_mistake(self, loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
        """A callback was struck by the kill, or is wrong."""
        del loop
        if isinstance(context.get("exception"), KilledError):
            assert self._task is not None
            self._task.cancel()
        else:
            self.broken.append(f"a mistake: {context}")

    # Life and death

    def may_die_here(self) -> None:
        """A moment at which a kill may strike."""
        if self._doom > 0:
            self._doom -= 1
            if self._doom == 0:
                raise KilledError

    def doom(self, moments: int) -> None:
        """The process dies in the middle of what it does next."""
        self._doom = moments

    def _begin(self) -> None:
        """A process starts, as the service manager starts it."""
        booted_ms = round((self._asyncio.time() - self._boot_began_s) * 1000) + 7_000
        clock = StageClock(
            start=self.true_now + self.clock_off_ms,
            is_trusted=self.is_clock_trusted,
            booted_ms=booted_ms,
        )
        begun = restart(
            self.schedule,
            self.disk.state,
            alive=self._alive,
            clock=clock,
            kernel_boot=self._boot_name,
        )
        if self.disk.state is not None and begun.memory is None:
            self.broken.append(f"the state could not be read back: {begun.refused}")
        self._is_back = begun.memory is None
        self._noted = []
        self.has_decided = False
        self._judge_outage(begun.outage.length_ms)
        self.sensors = StageSensors(clock.wake_up)
        relays = self.relays = _MortalRelays(self.lines, self)
        journal = self._journal = _MortalJournal(self.disk, self)
        journal.on_trouble = clock.wake_up
        world = ControllerWorld(
            clock=clock,
            relays=relays,
            sensors=self.sensors,
            journal=journal,
            outage=begun.outage,
        )
        loop = ControlLoop(
            self.schedule, begun.memory, world=world, clock=clock, sensors=self.sensors
        )
        world.note(begun.notices)
        world.on_step = self._after_step
        self.clock, self.world, self.loop = clock, world, loop
        for name, value in self.readings.items():
            if name not in self.silent:
                self.sensors.set(name, value, taken=10**14)
        self._task = self._asyncio.create_task(self._live(loop, world, clock))

    async def _live(self, loop: ControlLoop, world: ControllerWorld, clock: StageClock) -> None:
        def look() -> bool:
            world.look_after_relays()
            now, tick = clock.read()
            self._alive = LastAlive(now, tick)
            if loop.is_overdue():
                self.broken.append("the loop is overdue")
            return True

        watch = Watch([look], lambda: None, every_s=self._watch_every_s)
        try:
            loop.step()
            watch.start()
            await loop.run()
        except KilledError:
            return
        except Exception as error:
            self.broken.append(f"a mistake: {error!r}")
            raise
        finally:
            watch.close()

    def _after_step(self, seen: Observation, decision: Decision, entries: Sequence[Entry]) -> None:
        assert self.relays is not None
        self.decisions += 1
        self._down_since = None
        self.has_decided = True
        self.told += entries
        self.seen = seen
        self.judge_lines(self.relays)
        if [*entries] != self._noted:
            self.broken.append("not all that is told has been noted")
        self._noted = []
        if seen.is_clock_trusted is not self.is_clock_trusted:
            self.broken.append("the clock's worth is not what it is")
        if not self._is_back and not any(notice.event in _BACK for notice in decision.notices):
            self.broken.append("a start with a past does not tell that it is back")
        self._is_back = True
        if self.decisions % _CROWD_ASKS_EVERY == 0:  # as pages do that subscribed
            as_json(
                status_of(
                    self.schedule, decision.memory, now=seen.now, tick=seen.tick, facts=_FACTS
                )
            )

    def judge_noted(self, entries: Sequence[Entry], *, has_state: bool) -> None:
        """What is written down has been done, and goes with a state."""
        self._noted = [*entries]
        assert self.relays is not None
        changed = {one.subject: one.what == "on" for one in entries if one.what in SWITCHINGS}
        if entries and not has_state:
            self.broken.append("entries are noted without the state that belongs to them")
        for load, is_on in changed.items():
            if load in self.relays.ordered and self.relays.ordered[load] is not is_on:
                self.broken.append(f"{load} is noted before it is switched")

    def _judge_outage(self, length_ms: int | None) -> None:
        """What is taken for the time without a controller is what a watch shows, but for what
        passed since the mark of life was set last."""
        if length_ms is None:
            return
        assert self._down_since is not None
        slack_ms = round((self._watch_every_s + ALIVE_EVERY_S) * 1000)
        least_ms, most_ms = self.true_now - self.died_at, self.true_now - self._down_since
        if not least_ms - 50 <= length_ms <= most_ms + slack_ms:
            self.broken.append(
                f"an outage of {least_ms} to {most_ms} ms is taken to be of {length_ms}"
            )

    def judge_lines(self, relays: StageRelays) -> None:
        """Every line that can obey is as the controller means it to be."""
        for load, is_on in relays.ordered.items():
            line = relays.wires[load].line
            is_free = (
                line not in self.lines.stuck
                and self._free_since_s.get(line, -self._watch_every_s) + self._watch_every_s
                <= self._asyncio.time()
            )
            if is_free and not self.lines.is_dark and relays.is_on(load) is not is_on:
                self.broken.append(f"{load} is in a state that nobody ordered")

    def kill(self) -> None:
        """Ends it as `kill -9` does, whatever it awaits."""
        if self._task is not None:
            self._task.cancel()

    async def _supervise(self) -> None:
        """The service manager: starts the process, releases the lines after its death and
        starts it again."""
        while True:
            self._begin()
            assert self._task is not None
            await asyncio.gather(self._task, return_exceptions=True)
            await self._bury()
            await asyncio.sleep(self._dice.choice((0.5, 0.5, 3.0, 600.0)) * self._dice.random())

    def power_up(self) -> None:
        """The board boots, and the service manager starts the process."""
        self._manager = self._asyncio.create_task(self._supervise())

    async def end(self) -> None:
        """The life is over."""
        await self._pull_plug()

    async def _pull_plug(self) -> None:
        running = [task for task in (self._manager, self._task) if task is not None]
        for task in running:
            task.cancel()
        await asyncio.gather(*running, return_exceptions=True)
        self._manager = self._task = None
        self._doom = -1
        self.clock = self.sensors = self.world = self.loop = self.relays = None

    async def _bury(self) -> None:
        """After a death: the lines go to their safe levels within a second, and what memory
        and journal say agrees."""
        self._die()
        self._doom = -1
        self.clock = self.sensors = self.world = self.loop = self.relays = None
        await asyncio.sleep(self._dice.uniform(0.05, RELEASED_WITHIN_S))
        for wire in self.safe_lines:
            self.lines.drive(wire.line, wire.level_when_stopped)
        self._judge_disk()

    def _die(self) -> None:
        self.deaths += 1
        self.died_at = self.true_now
        self._down_since = self._down_since or self.died_at
        if self._journal is not None:
            self._journal.die()

    def _judge_disk(self) -> None:
        if self.disk.state is None:
            return
        told = self.disk.entries[self._boot_from :]
        last = {e.subject: e.what == "on" for e in told if e.what in SWITCHINGS}
        for name, is_on in _states(self.disk.state).items():
            if name in last and last[name] is not is_on:
                self.broken.append(f"journal and state do not agree on {name}")

    async def lose_power(self, seconds: float, *, clock_off_ms: int, is_trusted: bool) -> None:
        """The plug is pulled: every load is off, the last writes may be lost, and the clock
        comes back as it likes."""
        await self._pull_plug()
        self._die()
        self.boots += 1
        self.disk.forget(self._dice.randrange(3))
        self.lines.lose_power()
        self._judge_disk()
        # What was lost may have been the last word about a load that is in no plan meanwhile.
        self._boot_from = len(self.disk.entries)
        await asyncio.sleep(seconds)
        self.lines.is_dark = False
        self._boot_began_s = self._asyncio.time()
        self._boot_name = f"boot-{self.boots}"
        self._alive = None
        self.set_clock(clock_off_ms, is_trusted=is_trusted)
        self.power_up()

    def set_clock(self, off_ms: int, *, is_trusted: bool) -> None:
        """The clock shows something else from now on, and is believed or not."""
        by_ms, self.clock_off_ms = off_ms - self.clock_off_ms, off_ms
        self.is_clock_trusted = is_trusted
        if self.clock is not None:
            self.clock.trust(is_trusted)
            self.clock.step(by_ms)

    def sense(self, sensor: str, value: float) -> None:
        """A sensor says this from now on."""
        self.readings[sensor] = value
        self.silent.discard(sensor)
        if self.sensors is not None:
            self.sensors.set(sensor, value, taken=10**14)

    def silence(self, sensor: str) -> None:
        """A sensor says nothing any more."""
        self.silent.add(sensor)
        if self.sensors is not None and self.clock is not None and sensor in self.readings:
            _, tick = self.clock.read()
            self.sensors.set(sensor, self.readings[sensor], taken=tick)

    def stick(self, line: int) -> None:
        """The line does not obey from now on."""
        self.lines.stuck.add(line)

    def free(self) -> None:
        """Every line obeys from now on; what is wrong is found when it is looked at."""
        for line in self.lines.stuck:
            self._free_since_s[line] = self._asyncio.time()
        self.lines.stuck.clear()

    def edit_plan(self, schedule: Schedule) -> None:
        """Another plan comes into force, and is what the disk has."""
        self.safe_lines = [
            *{w.line: w for w in [*self.safe_lines, *wires_of(schedule.plan)]}.values()
        ]
        self.schedule = schedule
        self._learn(schedule)
        if self.loop is not None:
            self.loop.adopt(schedule)

    @property
    def is_adopting(self) -> bool:
        """Whether another plan is in force from the next decision on."""
        return self.loop is not None and self.loop.schedule is not self.schedule

    def _learn(self, schedule: Schedule) -> None:
        for name, load in schedule.plan.loads.items():
            self.when_stopped[name] = load.when_stopped

    def lines_on(self) -> list[tuple[str, bool]]:
        """Whether each load is on, as its line says."""
        return (
            []
            if self.relays is None
            else [(name, self.relays.is_on(name)) for name in self.relays.ordered]
        )

    @property
    def is_journal_failing(self) -> bool:
        """Whether something waits that the disk refuses."""
        return self._journal is not None and self._journal.is_failing

    @property
    def memory(self) -> Memory | None:
        """What the last decision remembered."""
        return None if self.loop is None else self.loop.memory


def _states(state: str) -> dict[str, bool]:
    """Whether each load was on, as a snapshot has it."""
    loads = json.loads(state)["loads"]
    return {name: parts["on"] for name, parts in loads.items()}
