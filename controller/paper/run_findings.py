"""What a grower should know of a run: broken limits, then warnings, then notes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.findings import Finding, worst_first
from controller.core.phrases import counted
from controller.paper.load_warnings import load_warnings
from controller.paper.run_alarms import alarms, outages, told_notices
from controller.paper.run_limits import broken_limits
from controller.paper.run_water import water_findings

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.schedule import Schedule
    from controller.dry_run.account import Account
    from controller.dry_run.water.water_account import WaterAccount


def findings(
    schedule: Schedule, account: Account, water: WaterAccount | None = None
) -> list[Finding]:
    """All findings of a run, worst first; `water` where there is an account of it."""
    found = broken_limits(schedule, account)
    found += outages(schedule, account)
    found += alarms(schedule, account)
    found += load_warnings(schedule, account)
    found += told_notices(schedule, account)
    if water is not None:
        found += water_findings(schedule, water)
    if account.remarks_left_out:
        many = counted(account.remarks_left_out, "further notice")
        found.append(
            Finding("note", "site", f"{many} left out of this", "a shorter run tells all of them")
        )
    return worst_first(found)


def breaks_a_limit(found: Sequence[Finding]) -> bool:
    """Whether the run broke a stated limit, or could not tell: exit code 1."""
    return any(finding.level == "error" for finding in found)
