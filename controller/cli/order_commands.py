"""Commands that tell the running daemon what to do: hold, release, acknowledge, stop, resume,
trust-clock. Each says what was done and what happens next."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from controller.cli.daemon_link import (
    added_command,
    connected,
    print_sentences,
    status_read,
    told,
)
from controller.core.errors import BadDurationError

if TYPE_CHECKING:
    from controller.core.status.record import LoadStatus, Status


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds the commands to the parser."""
    _add_hold(commands)
    release = added_command(commands, "release", "end a hold: the load goes by the plan again")
    release.add_argument("load", metavar="LOAD", help="a load of the plan")
    release.set_defaults(run=run_release)

    acknowledge = added_command(
        commands,
        "acknowledge",
        "say that you have looked at an alarm",
        "Says that a person has looked. An alarm whose cause is over goes away; after a leak, "
        "pumps may run again.",
    )
    acknowledge.add_argument(
        "alarm", metavar="ALARM", help="what it says (leak), what it is about (floor), or all"
    )
    acknowledge.set_defaults(run=run_acknowledge)

    stop = added_command(commands, "stop", "switch everything off, until resume")
    stop.set_defaults(run=run_stop)
    resume = added_command(commands, "resume", "let everything go on after a stop")
    resume.set_defaults(run=run_resume)

    trust = added_command(
        commands,
        "trust-clock",
        "say that the controller's clock is right",
        "Shows the time by the controller's clock. If you say that it is right, loads go by the "
        "plan's times from then on.",
    )
    trust.add_argument("--yes", action="store_true", help="do not ask")
    trust.set_defaults(run=run_trust_clock)


def _add_hold(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    hold = added_command(
        commands,
        "hold",
        "switch a load by hand, for a stated time; then the plan goes on",
        "Switches a load at once, for a stated time. Guards still stop it: a leak, an empty "
        "reservoir, the stop switch.",
    )
    hold.add_argument("load", metavar="LOAD", help="a load of the plan")
    hold.add_argument(
        "order",
        metavar="ORDER",
        help='on, off, a cycle ("5m on, 10m off"), or the name of one of its variants',
    )
    hold.add_argument(
        "--for",
        dest="length",
        metavar="LENGTH",
        type=_length_argument,
        required=True,
        help="how long: 20m, 1h30m; a week at most",
    )
    hold.set_defaults(run=run_hold)


def _length_argument(text: str) -> str:
    """A duration for argparse, as it was written: the daemon reads it again."""
    from controller.core.units import parse_duration_ms

    try:
        length_ms = parse_duration_ms(text)
    except BadDurationError as error:
        raise argparse.ArgumentTypeError(str(error)) from None
    if length_ms == 0:
        raise argparse.ArgumentTypeError("a hold lasts longer than no time at all")
    return text


def run_hold(arguments: argparse.Namespace) -> int:
    """`rootclock hold`."""
    from controller.report.order_text import hold_text

    params = {"load": arguments.load, "order": arguments.order, "for": arguments.length}
    with connected(arguments) as daemon:
        before = status_read(daemon.call("status"))
        after = status_read(daemon.call("hold", params))
    name = arguments.load
    print_sentences(hold_text(after, _load(before, name), _load(after, name)))
    return 0


def run_release(arguments: argparse.Namespace) -> int:
    """`rootclock release`."""
    from controller.report.order_text import release_text

    with connected(arguments) as daemon:
        before = status_read(daemon.call("status"))
        after = status_read(daemon.call("release", {"load": arguments.load}))
    print_sentences(release_text(_load(before, arguments.load), _load(after, arguments.load)))
    return 0


def run_acknowledge(arguments: argparse.Namespace) -> int:
    """`rootclock acknowledge`."""
    from controller.core.messages.alarm_choice import alarms_meant
    from controller.report.order_text import acknowledge_text

    wanted = None if arguments.alarm == "all" else arguments.alarm
    with connected(arguments) as daemon:
        status = status_read(daemon.call("status"))
        standing = [(alarm.code, alarm.subject) for alarm in status.alarms]
        if wanted is None and not standing:
            print_sentences(["There is no alarm."])
            return 0
        meant = alarms_meant(wanted, None, standing)
        if wanted is None:
            status = status_read(daemon.call("acknowledge"))
        for code, subject in [] if wanted is None else meant:
            one = {"alarm": code, "subject": subject or None}
            status = status_read(daemon.call("acknowledge", one))
    print_sentences(acknowledge_text(status, meant))
    return 0


def run_stop(arguments: argparse.Namespace) -> int:
    """`rootclock stop`."""
    from controller.report.order_text import stop_text

    with connected(arguments) as daemon:
        status = status_read(daemon.call("stop"))
    print_sentences(stop_text(status))
    return 0


def run_resume(arguments: argparse.Namespace) -> int:
    """`rootclock resume`."""
    from controller.report.status_text import why_text

    with connected(arguments) as daemon:
        status = status_read(daemon.call("resume"))
    print(f"The stop is over.\n\n{told(why_text, status)}")
    return 0


def run_trust_clock(arguments: argparse.Namespace) -> int:
    """`rootclock trust-clock`."""
    from controller.report.status_moments import now_text

    with connected(arguments) as daemon:
        status = status_read(daemon.call("status"))
        shown = f"{now_text(status)} in {status.timezone}"
        if status.is_clock_trusted:
            print_sentences([f"The clock is trusted already: it is {shown}."])
            return 0
        print_sentences([f"The controller's clock shows {shown}."])
        if not (arguments.yes or _agrees("Is that right? [y/N] ")):
            print_sentences(["Nothing was done. Set the clock, or give the controller a network."])
            return 1
        daemon.call("clock.trust")
    print_sentences(["The clock is trusted; loads go by the plan's times."])
    return 0


def _agrees(question: str) -> bool:
    try:
        return input(question).strip().lower() in {"y", "yes"}
    except EOFError:  # nobody there to be asked
        return False


def _load(status: Status, name: str) -> LoadStatus | None:
    return next((load for load in status.loads if load.name == name), None)
