"""One plan carried out on paper: its account, and what a grower should know of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import BadInstantError
from controller.core.findings import worst_first
from controller.core.units import DATE_MAX, DAY_MS, day_number, utc_datetime
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.air import air_of
from controller.dry_run.run import run
from controller.dry_run.water.water_keeper import WaterKeeper, tells_of_water
from controller.paper.run_findings import findings
from controller.weather.fit import fit_findings

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from controller.core.findings import Finding
    from controller.core.plan_text.reading import ReadPlan
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.account import Account
    from controller.dry_run.faults import FaultFile
    from controller.dry_run.listeners import Listener
    from controller.dry_run.water.water_account import WaterAccount
    from controller.weather.weather import Weather


class CarriedOut(NamedTuple):
    """A run's account, its findings with their lines in the plan, whence the air came, and the
    account of its water where there is anything to tell of it."""

    account: Account
    findings: list[Finding]
    air_note: str
    water: WaterAccount | None = None


def period(schedule: Schedule, start: date | Instant, days: int) -> tuple[Instant, Instant]:
    """From local midnight to local midnight, or from an instant on for whole 24 h.

    Raises:
        BadInstantError: it would go on after the last date that can be computed.
    """
    if isinstance(start, int):
        begin, end = start, start + days * DAY_MS
    else:
        number = day_number(start)
        last = min(number + days, day_number(DATE_MAX) + 1)
        begin, end = schedule.calendar.midnight(number), schedule.calendar.midnight(last)
        if last < number + days:
            raise BadInstantError(f"the run would go on after {DATE_MAX}, the last date there is")
    if utc_datetime(end).date() > DATE_MAX:
        raise BadInstantError(f"the run would go on after {DATE_MAX}, the last date there is")
    return begin, end


def carry_out(
    read: ReadPlan,
    schedule: Schedule,
    *,
    start: Instant,
    end: Instant,
    weather: Weather | None = None,
    script: FaultFile | None = None,
    listeners: Sequence[Listener] = (),
) -> CarriedOut:
    """Runs a plan during [start, end) and tells the listeners too.

    Raises:
        BadFaultScriptError: the script does not fit the plan.
    """
    calendar = schedule.calendar
    air = air_of(
        read.plan.site, weather, first=calendar.date_of(start), last=calendar.date_of(end - 1)
    )
    keeper = AccountKeeper(schedule)
    water_keeper = None
    if tells_of_water(read.plan, weather):
        water_keeper = WaterKeeper(schedule, weather, start=start, end=end)
        listeners = [water_keeper, *listeners]
    run(
        schedule,
        start=start,
        end=end,
        air=air.series,
        script=script,
        listeners=[keeper, *listeners],
    )
    water = None if water_keeper is None else water_keeper.account
    told = findings(schedule, keeper.account, water)
    if weather is not None:
        told = worst_first([*told, *fit_findings(read.plan.site, weather)])
    found = [finding._replace(line=read.lines.of(finding.where)) for finding in told]
    is_told = water is not None and water.rests_on_air
    air_note = air.note if is_told else air.note_for(read.plan)
    return CarriedOut(keeper.account, found, air_note, water)
