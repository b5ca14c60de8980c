"""A controller in this process: what it is started with, the cautions before, and its words."""

from __future__ import annotations

import os
import sys
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from controller.cli.web_command import page_environment

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Sequence

    from controller.core.journal_entry import Entry
    from controller.core.schedule import Schedule
    from controller.daemon.options import Options
    from controller.daemon.rehearsal import Pace


def add_places_to(parser: argparse.ArgumentParser) -> None:
    """Adds the options that say where a controller's things are, and what it may believe."""
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


def service_options(
    arguments: argparse.Namespace, *, plan: Path | None, is_rehearsal: bool = False
) -> Options:
    """What the arguments say; without a plan, the example plan, as a file to edit.

    Raises:
        UnusableFileError: the state folder cannot be made, or is of the other kind.
        UnusableBoardError: a service manager started it, and no relay can be switched.
    """
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


def tell_cautions(options: Options) -> None:
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


def serve_here(
    options: Options,
    *,
    is_shown: bool,
    pace: Callable[[Schedule], Pace] | None = None,
    page: Sequence[str] | None = None,
) -> int:
    """Runs a controller to its end; returns the exit code.

    `pace` makes a rehearsal of it, and `page` is the command line of a page to keep beside it.
    """
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

        on_entries: Callable[[Sequence[Entry], Schedule], None] = _say_nothing
        on_ready: Callable[[], None] | None = None
        if is_shown:
            shown = Printing(sys.stdout.fileno(), on_end=not_shown)
            stack.callback(shown.close)
            on_entries = _shown(shown.line)
            if page is not None:
                from controller.cli.page_keeper import PageKeeper

                keeper = PageKeeper(page, page_environment(), show=shown.line, tell=tell)
                stack.callback(keeper.close)
                on_ready = keeper.start
        asyncio.run(serve(options, tell=tell, on_entries=on_entries, on_ready=on_ready, pace=pace))
    return 0


def _nobody_is_left(error: OSError) -> None:
    """Whom standard error does not reach, nothing does; the journal has what matters."""


def _say_nothing(entries: Sequence[Entry], schedule: Schedule) -> None:
    """What the journal is told is not told again."""
