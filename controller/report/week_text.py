"""The week at a glance, for a terminal."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from controller.core.phrases import counted, date_words, gap_words, length_words, turn_words
from controller.core.units import SECOND_MS, parse_rfc3339

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
            if _is_known(day, week["known_from_utc"]):
                yield from _day_lines(day, day["loads"][place], kind, ink)
            else:
                yield f"  {_date_of(day):<10}  {'not known':>14}: the journal begins later"
    alarms = sum(day["alarms"] for day in week["days"])
    yield ""
    yield f"{counted(alarms, 'alarm')}; times of {week['timezone']}."


def _day_lines(
    day: Mapping[str, Any], load: Mapping[str, Any], kind: str, ink: Ink
) -> Iterator[str]:
    turns = f"{load['starts']:,} {turn_words(kind, load['starts'])}"
    on = f"{length_words(round(load['on_s'] * SECOND_MS))} on"
    gap_s = load["longest_gap_s"]
    gap = (
        ""
        if gap_s is None
        else f", longest {gap_words(kind)} {length_words(round(gap_s * SECOND_MS))}"
    )
    yield f"  {_date_of(day):<10}  {turns:>14}, {on}{gap}".rstrip()
    for long in load["long_gaps"]:
        length = length_words(round(long["length_s"] * SECOND_MS))
        yield ink.level("warning", f"              longer than usual: {length}")


def _date_of(day: Mapping[str, Any]) -> str:
    return date_words(date.fromisoformat(day["date"]))


def _is_known(day: Mapping[str, Any], known_from_utc: str | None) -> bool:
    """Whether the journal tells anything of a day."""
    if known_from_utc is None:
        return False
    return parse_rfc3339(day["to_utc"]) > parse_rfc3339(known_from_utc)
