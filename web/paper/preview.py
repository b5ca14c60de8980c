"""What a plan would do, fast enough to be drawn at every edit.

The answer, as JSON:

    is_fit, findings, document    as `plan/check`; of the year only with part `year`
    days        one each for the parts `next` (the date of now) and `hottest` (the next date on
                which a typical year is hottest here), carried out on paper:
        part, date, from_utc, to_utc
        air     a sentence: what air was assumed
        sun     {dawn, sunrise, sunset, dusk}: instants or null
        loads   [{name, kind, on, spans, on_s, starts, longest_dry_gap_s,
                longest_dry_gap_from_utc, longest_on_s, energy_kwh}]; `on` is a list of
                [from, to] in seconds after from_utc; `spans` the spans that start on the date,
                {start_utc, from, cycle, place}, place as in the plan's list
        findings    what the run broke or shows
        compared    by load {first, second, difference, words} against the plan in force on the
                same day: first is the one in force; null without one
    odd_days    with part `odd`: [{date, why, from_utc, to_utc, sun, loads: [{name, kind, on}]}],
                what the plan alone has on; guards and variants left out
    running     {days} of the plan in force, the same way, without `compared`; null without one
"""

from __future__ import annotations

from collections import OrderedDict
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.cli.carrying_out import period
from controller.core.errors import PlanRefusedError
from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, SECOND_MS, day_number, rfc3339
from controller.report.comparison import comparison_json
from controller.weather.typical_day import NORTHERN_WARMEST_DAY, SOUTHERN_WARMEST_DAY
from web.paper.bands import planned_bands, spans_of, sun_of
from web.paper.checking import first_date, read, told, year_findings
from web.paper.day_run import day_run

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.plan_text.reading import ReadPlan
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.account import Account

_KEPT_MAX = 8  # days of the plan in force that need not be carried out again
_YEAR = timedelta(days=365)


class _Day(NamedTuple):
    """A day on paper, as JSON, and the account to compare by."""

    told: dict[str, Any]
    account: Account


_kept: OrderedDict[tuple[str, str, date], _Day] = OrderedDict()


def preview(message: Mapping[str, Any]) -> dict[str, Any]:
    """What this file says above.

    Args:
        message: `text`; `running`, the text in force, or None; `now`, an instant; `parts`.
    """
    parts: list[str] = message["parts"]
    try:
        found = read(message["text"])
    except PlanRefusedError as error:
        refused = told(error.findings, message["text"])
        return {**refused, "days": [], "odd_days": [], "running": None}
    findings = year_findings(found, message["now"]) if "year" in parts else found.findings
    schedule = make_schedule(found.plan)
    dates = _dates(schedule, message["now"], parts)
    days = {part: _day(found, schedule, part, day) for part, day in dates.items()}
    running = _running(message["running"], dates)
    for part, one in days.items():
        other = running.get(part)
        one.told["compared"] = other and comparison_json(other.account, one.account)
    return {
        **told(findings, message["text"]),
        "days": [one.told for one in days.values()],
        "odd_days": _odd_days(schedule, message["now"]) if "odd" in parts else [],
        "running": {"days": [one.told for one in running.values()]} if running else None,
    }


def _dates(schedule: Schedule, now: Instant, parts: list[str]) -> dict[str, date]:
    first = first_date(schedule, now)
    dates = {"next": first, "hottest": _hottest(schedule, first)}
    return {part: day for part, day in dates.items() if part in parts}


def _hottest(schedule: Schedule, first: date) -> date:
    is_north = schedule.plan.site.latitude >= 0
    days = timedelta(days=(NORTHERN_WARMEST_DAY if is_north else SOUTHERN_WARMEST_DAY) - 1)
    this_year = date(first.year, 1, 1) + days
    return this_year if this_year >= first else date(first.year + 1, 1, 1) + days


def _day(found: ReadPlan, schedule: Schedule, part: str, day: date) -> _Day:
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
                "spans": spans_of(schedule, load, day),
                "on_s": account.on_ms / SECOND_MS,
                "starts": account.starts,
                "longest_dry_gap_s": gap.length_ms / SECOND_MS if gap else 0.0,
                "longest_dry_gap_from_utc": rfc3339(gap.start) if gap else None,
                "longest_on_s": longest.length_ms / SECOND_MS if longest else 0.0,
                "energy_kwh": account.energy_kwh,
            }
        )
    told_day = {
        "part": part,
        **_frame(schedule, day),
        "air": done.air_note,
        "loads": loads,
        "findings": [finding.as_json() for finding in done.findings],
    }
    return _Day(told_day, done.account)


def _frame(schedule: Schedule, day: date) -> dict[str, Any]:
    start, end = period(schedule, day, 1)
    return {
        "date": day.isoformat(),
        "from_utc": rfc3339(start),
        "to_utc": rfc3339(end),
        "sun": sun_of(schedule, day),
    }


def _running(text: str | None, dates: Mapping[str, date]) -> dict[str, _Day]:
    """The same days by the plan in force, which is carried out once a date."""
    if text is None:
        return {}
    missing = [part for part, day in dates.items() if (text, part, day) not in _kept]
    if missing:
        try:
            found = read(text)
        except PlanRefusedError:  # of an older version: nothing to compare with
            return {}
        schedule = make_schedule(found.plan)
        for part in missing:
            _kept[text, part, dates[part]] = _day(found, schedule, part, dates[part])
    days = {part: _kept[text, part, day] for part, day in dates.items()}
    while len(_kept) > _KEPT_MAX:
        _kept.popitem(last=False)
    return days


def _odd_days(schedule: Schedule, now: Instant) -> list[dict[str, Any]]:
    """Days of the coming year that are unlike others: the shortest, the longest, and those
    on which the clocks are put forward or back."""
    first = first_date(schedule, now)
    odd: dict[date, str] = {}
    for number in range(day_number(first), day_number(first + _YEAR)):
        start, end = (schedule.calendar.midnight(one) for one in (number, number + 1))
        if end - start != DAY_MS:
            day = first + timedelta(days=number - day_number(first))
            odd[day] = "the clocks go forward" if end - start < DAY_MS else "the clocks go back"
    is_north = schedule.plan.site.latitude >= 0
    for month, why in ((6, "longest"), (12, "shortest")):
        solstice = date(first.year, month, 21)
        day = solstice if solstice >= first else date(first.year + 1, month, 21)
        told_why = why if is_north else {"longest": "shortest", "shortest": "longest"}[why]
        odd.setdefault(day, f"the {told_why} day of the year")
    return [{"why": odd[day], **_planned(schedule, day)} for day in sorted(odd)[:6]]


def _planned(schedule: Schedule, day: date) -> dict[str, Any]:
    start, end = period(schedule, day, 1)
    loads = [
        {"name": load.name, "kind": load.kind, "on": planned_bands(load.own, start, end)}
        for load in schedule.loads
    ]
    return {**_frame(schedule, day), "loads": loads}
