"""One day of a plan carried out on paper, as `controller.paper.carrying_out` does it, for those
who do so at every edit: loads that do not meet are carried out apart and remembered, so that an
edit costs the loads that it concerns."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, NamedTuple

from controller.core.schedule import MICROWATTS_OF_A_WATT
from controller.dry_run.account import Account
from controller.paper.run_findings import findings
from web.paper.group_run import Day, GroupRun, Groups, LoadDay, air_on
from web.paper.meetings import joined, meetings
from web.paper.water_day import water_day

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.findings import Finding
    from controller.core.plan_text.reading import ReadPlan
    from controller.core.schedule import Schedule
    from controller.dry_run.account import Remark
    from web.paper.water_day import WaterDay


class DayRun(NamedTuple):
    """What a day came to; `loads` by name, in the plan's order, `water` where there is any to tell
    of."""

    account: Account
    findings: list[Finding]
    loads: dict[str, LoadDay]
    air_note: str
    water: WaterDay | None


def day_run(
    found: ReadPlan, schedule: Schedule, groups: Groups, day: Day, *, is_drawn: bool = False
) -> DayRun:
    """The day of a plan.

    Args:
        found: the plan.
        schedule: the plan's.
        groups: of that schedule.
        day: which.
        is_drawn: whether the courses of roots are wanted.
    """
    runs = _runs(schedule, groups, day)
    by_name = {name: load for run in runs for name, load in run.loads.items()}
    loads = {load.name: by_name[load.name] for load in schedule.loads}
    microwatts_max, at_ms = _most_at_once(schedule, loads)
    account = Account(
        start=day.start,
        end=day.end,
        loads={name: load.account for name, load in loads.items()},
        watts_max=microwatts_max / MICROWATTS_OF_A_WATT,
        watts_max_at=day.start + at_ms,
        remarks=_remarks(schedule, runs),
        remarks_left_out=sum(run.remarks_left_out for run in runs),
        currency=schedule.plan.currency,
    )
    water = water_day(schedule, day, loads, is_drawn=is_drawn)
    lined = [
        finding._replace(line=found.lines.of(finding.where))
        for finding in findings(schedule, account, None if water is None else water.account)
    ]
    air = air_on(schedule.plan.site, day.date)
    is_told = water is not None and water.account.rests_on_air
    air_note = air.note if is_told else air.note_for(schedule.plan)
    return DayRun(account, lined, loads, air_note, water)


def _runs(schedule: Schedule, groups: Groups, day: Day) -> list[GroupRun]:
    """The runs of groups that do not meet; at the worst of one group that has all loads."""
    everybody = tuple(range(len(schedule.loads)))
    places = _sharing_readings(schedule)
    while True:
        runs = [groups.run(day, group) for group in places]
        met = meetings(schedule, day.start, runs)
        is_too_much = len(runs) > 1 and any(run.remarks_left_out for run in runs)
        if not met and not is_too_much:
            return runs
        places = joined(places, met)
        if is_too_much or 2 * max(map(len, places)) > len(everybody):
            places = [everybody]


def _sharing_readings(schedule: Schedule) -> list[tuple[int, ...]]:
    """Each load by itself, but for those whose flow one meter measures, and for those on demand
    beside whatever has the air read at other times.

    Sensors are read all at once, when a meter's pump switches or the air passes a variant's
    threshold; a load on demand takes its pace from what they say then.
    """
    paced = {
        place
        for place, load in enumerate(schedule.loads)
        if any(drinker.sensors for drinker in load.drinkers)
    }
    reading = {
        place for place, load in enumerate(schedule.loads) if load.flow is not None or load.variants
    }
    by_reading: dict[str, list[int]] = {}
    for place, load in enumerate(schedule.loads):
        if paced and reading and place in paced | reading:
            key = "air"
        else:
            key = f"load {load.name}" if load.flow is None else f"meter {load.flow}"
        by_reading.setdefault(key, []).append(place)
    return [tuple(places) for places in by_reading.values()]


def _remarks(schedule: Schedule, runs: Sequence[GroupRun]) -> tuple[Remark, ...]:
    """All of them in time order, those at one instant in the plan's order; what every group
    heard of alike, such as a silent sensor, is told once."""
    if len(runs) == 1:
        return runs[0].remarks
    remarks = dict.fromkeys(remark for run in runs for remark in run.remarks)
    places = schedule.places
    return tuple(sorted(remarks, key=lambda one: (one.instant, places.get(one.notice.subject, -1))))


def _most_at_once(schedule: Schedule, loads: dict[str, LoadDay]) -> tuple[int, int]:
    """The most microwatts drawn at once for any length of time, and how long after the day's
    start that first was."""
    changes: defaultdict[int, int] = defaultdict(int)
    for load in schedule.loads:
        drawn = load.microwatts
        if drawn:
            for since, until in loads[load.name].on:
                changes[since] += drawn
                changes[until] -= drawn
    level = most = at_ms = 0
    for instant, change in sorted(changes.items()):
        level += change
        if level > most:
            most, at_ms = level, instant
    return most, at_ms
