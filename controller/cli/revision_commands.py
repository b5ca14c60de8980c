"""`rootclock plan`: the plan in force in the running daemon, and those before it."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from controller.cli.daemon_link import added_command, connected
from controller.core.errors import RequestRefusedError

if TYPE_CHECKING:
    from controller.core.findings import Finding
    from controller.shell.control_socket.client import Client

# A dry run of the plan on a small board; the daemon gives up a little earlier, and says so.
_EXAMINATION_S = 150.0


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds the command and its parts to the parser."""
    plan = commands.add_parser(
        "plan",
        help="the plan in force: show, propose another, go back to an earlier one",
        description="The plan that the running controller carries out, and those before it.",
    )
    parts = plan.add_subparsers(title="commands", metavar="COMMAND", required=True)

    show = added_command(parts, "show", "print the plan in force")
    show.add_argument("--revision", metavar="N", type=_revision_argument, help="an earlier one")
    show.set_defaults(run=run_show)

    propose = added_command(
        parts, "propose", "let the controller examine a plan and, if it is good, take it"
    )
    propose.add_argument("plan", metavar="FILE", type=Path, help="plan file (TOML)")
    propose.add_argument("--note", metavar="TEXT", help="why, in a few words, for the record")
    propose.add_argument(
        "--based-on",
        metavar="N",
        type=_revision_argument,
        help="refuse it if another revision than N is in force (default: whichever is)",
    )
    propose.set_defaults(run=run_propose)

    revisions = added_command(parts, "revisions", "list the plans that were in force")
    revisions.add_argument("--json", action="store_true", help="as a JSON list")
    revisions.set_defaults(run=run_revisions)

    restore = added_command(parts, "restore", "put an earlier plan into force again")
    restore.add_argument(
        "revision",
        metavar="N",
        type=_revision_argument,
        help="its number, as plan revisions lists it",
    )
    restore.set_defaults(run=run_restore)

    difference = added_command(parts, "difference", "what changed from one revision to another")
    difference.add_argument(
        "before", metavar="A", type=_revision_argument, help="number of the earlier one"
    )
    difference.add_argument(
        "after", metavar="B", type=_revision_argument, nargs="?", help="default: the one in force"
    )
    difference.set_defaults(run=run_difference)


def _revision_argument(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 9 and int(text) > 0):
        raise argparse.ArgumentTypeError(f"{text[:40]!r} is not a revision's number")
    return int(text)


def run_show(arguments: argparse.Namespace) -> int:
    """`rootclock plan show`."""
    with connected(arguments) as daemon:
        if arguments.revision is None:
            read = daemon.call("plan.read")
        else:
            read = daemon.call("plan.text", {"revision": arguments.revision})
    sys.stdout.write(read["text"])
    return 0


def run_propose(arguments: argparse.Namespace) -> int:
    """`rootclock plan propose`."""
    from controller.core.plan_text.encoding import SIZE_MAX, text_of
    from controller.shell.files import read_bytes

    text = text_of(read_bytes(arguments.plan, what="plan", size_max=SIZE_MAX))
    if not isinstance(text, str):
        return _refused([text], str(arguments.plan))
    with connected(arguments) as daemon:
        based_on = arguments.based_on or daemon.call("plan.read")["revision"]
        told = {"text": text, "based_on": based_on, "note": arguments.note}
        return _put_into_force(daemon, "plan.propose", told, source=str(arguments.plan))


def run_revisions(arguments: argparse.Namespace) -> int:
    """`rootclock plan revisions`."""
    from controller.cli.output import print_json

    with connected(arguments) as daemon:
        revisions = daemon.call("plan.revisions")["revisions"]
        if arguments.json:
            print_json(revisions)
            return 0
        zone_name = daemon.call("status")["timezone"]
    from controller.cli.log_command import zone_of
    from controller.core.units import parse_rfc3339, utc_datetime
    from controller.report.text_cells import printable

    zone, zone_words = zone_of(zone_name)

    for one in revisions:
        mark = "  (in force)" if one.get("is_in_force") else ""
        note = f": {printable(one['note'])}" if one.get("note") else ""
        how = printable(str(one.get("how", "")))
        taken = utc_datetime(parse_rfc3339(one["taken_utc"])).astimezone(zone)
        print(f"{one['revision']:>6}  {taken:%Y-%m-%d %H:%M:%S}  {how}{note}{mark}")
    print(f"\n{zone_words}")
    return 0


def run_restore(arguments: argparse.Namespace) -> int:
    """`rootclock plan restore`."""
    with connected(arguments) as daemon:
        told = {"revision": arguments.revision}
        source = f"plan revision {arguments.revision}"
        return _put_into_force(daemon, "plan.restore", told, source=source)


def run_difference(arguments: argparse.Namespace) -> int:
    """`rootclock plan difference`."""
    from controller.shell.plan_store.difference import difference_of

    with connected(arguments) as daemon:
        before = daemon.call("plan.text", {"revision": arguments.before})
        if arguments.after is None:
            after = daemon.call("plan.read")
        else:
            after = daemon.call("plan.text", {"revision": arguments.after})
    names = (f"revision {before['revision']}", f"revision {after['revision']}")
    print(difference_of(before["text"], after["text"], names=names), end="")
    return 0


def _put_into_force(daemon: Client, method: str, told: dict[str, Any], *, source: str) -> int:
    if sys.stderr.isatty():
        print("The controller carries the plan out on paper first; a moment.", file=sys.stderr)
    try:
        taken = daemon.call(method, told, within_s=_EXAMINATION_S)
    except RequestRefusedError as error:
        findings = _findings_of(error.data)
        if not findings:
            raise
        return _refused(findings, source, because=str(error))
    _tell_findings(_findings_of(taken), source, stream=sys.stdout)
    is_new = taken.get("is_new", True)
    ending = "is in force" if is_new else "is this plan already, and stays in force"
    print(f"Revision {taken['revision']} {ending}.")
    for remark in taken.get("remarks", []):
        print(f"Note: {remark}.")
    return 0


def _refused(findings: list[Finding], source: str, because: str = "") -> int:
    _tell_findings(findings, source, stream=sys.stderr)
    why = f"{because}; " if because else ""
    print(f"rootclock: {why}the plan in force stays", file=sys.stderr)
    return 1


def _tell_findings(findings: list[Finding], source: str, *, stream: TextIO) -> None:
    from controller.cli.output import print_findings

    print_findings(findings, source=source, stream=stream)


def _findings_of(data: object) -> list[Finding]:
    """The findings in a daemon's answer, or in what it says to a refusal."""
    from controller.core.findings import Finding

    raw = data.get("findings") if isinstance(data, dict) else None
    return [
        Finding(one["level"], one["where"], one["message"], one["mend"], one.get("line"))
        for one in raw or []
    ]
