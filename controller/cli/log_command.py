"""`rootclock log`: what was switched, why, and what went wrong, be the controller alive or dead."""

from __future__ import annotations

import argparse
import os
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

from controller.core.errors import UnknownZoneError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from zoneinfo import ZoneInfo

    from controller.core.journal_entry import Numbered
    from controller.core.moments import Moment
    from controller.shell.journal.read_log import Facts, Query

_LAST_ON_TERMINAL = 50
_LAST_MAX = 100_000
_ONLY = ("switched", "alarms", "holds", "plan", "variants", "clock", "starts")
_DESCRIPTION = """\
Shows the journal: every switching with its reason, alarms, holds, plan changes, starts and
stops. It reads the journal's file, so it works while the controller is dead, too. On a
terminal the newest 50 entries are shown; elsewhere, or with --since, all of them."""
_EPILOG = """\
WHEN is a date (2026-07-01), a local time of the site (2026-07-01T06:00, or 06:00 for the
last one), an instant (2026-07-01T04:00:00Z), or how long ago (24h). A date after --until
counts in whole."""


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds the command to the parser."""
    parser = commands.add_parser(
        "log",
        help="what was switched, why, and what went wrong",
        description=_DESCRIPTION,
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "--since", metavar="WHEN", type=_moment_argument, help="entries from then on"
    )
    parser.add_argument(
        "--until", metavar="WHEN", type=_moment_argument, help="entries before then"
    )
    parser.add_argument("--load", metavar="NAME", help="entries of one load or sensor")
    parser.add_argument(
        "--only",
        metavar="KIND",
        action="append",
        choices=_ONLY,
        help=f"entries of one kind, may be given more than once: {', '.join(_ONLY)}",
    )
    parser.add_argument("--find", metavar="TEXT", default="", help="entries with this text")
    parser.add_argument("--last", metavar="N", type=_count, help="the newest N of them")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--csv", action="store_true", help="as CSV, for a spreadsheet")
    form.add_argument("--jsonl", action="store_true", help="as JSON lines, for a program")
    parser.add_argument(
        "--state",
        metavar="DIR",
        type=Path,
        help="the controller's state folder (default: ROOTCLOCK_STATE, else the service's, else "
        "your own)",
    )
    parser.set_defaults(run=run_log)


def _moment_argument(text: str) -> Moment:
    from controller.cli.log_moments import moment_argument

    return moment_argument(text)


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= _LAST_MAX):
        raise argparse.ArgumentTypeError(f"{text[:40]!r} is not a number from 1 to {_LAST_MAX}")
    return int(text)


def run_log(arguments: argparse.Namespace) -> int:
    """`rootclock log`."""
    from controller.shell.journal.read_log import read_facts

    path = journal_path(arguments.state)
    facts = read_facts(path)
    zone, zone_words = zone_of(facts.zone)
    query = _query(arguments, zone)
    if query.since is not None and query.until is not None and query.since >= query.until:
        print("rootclock log: --since is not before --until", file=sys.stderr)
        return 2
    if facts.remark:
        print(f"rootclock: {facts.remark}", file=sys.stderr)
    last = arguments.last
    if arguments.csv or arguments.jsonl:
        _export(_pages(path, query, last), is_csv=arguments.csv)
        return 0
    is_shortened = last is None and arguments.since is None and sys.stdout.isatty()
    last = _LAST_ON_TERMINAL if is_shortened else last
    count = _show(_pages(path, query, last), zone)
    if count == 0:
        print(_nothing_words(arguments, facts))
    else:
        is_cut = is_shortened and count == last
        shortened = f" The newest {count}; --last {10 * count} shows more." if is_cut else ""
        print(f"\n{zone_words}{shortened}")
    return 0


def journal_path(state: Path | None) -> Path:
    """The journal to read: where somebody says, else the service's, else one's own."""
    from controller.shell.journal.journal import JOURNAL_NAME
    from controller.shell.places import SERVICE_STATE, state_folder

    if state is None and not os.environ.get("ROOTCLOCK_STATE"):
        # Who may not write there may be allowed to read there, or is told so by who reads.
        try:
            is_there = (SERVICE_STATE / JOURNAL_NAME).exists()
        except PermissionError:
            is_there = True
        if is_there:
            return SERVICE_STATE / JOURNAL_NAME
    return (state_folder(os.environ) if state is None else state) / JOURNAL_NAME


def zone_of(name: str | None) -> tuple[ZoneInfo, str]:
    """The zone in which times are told, and a sentence about it."""
    from controller.cli.log_moments import system_zone
    from controller.core.wall_clock import load_zone

    try:
        if name is not None:
            return load_zone(name), f"Times of {name}."
    except UnknownZoneError:
        name = None
    zone = system_zone() or load_zone("UTC")
    return zone, f"The journal does not know the site's time zone; times of {zone.key}."


def _query(arguments: argparse.Namespace, zone: ZoneInfo) -> Query:
    from controller.core.journal_entry import Kind
    from controller.shell.journal.read_log import Query

    now = time.time_ns() // 1_000_000
    since, until = (
        None if moment is None else moment.in_zone(zone, now=now, is_end=is_end)
        for moment, is_end in ((arguments.since, False), (arguments.until, True))
    )
    return Query(
        since=since,
        until=until,
        subject=arguments.load,
        kinds=frozenset(Kind(word) for word in arguments.only or ()),
        find=arguments.find,
    )


def _pages(path: Path, query: Query, last: int | None) -> Iterator[Sequence[Numbered]]:
    """All that is asked for, oldest first, a bounded number at a time."""
    from controller.shell.journal.read_log import ENTRIES_MAX, read_log

    if last is not None:
        yield from _newest(path, query, last)
        return
    query = query._replace(limit=ENTRIES_MAX)
    while True:
        lines = read_log(path, query).lines
        yield lines
        if len(lines) < ENTRIES_MAX:
            return
        query = query._replace(after=lines[-1].number)


def _newest(path: Path, query: Query, count: int) -> Iterator[Sequence[Numbered]]:
    from controller.shell.journal.read_log import read_log

    found: list[Sequence[Numbered]] = []
    while count > 0:
        query = query._replace(limit=count, is_newest_first=True)
        lines = read_log(path, query).lines
        if not lines:
            break
        found.append(lines[::-1])
        count -= len(lines)
        query = query._replace(after=lines[-1].number)
    yield from reversed(found)


def _export(pages: Iterator[Sequence[Numbered]], *, is_csv: bool) -> None:
    from controller.report.journal_export import JournalCsv, write_json_lines

    write: Callable[[Sequence[Numbered]], None] = (
        JournalCsv(sys.stdout).write
        if is_csv
        else lambda lines: write_json_lines(sys.stdout, lines)
    )
    for lines in pages:
        write(lines)


def _show(pages: Iterator[Sequence[Numbered]], zone: ZoneInfo) -> int:
    """Prints the pages; how many entries they had."""
    from controller.cli.output import is_coloured, text_width
    from controller.report.journal_text import JournalText

    text = JournalText(zone, width=text_width(), is_colour=is_coloured(sys.stdout))
    count = 0
    for lines in pages:
        count += len(lines)
        for line in text.lines([line.entry for line in lines]):
            print(line)
    if text.has_untrusted:
        print("\n? The controller's clock was not trusted at that time.")
    return count


def _nothing_words(arguments: argparse.Namespace, facts: Facts) -> str:
    """Why there is nothing to show, as far as that can be told."""
    from controller.core.plan_text.likely import likely_word
    from controller.core.units import shown

    if arguments.load is not None and arguments.load not in facts.subjects:
        likely = likely_word(arguments.load, facts.subjects)
        known = ", ".join(facts.subjects) or "nothing that has a name"
        meant = f" (did you mean {likely}?)" if likely else ""
        return f"The journal does not know {shown(arguments.load)}{meant}. It knows {known}."
    return "The journal has no such entries."
