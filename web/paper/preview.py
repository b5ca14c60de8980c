"""What a plan would do, fast enough to be drawn at every edit.

The answer, as JSON:

    is_fit, findings, document    as `plan/check`; of the year only with part `year`
    days        one for each date that the parts name, carried out on paper, guards, variants
                and all; a date that two parts name is told once, for the first of them:
        part    `next` (the date of now), `hottest` (the next date on which a typical year is
                hottest here) or `odd` (clocks go forward or back, longest or shortest day)
        why     what kind of day it is, in words; empty for the next
        date, from_utc, to_utc
        sun     {dawn, sunrise, sunset, dusk}: instants or null
        air     a sentence: what air was assumed
        currency    of the loads' costs; empty where the plan tells of no price
        warmest_c   the warmest of it, °C; null where nothing is known
        loads   [{name, kind, on, changed, spans, variants, on_s, starts, longest_dry_gap_s,
                longest_dry_gap_from_utc, longest_on_s, energy_kwh, cost}]; `on` is a list of
                [from, to] in seconds after from_utc; `changed` whether that differs from the
                plan in force on the same day (true for a load that it has not; left out where
                no plan is in force); `spans` the spans that start on the date, {start_utc,
                from, cycle, place}, place as in the plan's list; `variants` [{name, spans}],
                the spans that would start on it while the variant holds
        water   what it does to roots and reservoirs: {et0_mm, stands, lifts, reservoirs,
                assumptions} as `rootclock dry-run --json` has them; each lift with its sentence,
                `words`; each reservoir with `top_up_after_days` and `dry_after_days`, ranges: how
                long a full one lasts on days like this, null where it is for ever; on the next
                and the hottest day `courses`, by stand a list of [seconds after from_utc, low,
                likely, high]: what is left for its roots, in thousandths, or null where nothing
                grows. null where the plan tells of no water
        findings    what the run broke or shows
        compared    by load {first, second, difference, words} against the plan in force on the
                same day: first is the one in force; null without one
    running     {days} of the plan in force, the same way, without `changed` and `compared`;
                null without one

Several workers share the days; see `web.paper.shares`.
"""

from __future__ import annotations

from collections import OrderedDict
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.paper.carrying_out import period
from controller.report.comparison import comparison_json
from web.paper.checking import first_date, known_reading, schedule_of, told, year_findings
from web.paper.day_json import day_text, json_text
from web.paper.day_run import DayRun, day_run
from web.paper.days import ChosenDay, chosen_days
from web.paper.group_run import Day, Groups
from web.paper.shares import Share

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from controller.core.findings import Finding
    from controller.core.plan_text.reading import ReadPlan
    from controller.core.schedule import Schedule

_DRAWN = ("next", "hottest")  # parts whose days are looked at closely
_KEPT_MAX = 16  # days of the plan in force that need not be put together again


class _Running(NamedTuple):
    """A day of the plan in force, and what is told of it."""

    done: DayRun
    told: bytes


_kept: OrderedDict[tuple[str, ChosenDay], _Running] = OrderedDict()


def preview(message: Mapping[str, Any]) -> Share:
    """One worker's share of what this file says above.

    Args:
        message: `text`; `running`, the text in force, or None; `now`, an instant; `parts`;
            `share`, which of how many: [0, 2] has every second day.
    """
    parts: list[str] = message["parts"]
    reading = known_reading(message["text"])
    found = reading.plan
    if found is None:
        return Share(_head(told(reading.document, reading.findings)), [], None)
    which, of_many = message["share"]
    schedule = schedule_of(found)
    chosen = chosen_days(schedule, first_date(schedule, message["now"]), parts)[which::of_many]
    running = _running(message["running"], chosen)
    others = [None] * len(chosen) if running is None else [one.done for one in running]
    groups = Groups(schedule)
    days = [
        _day(found, schedule, groups, one, other) for one, other in zip(chosen, others, strict=True)
    ]
    head = b""
    if which == 0:
        findings: Sequence[Finding] = found.findings
        if "year" in parts:
            findings = year_findings(found, schedule, message["now"])
        head = _head(told(reading.document, findings))
    return Share(head, days, None if running is None else [one.told for one in running])


def _head(members: Mapping[str, object]) -> bytes:
    return json_text(members)[1:-1]


def _day(
    found: ReadPlan, schedule: Schedule, groups: Groups, one: ChosenDay, other: DayRun | None
) -> bytes:
    is_drawn = one.part in _DRAWN
    done = day_run(found, schedule, groups, _bounds(schedule, one.day), is_drawn=is_drawn)
    if other is None:
        return day_text(schedule, one, done, has_courses=is_drawn)
    changed = {
        name: name not in other.loads or load.on != other.loads[name].on
        for name, load in done.loads.items()
    }
    compared = comparison_json(other.account, done.account)
    return day_text(schedule, one, done, changed=changed, compared=compared, has_courses=is_drawn)


def _bounds(schedule: Schedule, day: date) -> Day:
    return Day(day, *period(schedule, day, 1))


def _running(text: str | None, chosen: list[ChosenDay]) -> list[_Running] | None:
    """The same days by the plan in force, which are put together once."""
    if text is None:
        return None
    missing = [one for one in chosen if (text, one) not in _kept]
    if missing:
        found = known_reading(text).plan
        if found is None:  # of an older version: nothing to compare with
            return None
        schedule = schedule_of(found)
        groups = Groups(schedule)
        for one in missing:
            day = _bounds(schedule, one.day)
            done = day_run(found, schedule, groups, day, is_drawn=one.part in _DRAWN)
            told = day_text(schedule, one, done, is_running=True)
            _kept[text, one] = _Running(done, told)
    days = [_kept[text, one] for one in chosen]
    while len(_kept) > _KEPT_MAX:
        _kept.popitem(last=False)
    return days
