"""Commands that are the controller: run, start, rehearse."""

from __future__ import annotations

import argparse
import os
import sys
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from controller.cli.dry_run_command import days_argument, when_argument

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from controller.core.journal_entry import Entry
    from controller.core.schedule import Schedule
    from controller.daemon.options import Options
    from controller.daemon.rehearsal import Pace

_SPEED_MAX = 100_000.0


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds the commands to the parser."""
    start = commands.add_parser(
        "start",
        help="the controller in this terminal: water by a plan from now on",
        description="Runs the controller in this terminal, and shows what it does and why. Where "
        "there is no GPIO it switches mock relays, and says so. Without PLAN it takes the example "
        "plan porch, in the state folder, for you to edit: the controller notices.",
    )
    start.add_argument("plan", metavar="PLAN", type=Path, nargs="?", help="plan file (TOML)")
    _add_places_to(start)
    start.set_defaults(run=run_start)

    run = commands.add_parser(
        "run",
        help="the controller alone, as a service manager runs it",
        description="Runs the controller. Relays go to their stopped state at its end.",
    )
    run.add_argument("plan", metavar="PLAN", type=Path, help="plan file (TOML)")
    _add_places_to(run)
    run.add_argument("--group", metavar="NAME", help="whose members may use the control socket")
    run.set_defaults(run=run_run)

    rehearse = commands.add_parser(
        "rehearse",
        help="a plan faster than life, on the relays, with the pumps unplugged",
        description="Carries a plan out faster than life, on this board's relays or on mock ones. "
        "Unplug pumps, lamps and all else first: you hear the relays click in the order of the "
        "plan. Sensors are modelled, as in a dry run. With --socket, clients see it.",
    )
    rehearse.add_argument("plan", metavar="PLAN", type=Path, help="plan file (TOML)")
    rehearse.add_argument(
        "--speed", metavar="X", type=_speed_argument, required=True, help="times as fast as life"
    )
    rehearse.add_argument(
        "--from",
        dest="start",
        metavar="WHEN",
        type=when_argument,
        help="a local date, or an instant (default: now)",
    )
    rehearse.add_argument(
        "--days", metavar="N", type=days_argument, default=1, help="how many (default: 1)"
    )
    rehearse.add_argument(
        "--events", metavar="FILE.csv", type=Path, help="write every change, as a dry run does"
    )
    _add_places_to(rehearse)
    rehearse.set_defaults(run=run_rehearse)


def _speed_argument(text: str) -> float:
    try:
        speed = float(text)
    except ValueError:
        speed = 0.0
    if not 1 <= speed <= _SPEED_MAX:
        raise argparse.ArgumentTypeError(
            f"{text[:40]!r} is not a number from 1 (as in life) to {_SPEED_MAX:g}"
        )
    return speed


def _add_places_to(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--socket", metavar="FILE", type=Path, help="where clients find it (ROOTCLOCK_SOCKET)"
    )
    parser.add_argument(
        "--state",
        metavar="DIR",
        type=Path,
        help="folder of journal and earlier plans (ROOTCLOCK_STATE)",
    )
    parser.add_argument("--mock", action="store_true", help="switch nothing real")
    parser.add_argument(
        "--trust-clock",
        action="store_true",
        help="take this computer's clock to be right, whatever the system says of it",
    )


def run_start(arguments: argparse.Namespace) -> int:
    """`rootclock start`."""
    options = _options(arguments, plan=arguments.plan)._replace(ends_with_terminal=True)
    _tell_cautions(options)
    print(f"Plan {options.plan_path}; Ctrl-C ends it.")
    if options.mock_because is not None:
        print(f"MOCK RELAYS, nothing real is switched: {options.mock_because}.")
    return _serve(options, is_shown=True)


def run_run(arguments: argparse.Namespace) -> int:
    """`rootclock run`."""
    options = _options(arguments, plan=arguments.plan)
    _tell_cautions(options)
    if options.mock_because is not None:
        print(
            f"rootclock: MOCK RELAYS, nothing real is switched: {options.mock_because}",
            file=sys.stderr,
        )
    return _serve(options, is_shown=False)  # the journal has it all


def run_rehearse(arguments: argparse.Namespace) -> int:
    """`rootclock rehearse`."""
    from tempfile import TemporaryDirectory

    from controller.cli.carrying_out import period
    from controller.daemon.rehearsal import Pace
    from controller.dry_run.air import air_of
    from controller.report.events_csv import EventsCsv
    from controller.shell.clock.today import now
    from controller.shell.files import written_whole

    with ExitStack() as stack:
        folder = Path(stack.enter_context(TemporaryDirectory(prefix="rootclock-")))
        arguments.state = arguments.state or folder
        arguments.socket = arguments.socket or folder / "control.sock"
        options = _options(arguments, plan=arguments.plan, is_rehearsal=True)
        options = options._replace(ends_with_terminal=True)
        events = None
        if arguments.events is not None:
            events = stack.enter_context(written_whole(arguments.events, what="events file"))

        def pace(schedule: Schedule) -> Pace:
            start, end = period(schedule, arguments.start or now(), arguments.days)
            calendar = schedule.calendar
            air = air_of(
                schedule.plan.site,
                None,
                first=calendar.date_of(start),
                last=calendar.date_of(end - 1),
            )
            listeners = [] if events is None else [EventsCsv(schedule, events)]
            return Pace(start, end, arguments.speed, air.series, listeners)

        _tell_cautions(options)
        if options.mock_because is None:
            print("REAL RELAYS: unplug pumps, lamps and all else before you go on.")
        else:
            print(f"Mock relays, nothing real is switched: {options.mock_because}.")
        return _serve(options, is_shown=True, pace=pace)


def _shown(line: Callable[[str], None]) -> Callable[[Sequence[Entry], Schedule], None]:
    """Shows entries as they come, in the local time of the plan's site."""
    from controller.cli.output import is_coloured, text_width
    from controller.report.journal_text import JournalText

    texts: list[JournalText] = []

    def show(entries: Sequence[Entry], schedule: Schedule) -> None:
        if not texts:
            zone, is_colour = schedule.calendar.zone, is_coloured(sys.stdout)
            texts.append(JournalText(zone, width=text_width(), is_colour=is_colour))
        for text in texts[0].lines(entries):
            line(text)

    return show


def _options(
    arguments: argparse.Namespace, *, plan: Path | None, is_rehearsal: bool = False
) -> Options:
    from controller.core.errors import UnusableBoardError
    from controller.daemon.options import Options
    from controller.shell.board.chips import why_no_gpio
    from controller.shell.places import made_folder, socket_path, state_folder

    state = made_folder(arguments.state or state_folder(os.environ)).absolute()
    _keep_apart(state, is_rehearsal=is_rehearsal)
    socket = (arguments.socket or socket_path(os.environ)).absolute()
    made_folder(socket.parent)
    mock_because = "as asked with --mock" if arguments.mock else why_no_gpio()
    if mock_because is not None and not arguments.mock and "NOTIFY_SOCKET" in os.environ:
        # A service that seems to water and does not is worse than one that fails and is
        # started again.
        raise UnusableBoardError(
            f"no relay can be switched: {mock_because}. A service needs its relays: "
            "mend that, or add --mock to try it without"
        )
    return Options(
        plan_path=_example_plan(state) if plan is None else plan.absolute(),
        state_folder=state,
        socket_path=socket,
        mock_because=mock_because,
        is_clock_vouched=arguments.trust_clock,
        group=getattr(arguments, "group", None),
    )


def _keep_apart(state: Path, *, is_rehearsal: bool) -> None:
    """A journal with a rehearsal's made-up times in it is no controller's: it would take them
    for what its loads have done."""
    from controller.core.errors import UnusableFileError
    from controller.shell.files import written_whole

    mark = state / "rehearsal"
    is_marked = os.path.exists(mark)  # noqa: PTH110 - never raises
    if is_marked and not is_rehearsal:
        raise UnusableFileError(
            f"the state folder {state} is a rehearsal's, with times that never were: "
            "name another one with --state"
        )
    if is_rehearsal and not is_marked:
        if os.path.exists(state / "journal.db"):  # noqa: PTH110
            raise UnusableFileError(
                f"the state folder {state} is a controller's, whose journal must not hold "
                "a rehearsal: name another one with --state, or leave that out"
            )
        with written_whole(mark, what="the mark of a rehearsal"):
            pass


def _example_plan(state: Path) -> Path:
    """The example plan, as a file that can be edited."""
    from controller.shell.examples import example_text
    from controller.shell.files import written_whole

    path = state / "plan.toml"
    if not path.exists():
        with written_whole(path, what="plan") as file:
            file.write(example_text("porch"))
    return path


def _tell_cautions(options: Options) -> None:
    """Before a relay is switched for the first time, whoever starts it reads the cautions."""
    from controller.core.cautions import cautions_text
    from controller.shell.cautions_read import cautions_due, note_cautions_read
    from controller.shell.clock.today import now

    if not cautions_due(options.state_folder):
        return
    print(cautions_text(), file=sys.stderr)
    if sys.stdin.isatty() and sys.stderr.isatty() and options.mock_because is None:
        print("Press Enter when you have read them.", end=" ", file=sys.stderr, flush=True)
        sys.stdin.readline()
    note_cautions_read(options.state_folder, now())


def _serve(
    options: Options, *, is_shown: bool, pace: Callable[[Schedule], Pace] | None = None
) -> int:
    from controller.daemon.lean_imports import import_lean

    import_lean()
    import asyncio

    from controller.cli.printing import Printing
    from controller.daemon.service import serve

    sys.stdout.flush()
    sys.stderr.flush()
    with ExitStack() as stack:
        told = Printing(sys.stderr.fileno(), on_end=_nobody_is_left)
        stack.callback(told.close)

        def tell(text: str) -> None:
            told.line(f"rootclock: {text}")

        def not_shown(error: OSError) -> None:
            reason = error.strerror or str(error)
            tell(f"what happens is not shown any more ({reason}); the controller runs on")

        if is_shown:
            shown = Printing(sys.stdout.fileno(), on_end=not_shown)
            stack.callback(shown.close)
        on_entries = _shown(shown.line) if is_shown else _say_nothing
        asyncio.run(serve(options, tell=tell, on_entries=on_entries, pace=pace))
    return 0


def _nobody_is_left(error: OSError) -> None:
    """Whom standard error does not reach, nothing does; the journal has what matters."""


def _say_nothing(entries: Sequence[Entry], schedule: Schedule) -> None:
    """What the journal is told is not told again."""
