"""Runs without a dry run: a plan's own changes, told to listeners by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.orders import Reason, Why
from controller.core.plan import Plan
from controller.core.schedule import Schedule, make_schedule
from controller.core.units import day_number, parse_date
from controller.dry_run.account_keeper import AccountKeeper

if TYPE_CHECKING:
    from controller.core.units import Instant
    from controller.dry_run.account import Account
    from controller.dry_run.listeners import Listener

# A made-up garden on the meridian whose clocks show UTC, so that a test's times are plain.
GARDEN: dict[str, object] = {"latitude": 47.1, "longitude": 0.0, "timezone": "Etc/UTC"}
PLANNED = Reason(Why.PLAN)


def load(cycle: str, *, kind: str = "pump", start: str = "00:00", **keys: object) -> dict[str, Any]:
    """A load's table with one span (its line is given by `schedule_of`)."""
    return {"kind": kind, "active": "low", "spans": [{"from": start, "cycle": cycle}], **keys}


def schedule_of(
    loads: dict[str, dict[str, Any]],
    *,
    site: dict[str, object] | None = None,
    **tables: dict[str, object],
) -> Schedule:
    """The schedule of a plan with these loads, in the garden unless told otherwise."""
    lined = {name: {"line": line, **table} for line, (name, table) in enumerate(loads.items())}
    plan = {"format": 1, "site": site or GARDEN, "loads": lined, **tables}
    return make_schedule(Plan.model_validate(plan))


def midnight(schedule: Schedule, day: str, days_later: int = 0) -> Instant:
    """When a local date begins, or one so many days later."""
    number = day_number(parse_date(day)) + days_later
    return schedule.calendar.midnight(number)


def play(schedule: Schedule, start: Instant, end: Instant, *listeners: Listener) -> None:
    """Tells listeners the plan of [start, end) as if nothing but the plan decided."""
    states = [(load.own.state_at(start), PLANNED) for load in schedule.loads]
    for listener in listeners:
        listener.begin(start, states)
    changes = sorted(
        (instant, place, is_on)
        for place, load in enumerate(schedule.loads)
        for instant, is_on in load.own.changes(start, end)
    )
    for instant, place, is_on in changes:
        for listener in listeners:
            listener.change(instant, place, PLANNED, is_on=is_on, is_wet=is_on)
    for listener in listeners:
        listener.finish(end)


def account_of(schedule: Schedule, start: Instant, end: Instant) -> Account:
    """The account of the plan of [start, end)."""
    keeper = AccountKeeper(schedule)
    play(schedule, start, end, keeper)
    return keeper.account


def account_of_days(schedule: Schedule, day: str, days: int) -> Account:
    """The account of the plan over whole local dates."""
    return account_of(schedule, midnight(schedule, day), midnight(schedule, day, days))
