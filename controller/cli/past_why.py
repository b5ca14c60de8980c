"""`rootclock why LOAD --at WHEN`: what a load did at a time gone by, and why."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from controller.cli.log_command import journal_path, zone_of
from controller.cli.output import is_coloured, text_width
from controller.core.journal_entry import Kind
from controller.core.messages.params import likely_of, listed
from controller.core.units import shown
from controller.report.journal_text import JournalText
from controller.report.phrases import length_words
from controller.shell.clock.today import now
from controller.shell.journal.figures import state_at
from controller.shell.journal.read_log import Query, read_facts, read_log

if TYPE_CHECKING:
    import argparse


def tell_past(arguments: argparse.Namespace) -> int:
    """Prints the load's last switching before that time, what was noted between, and its next
    switching; returns the exit code.

    Raises:
        UnusableFileError: there is no journal, or it cannot be read.
    """
    path = journal_path(arguments.state)
    facts = read_facts(path)
    if arguments.load is None:
        print("rootclock why: say which LOAD", file=sys.stderr)
        return 2
    zone, zone_words = zone_of(facts.zone)
    at = arguments.at.in_zone(zone, now=now(), is_end=False)
    then = state_at(path, arguments.load, at)
    if then.switching is None:
        known = sorted(facts.subjects)
        if arguments.load in known:
            print(f"rootclock: the journal begins after that time. {zone_words}", file=sys.stderr)
            return 1
        there = f"; it knows {listed(known)}" if known else ""
        print(
            f"rootclock: the journal knows nothing of {shown(arguments.load)} before then"
            f"{likely_of(arguments.load, known)}{there}",
            file=sys.stderr,
        )
        return 1
    after = read_log(
        path,
        Query(since=at, subject=arguments.load, kinds=frozenset({Kind.SWITCHED}), limit=1),
    )
    entry = then.switching.entry
    print(f"{arguments.load} was {entry.what}, for {length_words(at - entry.at)} by then:\n")
    text = JournalText(zone, width=text_width(), is_colour=is_coloured(sys.stdout))
    lines = [then.switching, *then.notices, *after.lines]
    for line in text.lines([one.entry for one in lines]):
        print(line)
    print(f"\n{zone_words}")
    return 0
