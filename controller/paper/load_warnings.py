"""What a run says about a load that no limit forbids and a grower would not want."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core import daylight
from controller.core.findings import Finding
from controller.core.orders import Why
from controller.core.phrases import (
    between_words,
    length_words,
    percent_words,
    turn_words,
    years_words,
)
from controller.core.units import HOUR_MS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.schedule import LoadSchedule, Schedule
    from controller.dry_run.account import Account, LoadAccount

# Ours: a contact that must be replaced more often than every second year is a fault to come.
CONTACT_SHARE_A_YEAR_MAX = 0.5
# Ours: beyond that it is no longer the plan that says what happens.
OVERRIDDEN_SHARE_MAX = 0.1
# Ours: a plug and pot that hold 25 mL are half empty after two hours at the 6 mL an hour
# that a grown lettuce takes by day (100 mL in 16 h of light); at twice that it wilts.
DRY_IN_LIGHT_MS_MAX = 4 * HOUR_MS

_OVERRIDES = (
    Why.NO_POWER,
    Why.STOPPED,
    Why.LEAK,
    Why.LEVEL_LOW,
    Why.NO_FLOW,
    Why.LONGEST_ON,
    Why.SHORTEST_ON,
    Why.SHORTEST_OFF,
    Why.STARTS_APART,
    Why.WATTS_AT_ONCE,
    Why.WITHOUT_CLOCK,
    Why.NO_SPAN,
)


class _Case(NamedTuple):
    """One load of one run."""

    schedule: Schedule
    run_ms: int
    load: LoadSchedule
    done: LoadAccount

    def finding(self, message: str, mend: str, at: str = "") -> Finding:
        """A warning about this load."""
        return Finding("warning", f"loads.{self.load.name}{at}", message, mend)


def load_warnings(schedule: Schedule, account: Account) -> list[Finding]:
    """Warnings about each load, those that dry roots before those that wear things."""
    cases = [
        _Case(schedule, account.run_ms, load, account.loads[load.name]) for load in schedule.loads
    ]
    checks = (_never_on, _dry_by_day, _longest_on, _overridden, _contact)
    return [finding for check in checks for case in cases for finding in check(case)]


def _never_on(case: _Case) -> Iterator[Finding]:
    if case.done.on_ms:
        return
    length = length_words(case.run_ms)
    if case.load.waters:
        yield case.finding(f"never watered in these {length}", "give it a span with an on step")
    else:
        message, mend = f"was never on in these {length}", "nothing, if that is meant"
        yield Finding("note", f"loads.{case.load.name}", message, mend)


def _dry_by_day(case: _Case) -> Iterator[Finding]:
    gap = case.done.longest_dry_gap
    if not case.load.waters or not case.done.on_ms or gap is None:
        return
    light_ms = daylight.length_ms(daylight.light(case.schedule, gap.start, gap.end))
    if light_ms > DRY_IN_LIGHT_MS_MAX:
        yield case.finding(
            f"dry for {length_words(gap.length_ms)}, {length_words(light_ms)} of it in the "
            f"light: {between_words(gap.start, gap.end, case.schedule.calendar)}",
            "water more often by day: bare roots hang in air and hold little",
        )


def _longest_on(case: _Case) -> Iterator[Finding]:
    kept_off_ms, longest = case.done.whys.get(Why.LONGEST_ON, 0), case.done.longest_on
    if not kept_off_ms or longest is None:
        return
    yield case.finding(
        f"switched off by its guard after {length_words(longest.length_ms)} on, as at "
        f"{between_words(longest.start, longest.end, case.schedule.calendar)}, and kept off for "
        f"{length_words(kept_off_ms)} in all",
        "shorten the on steps that are longer, or raise longest_on",
        ".longest_on",
    )


def _overridden(case: _Case) -> Iterator[Finding]:
    whys = case.done.whys
    shares = sorted(((whys[why], why) for why in _OVERRIDES if why in whys), key=lambda s: -s[0])
    share = sum(ms for ms, _ in shares) / case.run_ms
    if share > OVERRIDDEN_SHARE_MAX:
        told = ", ".join(f"{why.value} {length_words(ms)}" for ms, why in shares)
        yield case.finding(
            f"guards and faults, not the plan, decided {percent_words(share)} of the time: {told}",
            "change what they object to, so that the plan is carried out",
        )


def _contact(case: _Case) -> Iterator[Finding]:
    share = case.done.contact_share_a_year(case.run_ms)
    if share > CONTACT_SHARE_A_YEAR_MAX:
        a_year = round(case.done.operations_a_year(case.run_ms))
        yield case.finding(
            f"its relay's contact lasts {years_words(share)} at this rate: {a_year:,} operations "
            f"a year, {case.done.contact_life:,} rated",
            f"fewer and longer {turn_words(case.load.kind, 2)}, a relay without a moving "
            "contact, or a spare in the drawer",
            ".contact_life",
        )
