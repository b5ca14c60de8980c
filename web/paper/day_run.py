"""One day of a plan carried out on paper, as `controller.paper.carrying_out` does it, for those
who do so at every edit: the air of a site and date is made once."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.air import Air, air_of
from controller.dry_run.run import run
from controller.report.run_findings import findings
from web.paper.bands import BandKeeper, Intervals

if TYPE_CHECKING:
    from datetime import date

    from controller.core.findings import Finding
    from controller.core.plan import Site
    from controller.core.plan_text.reading import ReadPlan
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.account import Account

_AIRS_MAX = 8


class DayRun(NamedTuple):
    """What a day came to; `bands` by load, in the plan's order."""

    account: Account
    findings: list[Finding]
    bands: list[Intervals]
    air_note: str


@lru_cache(maxsize=_AIRS_MAX)
def _air(site: Site, day: date) -> Air:
    """A year of hours is made for it, which takes longer than all the rest of a day's run."""
    return air_of(site, None, first=day, last=day)


def day_run(
    found: ReadPlan, schedule: Schedule, day: date, *, start: Instant, end: Instant
) -> DayRun:
    """The local date `day`, which lasts during [start, end)."""
    air = _air(found.plan.site, day)
    keeper, bands = AccountKeeper(schedule), BandKeeper(schedule)
    run(
        schedule,
        start=start,
        end=end,
        air=air.series,
        script=None,
        listeners=(keeper, bands),
    )
    lined = [
        finding._replace(line=found.lines.of(finding.where))
        for finding in findings(schedule, keeper.account)
    ]
    return DayRun(keeper.account, lined, bands.on, air.note)
