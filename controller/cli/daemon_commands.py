"""Commands that are the controller: run, start, rehearse."""

from __future__ import annotations

import argparse
import sys
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from controller.cli.dry_run_command import days_argument, when_argument
from controller.cli.serving import add_places_to, serve_here, service_options, tell_cautions
from controller.cli.web_command import add_page_options_to, page_words

if TYPE_CHECKING:
    from controller.core.schedule import Schedule
    from controller.daemon.rehearsal import Pace

_SPEED_MAX = 100_000.0


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds the commands to the parser."""
    start = commands.add_parser(
        "start",
        help="controller and page in this terminal: water by a plan from now on",
        description="Runs the controller in this terminal, shows what it does and why, and serves "
        "the page beside it, in a process of its own. Where there is no GPIO it switches mock "
        "relays, and says so. Without PLAN it takes the example plan porch, in the state folder, "
        "for you to edit: the controller notices.",
    )
    start.add_argument("plan", metavar="PLAN", type=Path, nargs="?", help="plan file (TOML)")
    add_places_to(start)
    start.add_argument("--no-page", action="store_true", help="the controller alone")
    add_page_options_to(start)
    start.set_defaults(run=run_start)

    run = commands.add_parser(
        "run",
        help="the controller alone, as a service manager runs it",
        description="Runs the controller. Relays go to their stopped state at its end.",
    )
    run.add_argument("plan", metavar="PLAN", type=Path, help="plan file (TOML)")
    add_places_to(run)
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
    add_places_to(rehearse)
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


def run_start(arguments: argparse.Namespace) -> int:
    """`rootclock start`."""
    options = service_options(arguments, plan=arguments.plan)._replace(ends_with_terminal=True)
    page = None
    if not arguments.no_page:
        page = page_words(arguments, "serve", options.socket_path, ends_with_input=True)
    tell_cautions(options)
    print(f"Plan {options.plan_path}; Ctrl-C ends it.")
    if options.mock_because is not None:
        print(f"MOCK RELAYS, nothing real is switched: {options.mock_because}.")
    return serve_here(options, is_shown=True, page=page)


def run_run(arguments: argparse.Namespace) -> int:
    """`rootclock run`."""
    options = service_options(arguments, plan=arguments.plan)
    tell_cautions(options)
    if options.mock_because is not None:
        print(
            f"rootclock: MOCK RELAYS, nothing real is switched: {options.mock_because}",
            file=sys.stderr,
        )
    return serve_here(options, is_shown=False)  # the journal has it all


def run_rehearse(arguments: argparse.Namespace) -> int:
    """`rootclock rehearse`."""
    from tempfile import TemporaryDirectory

    from controller.cli.own_files import keep_own_files
    from controller.daemon.rehearsal import Pace
    from controller.dry_run.air import air_of
    from controller.paper.carrying_out import period
    from controller.report.events_csv import EventsCsv
    from controller.shell.clock.today import now
    from controller.shell.files import written_whole

    keep_own_files(arguments)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(TemporaryDirectory(prefix="rootclock-")))
        arguments.state = arguments.state or folder
        arguments.socket = arguments.socket or folder / "control.sock"
        options = service_options(arguments, plan=arguments.plan, is_rehearsal=True)
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

        tell_cautions(options)
        if options.mock_because is None:
            print("REAL RELAYS: unplug pumps, lamps and all else before you go on.")
        else:
            print(f"Mock relays, nothing real is switched: {options.mock_because}.")
        return serve_here(options, is_shown=True, pace=pace)
