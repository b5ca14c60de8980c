"""A dry run of a year through `decide`, and its memory."""

from __future__ import annotations

import subprocess
import sys

from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, day_number, parse_date
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.run import run
from tests.bench.measure import Result, best_s
from tests.bench.plans import eighteen_pumps, one_pump

_MEMORY = """
from tests.bench.year import carry_out
from tests.bench.plans import eighteen_pumps
carry_out(eighteen_pumps(), days={days})
print(next(line for line in open("/proc/self/status") if line.startswith("VmHWM")).split()[1])
"""


def carry_out(plan: Plan, *, days: int, is_stepped: bool = False) -> int:
    """Runs a plan from New Year on; returns how many changes there were. Where `is_stepped`,
    each is decided anew."""
    schedule = make_schedule(plan)
    keeper = AccountKeeper(schedule)
    start = schedule.calendar.midnight(day_number(parse_date("2026-01-01")))
    run(
        schedule,
        start=start,
        end=start + days * DAY_MS,
        air={},
        script=None,
        listeners=[keeper],
        is_stepped=is_stepped,
    )
    return sum(load.switches for load in keeper.account.loads.values())


def _peak_mb(days: int) -> float:
    done = subprocess.run(  # noqa: S603 - our own words
        [sys.executable, "-c", _MEMORY.format(days=days)],
        check=True,
        capture_output=True,
        text=True,
    )
    return int(done.stdout) / 1024


def year() -> list[Result]:
    """Seconds a year, and the peak of memory for a month and for a year."""
    one_changes = carry_out(one_pump(), days=365)
    one_s = best_s(lambda: carry_out(one_pump(), days=365), repeats=3)
    many_changes = carry_out(eighteen_pumps(), days=365)
    many_s = best_s(lambda: carry_out(eighteen_pumps(), days=365), repeats=1)
    stepped_s = best_s(lambda: carry_out(eighteen_pumps(), days=30, is_stepped=True), repeats=1)
    month_mb, year_mb = _peak_mb(30), _peak_mb(365)
    return [
        Result("dry run of a year, one load", one_s, "s", f"{one_changes} changes", None, 0.5),
        Result(
            "dry run of a year, 18 loads, all guards",
            many_s,
            "s",
            f"{many_changes} changes",
            None,
            5.0,
        ),
        Result(
            "  the same, every change decided anew",
            stepped_s * 365 / 30,
            "s",
            "extrapolated from 30 days",
        ),
        Result("  peak memory, 18 loads, a month", month_mb, "MB"),
        Result("  peak memory, 18 loads, a year", year_mb, "MB"),
        Result("memory of a year over a month", year_mb / month_mb, "ratio", "", None, 1.3),
    ]
