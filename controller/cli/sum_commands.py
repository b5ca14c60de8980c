"""Commands that sum the journal up: week and wear. Both ask the running daemon."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

from controller.cli.daemon_link import added_command, connected, print_sentences

if TYPE_CHECKING:
    import argparse

    from controller.shell.control_socket.client import Client


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds the commands to the parser."""
    week = added_command(
        commands,
        "week",
        "the last seven days: waterings a day, gaps that were longer than usual",
        "Tells the last seven days of the site, by load and day: how often it watered, for how "
        "long, its longest gap, and every gap that was longer than usual (half as long again as "
        "nine of ten).",
    )
    week.add_argument("--json", action="store_true", help="as a JSON object")
    week.set_defaults(run=run_week)

    wear = added_command(
        commands,
        "wear",
        "how much of their rated life the relays have used",
        "Counts each relay's operations (one is on and off) over the journal's life, against the "
        "contact_life that the plan states, and tells how long the rest lasts at the rate of the "
        "last four weeks.",
    )
    wear.add_argument("--json", action="store_true", help="as a JSON object")
    wear.set_defaults(run=run_wear)


def run_week(arguments: argparse.Namespace) -> int:
    """`rootclock week`."""
    with connected(arguments) as daemon:
        week = _week(daemon)
    if arguments.json:
        from controller.cli.output import print_json

        print_json(week)
        return 0
    from controller.cli.output import is_coloured
    from controller.report.ink import Ink
    from controller.report.week_text import week_lines

    for line in week_lines(week, Ink(is_coloured(sys.stdout))):
        print(line)
    return 0


def _week(daemon: Client) -> dict[str, Any]:
    from controller.cli.daemon_link import status_read
    from controller.core.units import rfc3339
    from controller.core.wall_clock import load_zone
    from controller.report.journal_week import week_bounds, week_told

    status = status_read(daemon.call("status"))
    bounds = week_bounds(load_zone(status.timezone), status.now)
    asked = {"since": rfc3339(bounds.since), "until": rfc3339(bounds.until)}
    return week_told(daemon.call("history", asked), bounds.days)


def run_wear(arguments: argparse.Namespace) -> int:
    """`rootclock wear`."""
    from controller.cli.daemon_link import status_read
    from controller.core.wall_clock import load_zone
    from controller.report.wear_text import wear_sentence

    with connected(arguments) as daemon:
        status = status_read(daemon.call("status"))
        wear = daemon.call("wear")
    if arguments.json:
        from controller.cli.output import print_json

        print_json(wear)
    else:
        zone = load_zone(status.timezone)
        print_sentences(wear_sentence(load, zone) for load in wear["loads"])
    return 0
