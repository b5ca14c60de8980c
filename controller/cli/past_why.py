"""`rootclock why LOAD --at WHEN`: what a load did at a time gone by, and why."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from controller.cli.log_command import journal_path, zone_of
from controller.cli.output import is_coloured, text_width
from controller.core.messages.params import likely_of, listed
from controller.core.units import shown
from controller.report.journal_text import JournalText
from controller.report.past_text import past_sentence
from controller.shell.clock.today import now
from controller.shell.journal.past import read_past
from controller.shell.journal.read_log import read_facts

if TYPE_CHECKING:
    import argparse
    from collections.abc import Collection


def tell_past(arguments: argparse.Namespace) -> int:
    """Prints the load's last switching before that time, what was noted between, what stood
    then, and its next switching; returns the exit code.

    Raises:
        UnusableFileError: there is no journal, or it cannot be read.
    """
    path = journal_path(arguments.state)
    facts = read_facts(path)
    load = arguments.load
    if load is None:
        print("rootclock why: say which LOAD", file=sys.stderr)
        return 2
    zone, zone_words = zone_of(facts.zone)
    at = arguments.at.in_zone(zone, now=now(), is_end=False)
    past = read_past(path, load, at)
    if past.switching is None:
        print(f"rootclock: {_unknown_words(load, facts.subjects, zone_words)}", file=sys.stderr)
        return 1
    entry, away = past.switching.entry, past.away
    sentence = past_sentence(
        load,
        what=entry.what,
        since=entry.at,
        at=at,
        away_since=None if away is None else away.since,
        is_away_certain=away is not None and away.is_certain,
    )
    text = JournalText(zone, width=text_width(), is_colour=is_coloured(sys.stdout))
    following = () if past.following is None else (past.following,)
    lines = sorted({past.switching, *past.stood, *past.notices, *following})
    print(f"{sentence}:\n")
    for line in text.lines([one.entry for one in lines]):
        print(line)
    print(f"\n{zone_words}")
    return 0


def _unknown_words(load: str, subjects: Collection[str], zone_words: str) -> str:
    known = sorted(subjects)
    if load in known:
        return f"the journal begins after that time. {zone_words}"
    there = f"; it knows {listed(known)}" if known else ""
    return f"the journal knows nothing of {shown(load)} before then{likely_of(load, known)}{there}"
