"""Commands that ask the running daemon: status, why, hold, release, acknowledge, stop, resume,
trust-clock; and by `revision_commands` all that concerns its plan.

They load little, so that the answer is there in a blink.
"""

from __future__ import annotations

import argparse
import json
import sys
from typing import TYPE_CHECKING, Any

from controller.cli import revision_commands
from controller.cli.daemon_link import add_socket_to, connected
from controller.core.errors import BadDurationError, NoDaemonError

if TYPE_CHECKING:
    from controller.core.status.record import LoadStatus, Status
    from controller.shell.control_socket.client import Client


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds the commands to the parser."""
    status = _added(commands, "status", "what every load does now, what is wrong, what comes next")
    status.add_argument("--json", action="store_true", help="as a JSON object")
    status.add_argument(
        "--follow", action="store_true", help="then tell every change, until interrupted"
    )
    status.set_defaults(run=run_status)

    why = _added(commands, "why", "why a load is on or off, and until when")
    why.add_argument("load", metavar="LOAD", nargs="?", help="a load of the plan (default: all)")
    why.set_defaults(run=run_why)

    hold = _added(
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

    release = _added(commands, "release", "end a hold: the load goes by the plan again")
    release.add_argument("load", metavar="LOAD", help="a load of the plan")
    release.set_defaults(run=run_release)

    acknowledge = _added(
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

    stop = _added(commands, "stop", "switch everything off, until resume")
    stop.set_defaults(run=run_stop)
    resume = _added(commands, "resume", "let everything go on after a stop")
    resume.set_defaults(run=run_resume)

    trust = _added(
        commands,
        "trust-clock",
        "say that the controller's clock is right",
        "Shows the time by the controller's clock. If you say that it is right, loads go by the "
        "plan's times from then on.",
    )
    trust.add_argument("--yes", action="store_true", help="do not ask")
    trust.set_defaults(run=run_trust_clock)

    revision_commands.add_to(commands)


def _added(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    summary: str,
    description: str | None = None,
) -> argparse.ArgumentParser:
    text = f"{summary[0].upper()}{summary[1:]}." if description is None else description
    parser = commands.add_parser(name, help=summary, description=text)
    add_socket_to(parser)
    return parser


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
        print(_told(status_text, status))
    return 0


def _follow(daemon: Client, *, is_json: bool) -> int:
    """Tells the status and then every change, until the daemon ends or somebody interrupts."""
    from controller.report.status_text import clock_text, differences, status_text

    answer, news = daemon.listen(["changed"])
    before = _read(answer["status"])
    _say(json.dumps(answer["status"]) if is_json else _told(status_text, answer["status"]))
    try:
        for told in news:
            raw = told.params.get("status")
            after = _read(raw)
            if is_json:
                _say(json.dumps(raw))
            else:
                for line in differences(before, after):
                    _say(f"{clock_text(after)}  {line}")
            before = after
    except NoDaemonError as error:
        print(f"rootclock: {error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:  # the way to end it
        return 0
    return 0


def _say(text: str) -> None:
    print(text, flush=True)


def run_why(arguments: argparse.Namespace) -> int:
    """`rootclock why`."""
    from controller.report.status_text import why_text

    with connected(arguments) as daemon:
        status = daemon.call("why", {"load": arguments.load})
    print(_told(why_text, status))
    return 0


def run_hold(arguments: argparse.Namespace) -> int:
    """`rootclock hold`."""
    from controller.report.order_text import hold_text

    params = {"load": arguments.load, "order": arguments.order, "for": arguments.length}
    with connected(arguments) as daemon:
        before, after = _read(daemon.call("status")), _read(daemon.call("hold", params))
    _print_wrapped(hold_text(after, _load(before, arguments.load), _load(after, arguments.load)))
    return 0


def run_release(arguments: argparse.Namespace) -> int:
    """`rootclock release`."""
    from controller.report.order_text import release_text

    with connected(arguments) as daemon:
        before = _read(daemon.call("status"))
        after = _read(daemon.call("release", {"load": arguments.load}))
    _print_wrapped(release_text(_load(before, arguments.load), _load(after, arguments.load)))
    return 0


def run_acknowledge(arguments: argparse.Namespace) -> int:
    """`rootclock acknowledge`."""
    from controller.core.messages.alarm_choice import alarms_meant
    from controller.report.order_text import acknowledge_text

    wanted = None if arguments.alarm == "all" else arguments.alarm
    with connected(arguments) as daemon:
        status = _read(daemon.call("status"))
        standing = [(alarm.code, alarm.subject) for alarm in status.alarms]
        meant = alarms_meant(wanted, None, standing)
        for code, subject in meant:
            told = {"alarm": code, "subject": subject or None}
            status = _read(daemon.call("acknowledge", told))
    _print_wrapped(acknowledge_text(status, meant))
    return 0


def run_stop(arguments: argparse.Namespace) -> int:
    """`rootclock stop`."""
    from controller.report.order_text import stop_text

    with connected(arguments) as daemon:
        status = _read(daemon.call("stop"))
    _print_wrapped(stop_text(status))
    return 0


def run_resume(arguments: argparse.Namespace) -> int:
    """`rootclock resume`."""
    from controller.report.status_text import why_text

    with connected(arguments) as daemon:
        status = daemon.call("resume")
    print(f"The stop is over.\n\n{_told(why_text, status)}")
    return 0


def run_trust_clock(arguments: argparse.Namespace) -> int:
    """`rootclock trust-clock`."""
    from controller.report.status_text import now_text

    with connected(arguments) as daemon:
        status = _read(daemon.call("status"))
        shown = f"{now_text(status)} in {status.timezone}"
        if status.is_clock_trusted:
            _print_wrapped([f"The clock is trusted already: it is {shown}."])
            return 0
        _print_wrapped([f"The controller's clock shows {shown}."])
        if not (arguments.yes or _agrees("Is that right? [y/N] ")):
            _print_wrapped(["Nothing was done. Set the clock, or give the controller a network."])
            return 1
        status = _read(daemon.call("clock.trust"))
    _print_wrapped(["The clock is trusted; loads go by the plan's times."])
    return 0


def _agrees(question: str) -> bool:
    try:
        return input(question).strip().lower() in {"y", "yes"}
    except EOFError:  # nobody there to be asked
        return False


def _read(raw: Any) -> Status:
    from controller.core.status.json_form import status_from_json

    return status_from_json(raw)


def _told(text_of: Any, raw: Any) -> str:
    """A raw status by one of the functions that make text of it, as wide as this terminal."""
    from controller.cli.output import is_coloured, text_width
    from controller.report.ink import Ink

    text: str = text_of(_read(raw), width=text_width(), ink=Ink(is_coloured(sys.stdout)))
    return text


def _load(status: Status, name: str) -> LoadStatus | None:
    return next((load for load in status.loads if load.name == name), None)


def _print_wrapped(sentences: list[str]) -> None:
    from controller.cli.output import text_width
    from controller.report.text_cells import wrapped

    for sentence in sentences:
        print("\n".join(wrapped(sentence, text_width())))
