"""A scenario as text: what was done, and what every line did, in the order of time."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from tests.board.lines import LINES

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.board.machine import Machine
    from tests.board.scenario import Scenario

# Of the changes between two notes, so many are shown from the beginning and from the end.
FIRST_SHOWN, LAST_SHOWN = 8, 4


class _Row(NamedTuple):
    at: float
    is_note: bool
    text: str


def timeline_text(scenario: Scenario) -> str:
    """Rows of seconds since the first power on: every note, and what the lines did between."""
    notes = [_Row(at, True, " ".join(text.split())) for at, text in scenario.notes]
    changes = [row for machine in scenario.machines for row in _changes(scenario, machine)]
    rows = sorted([*notes, *changes], key=lambda row: row.at)
    lines: list[str] = []
    for _, stretch in groupby(rows, key=lambda row: row.is_note):
        lines += _shown([*stretch], start=rows[0].at)
    return "\n".join(lines)


def _shown(rows: list[_Row], *, start: float) -> list[str]:
    texts = [f"  {row.at - start:9.3f} s  {row.text}" for row in rows]
    left_out = len(texts) - FIRST_SHOWN - LAST_SHOWN
    if rows[0].is_note or left_out <= 1:
        return texts
    return [*texts[:FIRST_SHOWN], f"{'':14}  … {left_out} more …", *texts[-LAST_SHOWN:]]


def _changes(scenario: Scenario, machine: Machine) -> Iterator[_Row]:
    relays = {relay.line: relay for relay in scenario.relays.values()}
    for line in LINES:
        for level in machine.lines.series(line)[1:]:
            how = "high" if level.is_high else "low"
            how += "" if level.is_driven else ", not driven"
            if line in relays:
                what = f"{relays[line].load} {'on' if relays[line].is_on(level) else 'off'}"
            else:
                what = scenario.inputs.get(line, "unused")
            yield _Row(level.at, False, f"    {what}  (line {line} {how})")
