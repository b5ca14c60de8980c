"""Which days a plan is tried on: the next one, the hottest, and those unlike others."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from controller.core.typical_air import NORTHERN_WARMEST_DAY, SOUTHERN_WARMEST_DAY
from controller.core.units import DAY_MS, day_number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.schedule import Schedule

_HOTTEST = "the hottest day of a typical year"
_YEAR_DAYS = 365
_ODD_MAX = 6


class ChosenDay(NamedTuple):
    """A local date, the first of the parts `next`, `hottest` and `odd` that it is looked at
    for, and why in words (none for the next)."""

    part: str
    why: str
    day: date


def chosen_days(schedule: Schedule, first: date, parts: Sequence[str]) -> list[ChosenDay]:
    """The days of the parts, each date once, within the year that begins at `first`."""
    found = []
    if "next" in parts:
        found.append(ChosenDay("next", "", first))
    if "hottest" in parts:
        found.append(ChosenDay("hottest", _HOTTEST, _hottest(schedule, first)))
    if "odd" in parts:
        found += _odd_days(schedule, first)
    once: dict[date, ChosenDay] = {}
    for one in found:
        before = once.get(one.day)
        whys = [one.why] if before is None else [before.why, one.why]
        part = one.part if before is None else before.part
        once[one.day] = ChosenDay(part, " and ".join(filter(None, whys)), one.day)
    return list(once.values())


def _hottest(schedule: Schedule, first: date) -> date:
    is_north = schedule.plan.site.latitude >= 0
    days = timedelta(days=(NORTHERN_WARMEST_DAY if is_north else SOUTHERN_WARMEST_DAY) - 1)
    this_year = date(first.year, 1, 1) + days
    return this_year if this_year >= first else date(first.year + 1, 1, 1) + days


def _odd_days(schedule: Schedule, first: date) -> list[ChosenDay]:
    """The first of them: on which clocks are put forward or back, the longest, the shortest."""
    odd = [*_clock_changes(schedule, first), *_solstices(schedule, first)]
    return sorted(odd, key=lambda one: one.day)[:_ODD_MAX]


def _clock_changes(schedule: Schedule, first: date) -> list[ChosenDay]:
    begin = day_number(first)
    midnights = [schedule.calendar.midnight(begin + n) for n in range(_YEAR_DAYS + 1)]
    lengths_ms = [end - start for start, end in pairwise(midnights)]
    return [
        ChosenDay(
            "odd",
            "the clocks go forward" if length_ms < DAY_MS else "the clocks go back",
            first + timedelta(days=n),
        )
        for n, length_ms in enumerate(lengths_ms)
        if length_ms != DAY_MS
    ]


def _solstices(schedule: Schedule, first: date) -> list[ChosenDay]:
    is_north = schedule.plan.site.latitude >= 0
    found = []
    for month, is_longest in ((6, is_north), (12, not is_north)):
        this_year = date(first.year, month, 21)
        day = this_year if this_year >= first else date(first.year + 1, month, 21)
        which = "longest" if is_longest else "shortest"
        found.append(ChosenDay("odd", f"the {which} day of the year", day))
    return found
