"""The pieces of a controller on this board, opened in the order in which a start needs them."""

from __future__ import annotations

import asyncio
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from controller.daemon.restart import Restart, restart
from controller.daemon.world import Outage
from controller.shell.alive_mark import AliveMark
from controller.shell.board.board import Board, open_board
from controller.shell.clock.board_clock import BoardClock, kernel_boot
from controller.shell.clock.trust import ClockTrust, TimeFolders, board_sources, vouched
from controller.shell.journal.journal import Journal, open_journal
from controller.shell.journal.limits import Limits
from controller.shell.only_one import only_one
from controller.shell.plan_store.store import PlanStore
from controller.shell.sensors.board_sensors import BoardSensors

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from controller.core.memory import Memory
    from controller.core.schedule import Schedule
    from controller.daemon.options import Options
    from controller.daemon.ports import Clock, Sensors
    from controller.daemon.rehearsal import Pace, Rehearsal
    from controller.shell.clock.paced_clock import PacedClock
    from controller.shell.plan_store.taken import Taken


@dataclass
class Parts:
    """Everything of the world that a controller holds open, and what it begins with."""

    kernel_boot: str
    alive: AliveMark
    journal: Journal
    journal_path: Path
    clock: BoardClock | PacedClock
    store: PlanStore
    taken: Taken
    board: Board
    sensors: Sensors
    why_silent: Callable[[], Mapping[str, str]]
    begun: Restart
    rehearsal: Rehearsal | None
    stack: ExitStack

    def close(self) -> None:
        """Lets go of all of it, the last opened first; repeatable."""
        self.stack.close()


def open_parts(
    options: Options,
    *,
    pace: Callable[[Schedule], Pace] | None,
    is_on: Callable[[], Sequence[bool]],
    tell: Callable[[str], None],
) -> Parts:
    """Opens everything that the first decision needs.

    `pace` makes a rehearsal of it, by the plan that will run. `is_on` tells which loads are
    on, for what a mock board's meters read.

    Raises:
        PlanRefusedError, UnusableFileError: there is no plan that could run.
        UnusableBoardError: the board's lines cannot be used.
        AnotherControllerError: one runs already.
    """
    runtime = options.socket_path.parent
    boot = kernel_boot()
    with ExitStack() as stack:
        stack.enter_context(only_one(options.state_folder))
        journal_path = options.state_folder / "journal.db"
        on_trouble = _JournalTrouble(tell)
        journal = open_journal(journal_path, limits=Limits(), on_trouble=on_trouble)
        stack.callback(journal.close)
        board_clock = BoardClock(_trust(options, journal, boot))
        stack.callback(board_clock.close)
        board_clock.look_at_trust()
        store = PlanStore(options.plan_path, options.state_folder)
        taken = store.start(board_clock.read()[0])
        schedule = taken.prepared.schedule
        is_mock = options.mock_because is not None
        board = open_board(is_mock=is_mock, safe_lines=runtime / "safe-lines")
        stack.callback(board.close)
        alive = AliveMark(runtime / "alive", kernel_boot=boot)
        stack.callback(alive.close)
        if pace is None:
            stage = _life(board, board_clock, is_on if is_mock else None)
            state, last = journal.last_state(), alive.last()
            begun = restart(schedule, state, alive=last, clock=board_clock, kernel_boot=boot)
        else:
            stage, memory = _rehearsal(schedule, pace(schedule))
            begun = Restart(memory, Outage(boot=0, kernel_boot=boot))
        stack.callback(stage.sensors.close)
        on_trouble.clock = stage.clock
        return Parts(
            kernel_boot=boot,
            alive=alive,
            journal=journal,
            journal_path=journal_path,
            clock=stage.clock,
            store=store,
            taken=taken,
            board=board,
            sensors=stage.sensors,
            why_silent=stage.why_silent,
            begun=begun,
            rehearsal=stage.rehearsal,
            stack=stack.pop_all(),
        )


class _JournalTrouble:
    """Hears from the journal's thread that the disk refuses, or does so no more: it is told, and
    the sleep of the clock, once there is one, is ended, so that the alarm does not wait."""

    def __init__(self, tell: Callable[[str], None]) -> None:
        self.clock: Clock | None = None
        self._tell = tell
        self._loop = asyncio.get_running_loop()

    def __call__(self, words: str) -> None:
        self._tell(words)
        with suppress(RuntimeError):  # the loop has ended
            self._loop.call_soon_threadsafe(self._wake_up)

    def _wake_up(self) -> None:
        if self.clock is not None:
            self.clock.wake_up()


class _Stage(NamedTuple):
    """Where time and readings come from."""

    clock: BoardClock | PacedClock
    sensors: Sensors
    why_silent: Callable[[], Mapping[str, str]]
    rehearsal: Rehearsal | None


def _life(board: Board, clock: BoardClock, is_on: Callable[[], Sequence[bool]] | None) -> _Stage:
    """This board's own; `is_on` where it is a mock, whose missing sensors are modelled."""
    read = BoardSensors(inputs=board.inputs, read_clock=clock.read, on_news=clock.wake_up)
    sensors = read if is_on is None else _mock_sensors(read, clock, is_on)
    return _Stage(clock, sensors, lambda: read.why_silent, None)


def _rehearsal(schedule: Schedule, pace: Pace) -> tuple[_Stage, Memory]:
    from controller.daemon.rehearsal import Rehearsal  # brings the dry run along

    rehearsal = Rehearsal(schedule, pace)
    return _Stage(rehearsal.clock, rehearsal.sensors, dict, rehearsal), rehearsal.memory


def _mock_sensors(read: BoardSensors, clock: Clock, is_on: Callable[[], Sequence[bool]]) -> Sensors:
    from controller.daemon.mock_sensors import MockBoardSensors

    def make_modelled() -> Sensors:
        from controller.daemon.modelled_sensors import ModelledSensors  # brings the dry run along

        return ModelledSensors(clock, is_on)

    return MockBoardSensors(read=read, make_modelled=make_modelled)


def _trust(options: Options, journal: Journal, boot: str) -> ClockTrust:
    note = options.socket_path.parent / "clock-trusted"
    if options.is_clock_vouched or options.mock_because is not None:
        return ClockTrust((vouched,), note=None, kernel_boot=boot)
    sources = board_sources(TimeFolders(), not_before=journal.last_instant or 0)
    return ClockTrust(sources, note=note, kernel_boot=boot)
