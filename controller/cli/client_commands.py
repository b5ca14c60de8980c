"""Commands that ask the running daemon what is: status and why.

With them come those that tell it what to do (`order_commands`) and those about its plan
(`revision_commands`). They load little, so that the answer is there in a blink.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from controller.cli import order_commands, revision_commands, sum_commands
from controller.cli.daemon_link import added_command, connected, status_read, told
from controller.core.errors import NoDaemonError

if TYPE_CHECKING:
    import argparse

    from controller.core.moments import Moment
    from controller.shell.control_socket.client import Client


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds all commands that ask the daemon to the parser."""
    status = added_command(
        commands, "status", "what every load does now, what is wrong, what comes next"
    )
    status.add_argument("--json", action="store_true", help="as a JSON object")
    status.add_argument(
        "--follow", action="store_true", help="then tell every change, until interrupted"
    )
    status.set_defaults(run=run_status)

    why = added_command(
        commands,
        "why",
        "why a load is on or off, and until when; or why it was",
        "Why a load is on or off, and until when. With --at, why it was so at that time, by the "
        "journal: that works while no controller runs, too.",
    )
    why.add_argument("load", metavar="LOAD", nargs="?", help="a load of the plan (default: all)")
    why.add_argument(
        "--at",
        metavar="WHEN",
        type=_moment_argument,
        help="a time gone by: 03:00 for the last one, 2026-07-01T03:00, 2h for two hours ago",
    )
    why.add_argument(
        "--state", metavar="DIR", type=Path, help="where --at finds the journal (ROOTCLOCK_STATE)"
    )
    why.set_defaults(run=run_why)

    order_commands.add_to(commands)
    revision_commands.add_to(commands)
    sum_commands.add_to(commands)


def _moment_argument(text: str) -> Moment:
    from controller.cli.log_moments import moment_argument

    return moment_argument(text)


def run_status(arguments: argparse.Namespace) -> int:
    """`rootclock status`."""
    from controller.report.status_text import status_text

    with connected(arguments) as daemon:
        if arguments.follow:
            return _follow(daemon, is_json=arguments.json)
        status = daemon.call("status")
    if arguments.json:
        from controller.cli.output import print_json

        print_json(status)
    else:
        print(told(status_text, status_read(status)))
    return 0


def _follow(daemon: Client, *, is_json: bool) -> int:
    """Tells the status and then every change, until the daemon ends or somebody interrupts."""
    from controller.report.status_differences import differences
    from controller.report.status_moments import clock_text
    from controller.report.status_text import status_text

    answer, news = daemon.listen(["changed"])
    before = status_read(answer["status"])
    print(json.dumps(answer["status"]) if is_json else told(status_text, before), flush=True)
    try:
        for one in news:
            raw = one.params.get("status")
            after = status_read(raw)
            if is_json:
                print(json.dumps(raw), flush=True)
            else:
                for line in differences(before, after):
                    print(f"{clock_text(after)}  {line}", flush=True)
            before = after
    except NoDaemonError as error:
        print(f"rootclock: {error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:  # the way to end it
        return 0
    return 0


def run_why(arguments: argparse.Namespace) -> int:
    """`rootclock why`."""
    from controller.report.status_text import why_text

    if arguments.at is not None:
        from controller.cli.past_why import tell_past

        return tell_past(arguments)
    with connected(arguments) as daemon:
        status = status_read(daemon.call("why", {"load": arguments.load}))
    print(told(why_text, status))
    return 0
