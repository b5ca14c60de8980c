"""The week at a glance, for a terminal."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from controller.core.phrases import counted, date_words, gap_words, length_words, turn_words
from controller.core.units import SECOND_MS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from controller.report.ink import Ink

_NO_KIND = "fan"  # a load that left the plan ran, whatever it was


def week_lines(week: Mapping[str, Any], ink: Ink) -> Iterator[str]:
    """Lines of the week that `journal_week.week_told` tells: by load, then by day."""
    for place, load in enumerate(week["loads"]):
        kind = load["kind"] or _NO_KIND
        if place:
            yield ""
        yield ink.heading(load["name"])
        for day in week["days"]:
            yield from _day_lines(day, day["loads"][place], kind, ink)
    alarms = sum(day["alarms"] for day in week["days"])
    yield ""
    yield f"{counted(alarms, 'alarm')}; times of {week['timezone']}."


def _day_lines(
    day: Mapping[str, Any], load: Mapping[str, Any], kind: str, ink: Ink
) -> Iterator[str]:
    when = date_words(date.fromisoformat(day["date"]))
    turns = f"{load['starts']:,} {turn_words(kind, load['starts'])}"
    on = f"{length_words(round(load['on_s'] * SECOND_MS))} on"
    gap_s = load["longest_gap_s"]
    gap = (
        ""
        if gap_s is None
        else f", longest {gap_words(kind)} {length_words(round(gap_s * SECOND_MS))}"
    )
    yield f"  {when:<10}  {turns:>14}, {on}{gap}".rstrip()
    for long in load["long_gaps"]:
        length = length_words(round(long["length_s"] * SECOND_MS))
        yield ink.level("warning", f"              longer than usual: {length}")
