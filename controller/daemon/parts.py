"""The pieces of a controller on this board, opened in the order in which a start needs them."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass
from typing import TYPE_CHECKING

from controller.daemon.mock_sensors import MockBoardSensors
from controller.daemon.modelled_sensors import ModelledSensors
from controller.daemon.rehearsal import Pace, Rehearsal
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

    from controller.core.schedule import Schedule
    from controller.daemon.options import Options
    from controller.daemon.ports import Sensors
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
        journal = open_journal(journal_path, limits=Limits(), on_trouble=tell)
        stack.callback(journal.close)
        board_clock = BoardClock(_trust(options, journal, boot))
        stack.callback(board_clock.close)
        board_clock.look_at_trust()
        store = PlanStore(options.plan_path, options.state_folder)
        taken = store.start(board_clock.read()[0])
        schedule = taken.prepared.schedule
        board = open_board(
            is_mock=options.mock_because is not None,
            work_dir=runtime,
            safe_lines=runtime / "safe-lines.json",
        )
        stack.callback(board.close)
        alive = AliveMark(runtime / "alive", kernel_boot=boot)
        clock: BoardClock | PacedClock = board_clock
        sensors: Sensors
        why_silent: Callable[[], Mapping[str, str]] = dict
        rehearsal = None
        if pace is not None:
            rehearsal = Rehearsal(schedule, pace(schedule))
            clock, sensors = rehearsal.clock, rehearsal.sensors
            begun = Restart(rehearsal.memory, Outage(boot=0, kernel_boot=boot))
        else:
            read = BoardSensors(inputs=board.inputs, read_clock=clock.read, on_news=clock.wake_up)
            why_silent = lambda: read.why_silent  # noqa: E731
            sensors = read
            if options.mock_because is not None:
                sensors = MockBoardSensors(read=read, modelled=ModelledSensors(clock, is_on))
            begun = restart(
                schedule, journal.last_state(), alive=alive.last(), clock=clock, kernel_boot=boot
            )
        stack.callback(sensors.close)
        return Parts(
            kernel_boot=boot,
            alive=alive,
            journal=journal,
            journal_path=journal_path,
            clock=clock,
            store=store,
            taken=taken,
            board=board,
            sensors=sensors,
            why_silent=why_silent,
            begun=begun,
            rehearsal=rehearsal,
            stack=stack.pop_all(),
        )


def _trust(options: Options, journal: Journal, boot: str) -> ClockTrust:
    note = options.socket_path.parent / "clock-trusted"
    if options.is_clock_vouched or options.mock_because is not None:
        return ClockTrust((vouched,), note=None, kernel_boot=boot)
    sources = board_sources(TimeFolders(), not_before=journal.last_instant or 0)
    return ClockTrust(sources, note=note, kernel_boot=boot)
