"""What there is to say about a plan before it is taken: its findings, and two runs on paper."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import PlanRefusedError
from controller.core.plan_text.reading import read_plan
from controller.core.schedule import make_schedule
from controller.core.typical_air import NORTHERN_WARMEST_DAY, SOUTHERN_WARMEST_DAY
from controller.core.units import DATE_MAX, DATE_MIN, DAY_MS, day_number
from controller.paper.carrying_out import carry_out, period
from controller.paper.checking import checked
from controller.shell.plan_store.examination import Examination, LoadFigures, TrialRun

if TYPE_CHECKING:
    from controller.core.plan_text.reading import ReadPlan
    from controller.core.schedule import Schedule
    from controller.core.units import Instant


class Task(NamedTuple):
    """What is to be judged besides the text: its name, and how many local dates from now on."""

    source: str
    now: Instant
    days: int


def judge(data: bytes, task: Task) -> Examination:
    """What there is to say about a plan's bytes; a plan with errors is not tried on paper."""
    try:
        read = read_plan(data, task.source)
    except PlanRefusedError as error:
        return Examination(error.findings)
    schedule = make_schedule(read.plan)
    first = _first_date(schedule, task.now)
    found = Examination(tuple(checked(read, schedule, first)))
    if not found.is_fit:
        return found
    return found._replace(
        runs=(
            _trial(read, schedule, "next days", first, task.days),
            _trial(read, schedule, "hottest day", _hottest_date(read, first), 1),
        )
    )


def _first_date(schedule: Schedule, now: Instant) -> date:
    """The local date of now; a clock that is far out does not keep a plan from being examined."""
    # So far inside that the walk through the year, and both runs, stay within the dates.
    first, last = DATE_MIN + timedelta(days=2), date(DATE_MAX.year - 3, 1, 1)
    inside = min(max(now, day_number(first) * DAY_MS), day_number(last) * DAY_MS)
    return schedule.calendar.date_of(inside)


def _hottest_date(read: ReadPlan, first: date) -> date:
    """The next date on which a typical year is hottest at the site."""
    is_north = read.plan.site.latitude >= 0
    days = timedelta(days=(NORTHERN_WARMEST_DAY if is_north else SOUTHERN_WARMEST_DAY) - 1)
    this_year = date(first.year, 1, 1) + days
    return this_year if this_year >= first else date(first.year + 1, 1, 1) + days


def _trial(read: ReadPlan, schedule: Schedule, name: str, first: date, days: int) -> TrialRun:

    start, end = period(schedule, first, days)
    done = carry_out(read, schedule, start=start, end=end)
    loads = tuple(
        LoadFigures(
            name=load.name,
            kind=load.kind,
            starts=load.starts,
            on_ms=load.on_ms,
            longest_dry_gap_ms=gap.length_ms if gap else None,
            longest_dry_gap_from=gap.start if gap else None,
        )
        for load in done.account.loads.values()
        for gap in [load.longest_dry_gap]
    )
    return TrialRun(name, start, end, loads, tuple(done.findings), done.air_note)
