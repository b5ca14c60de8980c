"""Relay endurance and energy, against sums worked by hand and one published measurement.

The data sheets of relays give an electrical endurance of 1e5 operations at rated resistive
load; one operation is one make and one break. Definitions: IEC 61810-1:2015, from memory;
figures: general notes of relay makers' data sheets, common practice. A year has 365 days in
the sums, 365.2425 in the account, so figures a year agree to 0.1 %.
"""

from __future__ import annotations

import pytest

from controller.core.units import DAY_MS, HOUR_MS
from controller.dry_run.account import YEAR_MS
from controller.paper.run_findings import findings
from tests.planned_runs import account_of_days, load, schedule_of

YEAR = "2026-01-01"
# Sums with a year of 365 days, held against a mean Gregorian one of 365.2425.
TO_A_THOUSANDTH = 1e-3


def lasts_days(cycle: str, *, contact_life: int = 100_000, night: str | None = None) -> float:
    """For how many days a contact lasts on a pump with this cycle all day, or from 06:00 to
    20:00 where another is told for the night."""
    table = load(cycle, watts=20.0, contact_life=contact_life)
    if night is not None:
        day = {"from": "06:00", "cycle": cycle}
        table["spans"] = [day, {"from": "20:00", "cycle": night}]
    account = account_of_days(schedule_of({"pump": table}), YEAR, 365)
    share = account.loads["pump"].contact_share_a_year(account.run_ms)
    return YEAR_MS / DAY_MS / share


def test_quarters_all_day_are_48_operations_a_day_and_17520_a_year() -> None:
    """24 h in half-hours is 48, times 365 days is 17,520."""
    schedule = schedule_of({"pump": load("15m on, 15m off")})
    account = account_of_days(schedule, YEAR, 365)
    done = account.loads["pump"]
    assert done.most_starts_a_day == 48
    assert done.switches / 2 == pytest.approx(17_520, abs=0.5)  # on at the start already
    assert done.operations_a_year(account.run_ms) == pytest.approx(17_520, rel=TO_A_THOUSANDTH)


@pytest.mark.parametrize(
    ("cycle", "night", "contact_life", "days"),
    [
        # 1e5 / 48 = 2083 days = 5.70 years of 365.25 days
        ("15m on, 15m off", None, 100_000, 2083.3),
        # 14 h in half-hours is 28; 1e5 / 28 = 3571 days = 9.78 years
        ("15m on, 15m off", "off", 100_000, 3571.4),
        # 24 h in cycles of 5 minutes is 288; 1e5 / 288 = 347 days
        ("1m on, 4m off", None, 100_000, 347.2),
        # derated to 30 % for a motor's load: 3e4 / 48 = 625 days
        ("15m on, 15m off", None, 30_000, 625.0),
    ],
)
def test_a_contact_lasts_as_worked_by_hand(
    cycle: str, night: str | None, contact_life: int, days: float
) -> None:
    """Rated operations over operations a day."""
    lasts = lasts_days(cycle, night=night, contact_life=contact_life)
    assert lasts == pytest.approx(days, rel=TO_A_THOUSANDTH)


@pytest.mark.parametrize(
    ("cycle", "night", "years"),
    [
        ("15m on, 15m off", None, 5.70),  # 2083 / 365.25
        ("15m on, 15m off", "off", 9.78),  # 3571 / 365.25
    ],
)
def test_a_contact_lasts_so_many_years(cycle: str, night: str | None, years: float) -> None:
    """To the hundredth of a year, as worked by hand."""
    assert lasts_days(cycle, night=night) / 365.25 == pytest.approx(years, abs=0.005)


def test_a_pump_that_runs_half_of_the_time_takes_half_of_the_energy() -> None:
    """Pump energy of intermittent and continuous irrigation in a hydroponic system with
    "Grand Rapids" lettuce indoors: 8.08 and 16.17 kWh, one half at 50 % duty (abstract in
    the journals of the University of Mataram; the article itself was not read)."""
    loads = {
        "always": load("on", watts=22.0),
        "half": load("15m on, 15m off", watts=22.0),
    }
    account = account_of_days(schedule_of(loads), "2026-06-01", 30)
    always, half = (account.loads[name].energy_kwh for name in ("always", "half"))
    assert always is not None
    assert half is not None
    assert half / always == pytest.approx(8.08 / 16.17, abs=5e-4)


def test_the_energy_of_a_day_is_watts_times_hours() -> None:
    """22 W for 24 h are 0.528 kWh, by hand; in a mean month of 30.436875 days 16.07 kWh."""
    account = account_of_days(schedule_of({"pump": load("on", watts=22.0)}), "2026-06-01", 1)
    assert account.energy_kwh == pytest.approx(0.528)
    assert account.loads["pump"].on_ms == 24 * HOUR_MS
    assert account.per_month(account.energy_kwh) == pytest.approx(16.0706, abs=1e-3)


def test_a_contact_used_up_within_a_year_is_told_with_its_days() -> None:
    """288 operations a day of 1e5: the warning says 347 days."""
    schedule = schedule_of({"pump": load("1m on, 4m off")})
    found = findings(schedule, account_of_days(schedule, YEAR, 365))
    assert [(finding.where, "347 days" in finding.message) for finding in found] == [
        ("loads.pump.contact_life", True)
    ]
