"""The figures of one load's account, each as the words that a report prints."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import (
    amount_words,
    between_words,
    length_words,
    moment_words,
    percent_words,
    rate_words,
    years_words,
)
from controller.core.units import DAY_MS, HOUR_MS

if TYPE_CHECKING:
    from controller.core.calendar import Calendar
    from controller.core.schedule import LoadSchedule, Schedule
    from controller.dry_run.account import Account, LoadAccount, Stretch

NOTHING = "-"


class Extreme(NamedTuple):
    """A longest stretch: how long, since when, and from when to when, in local time."""

    length: str
    start: str
    span: str


class LoadWords(NamedTuple):
    """What there is to say of one load; `-` where there is nothing to say.

    `cost*` are without the currency; `wear` is the share of the contact's rated life that
    a year uses, `lasts` how long it lasts at that rate.
    """

    name: str
    kind: str
    watts: str
    starts: str
    starts_a_day: str
    most_starts_an_hour: int
    on: str
    hours: str
    share: str
    gap: Extreme
    longest_on: Extreme
    operations: str
    wear: str
    lasts: str
    kwh: str
    kwh_a_month: str
    cost: str
    cost_a_month: str


def load_words(schedule: Schedule, account: Account, load: LoadSchedule) -> LoadWords:
    """The words for one load of a run."""
    done = account.loads[load.name]
    watts = schedule.plan.loads[load.name].watts
    wear = done.contact_share_a_year(account.run_ms)
    return LoadWords(
        name=load.name,
        kind=load.kind,
        watts=NOTHING if watts is None else amount_words(watts),
        starts=f"{done.starts:,}",
        most_starts_an_hour=done.most_starts_an_hour,
        starts_a_day=rate_words(done.starts * DAY_MS / account.run_ms),
        on=length_words(done.on_ms),
        hours=f"{done.on_ms / HOUR_MS:,.1f} h",
        share=percent_words(done.on_ms / account.run_ms),
        gap=_extreme(done.longest_dry_gap, schedule.calendar),
        longest_on=_extreme(done.longest_on, schedule.calendar),
        operations=f"{round(done.operations_a_year(account.run_ms)):,}",
        wear=percent_words(wear),
        lasts=years_words(wear),
        kwh=_amount(done.energy_kwh),
        kwh_a_month=_a_month(account, done),
        cost=_cost(done.cost),
        cost_a_month=_cost(None if done.cost is None else account.per_month(done.cost)),
    )


def _extreme(stretch: Stretch | None, calendar: Calendar) -> Extreme:
    if stretch is None:
        return Extreme("none", NOTHING, NOTHING)
    return Extreme(
        length_words(stretch.length_ms),
        moment_words(stretch.start, calendar),
        between_words(stretch.start, stretch.end, calendar),
    )


def _amount(amount: float | None) -> str:
    return NOTHING if amount is None else amount_words(amount)


def _a_month(account: Account, done: LoadAccount) -> str:
    return _amount(None if done.energy_kwh is None else account.per_month(done.energy_kwh))


def _cost(amount: float | None) -> str:
    return NOTHING if amount is None else money_words(amount)


def money_words(amount: float) -> str:
    """An amount of money to the hundredth, finer where that would be nothing."""
    return f"{amount:,.2f}" if amount >= 0.1 or amount == 0 else amount_words(amount)
