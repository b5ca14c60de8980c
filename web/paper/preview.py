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
        loads   [{name, kind, on, changed, spans, variants, on_s, starts, longest_dry_gap_s,
                longest_dry_gap_from_utc, longest_on_s, energy_kwh}]; `on` is a list of
                [from, to] in seconds after from_utc; `changed` whether that differs from the
                plan in force on the same day (true for a load that it has not; left out where
                no plan is in force); `spans` the spans that start on the date, {start_utc,
                from, cycle, place}, place as in the plan's list; `variants` [{name, spans}],
                the spans that would start on it while the variant holds
        findings    what the run broke or shows
        compared    by load {first, second, difference, words} against the plan in force on the
                same day: first is the one in force; null without one
    running     {days} of the plan in force, the same way, without `changed` and `compared`;
                null without one
"""

from __future__ import annotations

from collections import OrderedDict
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.errors import PlanRefusedError
from controller.core.units import SECOND_MS, rfc3339
from controller.paper.carrying_out import period
from controller.report.comparison import comparison_json
from web.paper.bands import spans_of, sun_of
from web.paper.checking import first_date, read, schedule_of, told, year_findings
from web.paper.day_run import day_run
from web.paper.days import ChosenDay, chosen_days

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from controller.core.plan_text.reading import ReadPlan
    from controller.core.schedule import Schedule
    from controller.dry_run.account import Account

_KEPT_MAX = 16  # days of the plan in force that need not be carried out again


class _Day(NamedTuple):
    """A day on paper, as JSON without its part, and the account to compare by."""

    told: dict[str, Any]
    account: Account


_kept: OrderedDict[tuple[str, date], _Day] = OrderedDict()


def preview(message: Mapping[str, Any]) -> dict[str, Any]:
    """What this file says above.

    Args:
        message: `text`; `running`, the text in force, or None; `now`, an instant; `parts`.
    """
    parts: list[str] = message["parts"]
    try:
        found = read(message["text"])
    except PlanRefusedError as error:
        return {**told(error.findings, message["text"]), "days": [], "running": None}
    findings = year_findings(found, message["now"]) if "year" in parts else found.findings
    schedule = schedule_of(found)
    chosen = chosen_days(schedule, first_date(schedule, message["now"]), parts)
    running = _running(message["running"], [one.day for one in chosen])
    days = []
    for one in chosen:
        done = _day(found, schedule, one.day)
        other = None if running is None else running[one.day]
        days.append({**_headed(one, done), **_beside(done, other)})
    return {
        **told(findings, message["text"]),
        "days": days,
        "running": _told_running(chosen, running),
    }


def _told_running(
    chosen: list[ChosenDay], running: dict[date, _Day] | None
) -> dict[str, Any] | None:
    if running is None:
        return None
    return {"days": [_headed(one, running[one.day]) for one in chosen]}


def _headed(one: ChosenDay, done: _Day) -> dict[str, Any]:
    return {"part": one.part, "why": one.why, **done.told}


def _beside(done: _Day, other: _Day | None) -> dict[str, Any]:
    """What differs from the plan in force: the loads, each marked, and the figures."""
    if other is None:
        return {"compared": None}
    as_it_was = {load["name"]: load["on"] for load in other.told["loads"]}
    loads = [
        {**load, "changed": load["on"] != as_it_was.get(load["name"])}
        for load in done.told["loads"]
    ]
    return {"loads": loads, "compared": comparison_json(other.account, done.account)}


def _day(found: ReadPlan, schedule: Schedule, day: date) -> _Day:
    start, end = period(schedule, day, 1)
    done = day_run(found, schedule, day, start=start, end=end)
    loads = []
    for place, load in enumerate(schedule.loads):
        account = done.account.loads[load.name]
        gap, longest = account.longest_dry_gap, account.longest_on
        loads.append(
            {
                "name": load.name,
                "kind": load.kind,
                "on": done.bands[place],
                "spans": spans_of(schedule, load.own, day),
                "variants": [
                    {"name": variant.name, "spans": spans_of(schedule, timeline, day)}
                    for variant, timeline in zip(load.variants, load.variant_timelines, strict=True)
                ],
                "on_s": account.on_ms / SECOND_MS,
                "starts": account.starts,
                "longest_dry_gap_s": gap.length_ms / SECOND_MS if gap else 0.0,
                "longest_dry_gap_from_utc": rfc3339(gap.start) if gap else None,
                "longest_on_s": longest.length_ms / SECOND_MS if longest else 0.0,
                "energy_kwh": account.energy_kwh,
            }
        )
    told_day = {
        "date": day.isoformat(),
        "from_utc": rfc3339(start),
        "to_utc": rfc3339(end),
        "sun": sun_of(schedule, day),
        "air": done.air_note,
        "loads": loads,
        "findings": [finding.as_json() for finding in done.findings],
    }
    return _Day(told_day, done.account)


def _running(text: str | None, days: list[date]) -> dict[date, _Day] | None:
    """The same days by the plan in force, which is carried out once a date."""
    if text is None:
        return None
    missing = [day for day in days if (text, day) not in _kept]
    if missing:
        try:
            found = read(text)
        except PlanRefusedError:  # of an older version: nothing to compare with
            return None
        schedule = schedule_of(found)
        for day in missing:
            _kept[text, day] = _day(found, schedule, day)
    done = {day: _kept[text, day] for day in days}
    while len(_kept) > _KEPT_MAX:
        _kept.popitem(last=False)
    return done
