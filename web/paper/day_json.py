"""A day on paper as JSON text, put together from the text of each load, which is kept with it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from controller.core.anchor import SunEvent
from controller.core.units import SECOND_MS, rfc3339
from controller.report.day import spans_on
from web.paper.group_run import Day, warmest_on
from web.paper.water_told import water_text

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from controller.core.schedule import LoadSchedule, Schedule
    from controller.core.timeline import Timeline
    from web.paper.day_run import DayRun
    from web.paper.days import ChosenDay
    from web.paper.group_run import LoadDay


def json_text(value: object) -> bytes:
    """A value as JSON, in ASCII."""
    return json.dumps(value, ensure_ascii=True, allow_nan=False, separators=(",", ":")).encode()


def day_text(
    schedule: Schedule,
    chosen: ChosenDay,
    done: DayRun,
    *,
    changed: Mapping[str, bool] | None = None,
    compared: Mapping[str, object] | None = None,
    is_running: bool = False,
    has_courses: bool = False,
) -> bytes:
    """The day as `web.paper.preview` describes it.

    Args:
        schedule: the plan's.
        chosen: which day it is, and why.
        done: what it came to.
        changed: by load; left out where None.
        compared: with the plan in force.
        is_running: it is that of the plan in force, which is not compared.
        has_courses: the courses of roots are to be told, but for the plan in force.
    """
    account = done.account
    head: dict[str, object] = {
        "part": chosen.part,
        "why": chosen.why,
        "date": chosen.day.isoformat(),
        "from_utc": rfc3339(account.start),
        "to_utc": rfc3339(account.end),
        "sun": sun_of(schedule, chosen.day),
        "air": done.air_note,
        "currency": account.currency,
        "warmest_c": warmest_on(schedule.plan.site, Day(chosen.day, account.start, account.end)),
        "findings": [finding.as_json() for finding in done.findings],
    }
    if not is_running:
        head["compared"] = compared
    loads = []
    for load in schedule.loads:
        text = _load_text(schedule, load, done.loads[load.name], chosen.day)
        if changed is not None:
            text = text[:-1] + (b',"changed":true}' if changed[load.name] else b',"changed":false}')
        loads.append(text)
    water = water_text(done.water, has_courses=has_courses and not is_running)
    return b'%b,"water":%b,"loads":[%b]}' % (json_text(head)[:-1], water, b",".join(loads))


def _load_text(schedule: Schedule, load: LoadSchedule, done: LoadDay, day: date) -> bytes:
    if done.told is None:
        done.told = json_text(_load_json(schedule, load, done, day))
    return done.told


def _load_json(
    schedule: Schedule, load: LoadSchedule, done: LoadDay, day: date
) -> dict[str, object]:
    account = done.account
    gap, longest = account.longest_dry_gap, account.longest_on
    variants = zip(load.variants, load.variant_timelines, strict=True)
    return {
        "name": load.name,
        "kind": load.kind,
        "on": [[since / SECOND_MS, until / SECOND_MS] for since, until in done.on],
        "spans": spans_of(schedule, load.own, day),
        "variants": [
            {"name": variant.name, "spans": spans_of(schedule, timeline, day)}
            for variant, timeline in variants
        ],
        "on_s": account.on_ms / SECOND_MS,
        "starts": account.starts,
        "longest_dry_gap_s": gap.length_ms / SECOND_MS if gap else 0.0,
        "longest_dry_gap_from_utc": rfc3339(gap.start) if gap else None,
        "longest_on_s": longest.length_ms / SECOND_MS if longest else 0.0,
        "energy_kwh": account.energy_kwh,
        "cost": account.cost,
    }


def sun_of(schedule: Schedule, day: date) -> dict[str, str | None]:
    """The instants of the sun's events on a date; None where there is none."""
    times = {event.value: schedule.calendar.sun_event_on(event, day) for event in SunEvent}
    return {name: rfc3339(time) if isinstance(time, int) else None for name, time in times.items()}


def spans_of(schedule: Schedule, timeline: Timeline, day: date) -> list[dict[str, Any]]:
    """The spans of a list that start on a date, as `rootclock day --json` lists them, and which
    of the list each is."""
    return [
        {
            "start_utc": rfc3339(one.start),
            "from": str(one.span.anchor),
            "cycle": str(one.span.cycle_),
            "place": one.place,
        }
        for one in spans_on(schedule, timeline, day)
    ]
