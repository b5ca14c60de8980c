"""One story on one board: its disk, its wiring, every boot, and what was seen on the lines."""

from __future__ import annotations

import json
import time
from typing import TYPE_CHECKING, Any, NamedTuple

from tests.board import offline_disk
from tests.board.installed_disk import STATE, Installed, copy_disk
from tests.board.machine import Machine, Setup

if TYPE_CHECKING:
    from pathlib import Path

    from tests.board.lines import Level

PLAN = f"/{STATE}/plan.toml"

# What the board's battery clock shows when nothing else is said: after the release, so that
# it is believed.
MORNING = "2026-12-01T10:00:00"


class Relay(NamedTuple):
    """One load's relay as it is wired on the board."""

    load: str
    line: int
    is_active_low: bool = True
    is_normally_closed: bool = False

    def is_on(self, level: Level) -> bool:
        """Whether the load runs while its line has that level."""
        return (level.is_high is not self.is_active_low) is not self.is_normally_closed

    def is_high(self, *, is_on: bool) -> bool:
        """The level of the line at which the load is on, or off."""
        return (is_on is not self.is_normally_closed) is not self.is_active_low


class Stretch(NamedTuple):
    """How long a load was in a state, in seconds from `at` (host time)."""

    at: float
    is_on: bool
    length_s: float


class Scenario:
    """The board of one test; its disk survives every loss of power.

    `name` heads its part of the summary, `plan` is what its grower has written before the
    first start, `inputs` has what else is wired, by line.
    """

    def __init__(
        self,
        name: str,
        folder: Path,
        board: Installed,
        relays: tuple[Relay, ...],
        *,
        plan: str,
        inputs: dict[int, str] | None = None,
    ) -> None:
        self.name = name
        self.relays = {relay.load: relay for relay in relays}
        self.inputs = inputs or {}
        self.notes: list[tuple[float, str]] = []
        self.machines: list[Machine] = []
        self._folder = folder
        self._board = board
        self.disk = copy_disk(board.disk, folder / "disk.img")
        self.owner = offline_disk.owner_of(self.disk, PLAN)
        offline_disk.put(self.disk, PLAN, plan, owner=self.owner)

    def note(self, text: str, *, at: float | None = None) -> None:
        """Puts a line into the summary: what was done, or what was measured."""
        self.notes.append((time.time() if at is None else at, text))

    @property
    def machine(self) -> Machine:
        """The board as it runs now, or as it ran last."""
        return self.machines[-1]

    def power_on(self, *, clock: str | None = MORNING) -> Machine:
        """Switches the board on; a relay board's inputs rest where its coils are released."""
        pulls = frozenset(relay.line for relay in self.relays.values() if relay.is_active_low)
        setup = Setup(clock=clock, pulls=pulls)
        folder = self._folder / f"boot-{len(self.machines) + 1}"
        self.machines.append(Machine(self.disk, self._board.parts, setup, folder))
        self.note(f"power on, clock {clock or 'absent'}", at=self.machine.powered_on)
        return self.machine

    def boot(self, *, clock: str | None = MORNING) -> Machine:
        """Switches the board on and waits until the daemon says that it is ready."""
        machine = self.power_on(clock=clock)
        machine.wait_booted()
        machine.shell.run("systemctl start rootclock.service", within_s=120)
        self.note("the daemon is ready")
        return machine

    def run(self, script: str, *, within_s: float = 60.0, codes: tuple[int, ...] = (0,)) -> str:
        """What a script says on the board, errors included; it stands in the summary."""
        self.note(f"$ {script}")
        answer = self.machine.shell.run(script, within_s=within_s, codes=codes)
        return answer.output + answer.errors

    def status(self) -> dict[str, Any]:
        """What the daemon tells its clients."""
        answer: dict[str, Any] = json.loads(self.run("rootclock status --json"))
        return answer

    def daemon(self) -> int:
        """The daemon's process on the board."""
        answer = self.machine.shell.run("systemctl show --value --property MainPID rootclock")
        return int(answer.output)

    def pull_plug(self) -> float:
        """Takes the board's power away; when that was."""
        at = self.machine.pull_plug()
        self.note("power lost", at=at)
        return at

    def wait(self, load: str, *, is_on: bool, within_s: float, since: float = 0.0) -> float:
        """When the load first had that state at or after `since`, waiting for it if need be."""
        relay = self.relays[load]
        return self.machine.lines.wait(
            relay.line, is_high=relay.is_high(is_on=is_on), within_s=within_s, since=since
        )

    def wait_change(
        self, load: str, *, is_on: bool, within_s: float, since: float | None = None
    ) -> float:
        """When the load first changed to that state after `since` (now if None)."""
        since = time.time() if since is None else since
        other = self.wait(load, is_on=not is_on, within_s=within_s, since=since)
        return self.wait(load, is_on=is_on, within_s=within_s, since=other)

    def stretches(self, load: str, *, since: float = 0.0) -> list[Stretch]:
        """The load's states from `since` on; the first and the last are cut off there."""
        relay = self.relays[load]
        levels = self.machine.lines.series(relay.line, since=since)
        merged: list[tuple[float, bool]] = []
        for level in levels:
            state = relay.is_on(level)
            if not merged or merged[-1][1] is not state:
                merged.append((max(level.at, since), state))
        ends = [at for at, _ in merged[1:]] + [time.time()]
        return [Stretch(at, is_on, end - at) for (at, is_on), end in zip(merged, ends, strict=True)]

    def close(self) -> None:
        """Power off, and the disk thrown away."""
        for machine in self.machines:
            machine.pull_plug()
        self.disk.unlink(missing_ok=True)
