"""The real loop and its world on doubles, ready to be played a scene with."""

from __future__ import annotations

from collections.abc import Sequence

from controller.core.decide import Decision
from controller.core.journal_entry import Entry
from controller.core.memory import Memory
from controller.core.observation import Observation
from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.units import Instant
from controller.daemon.loop import ControlLoop
from controller.daemon.world import ControllerWorld, Outage
from tests.stage.clock import StageClock
from tests.stage.journal import Disk, StageJournal
from tests.stage.relays import Lines, StageRelays
from tests.stage.sensors import StageSensors
from tests.worlds import MIDNIGHT


class Scene:
    """One controller that has a plan and nothing else; needs a running loop."""

    def __init__(
        self,
        plan: Plan,
        *,
        start: Instant = MIDNIGHT,
        memory: Memory | None = None,
        clock: StageClock | None = None,
    ) -> None:
        self.clock = StageClock(start=start) if clock is None else clock
        self.lines = Lines()
        self.relays = StageRelays(self.lines)
        self.disk = Disk()
        self.journal = StageJournal(self.disk)
        self.sensors = StageSensors(self.clock.wake_up)
        self.world = ControllerWorld(
            clock=self.clock,
            relays=self.relays,
            sensors=self.sensors,
            journal=self.journal,
            outage=Outage(boot=0, kernel_boot="stage"),
        )
        self.loop = ControlLoop(
            make_schedule(plan), memory, world=self.world, clock=self.clock, sensors=self.sensors
        )
        self.steps: list[tuple[Observation, Decision]] = []
        self.world.on_step = self._after_step

    def _after_step(self, seen: Observation, decision: Decision, entries: Sequence[Entry]) -> None:
        del entries
        self.steps.append((seen, decision))

    def told(self, *whats: str) -> list[tuple[str, str, str]]:
        """What the journal has: what happened, to what, and the words; of these kinds alone."""
        return [
            (entry.what, entry.subject, entry.detail)
            for entry in self.disk.entries
            if not whats or entry.what in whats
        ]
