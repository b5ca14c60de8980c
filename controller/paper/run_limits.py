"""The limits that a plan states, held against what a run did."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.findings import Finding
from controller.core.phrases import (
    amount_words,
    between_words,
    clock_words,
    counted,
    exact_length_words,
    length_words,
    moment_words,
    percent_words,
    turn_words,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan
    from controller.core.schedule import LoadSchedule, Schedule
    from controller.core.spans_in_force import Piece
    from controller.core.units import Instant
    from controller.dry_run.account import Account, LoadAccount, Stretch

# Sums of floating-point products may miss a limit that they meet by their last digits.
_NOISE = 1e-9


def broken_limits(schedule: Schedule, account: Account) -> list[Finding]:
    """An error for each stated limit that the run broke, or of which it cannot tell."""
    found: list[Finding] = []
    for load in schedule.loads:
        found += _of_load(schedule, load, account)
    return [*found, *_of_site(schedule, account)]


def _is_above(amount: float, limit: float) -> bool:
    return amount > limit * (1 + _NOISE)


def _of_load(schedule: Schedule, load: LoadSchedule, account: Account) -> Iterator[Finding]:
    limits = schedule.plan.loads[load.name].limits
    done = account.loads[load.name]
    where = f"loads.{load.name}.limits"
    gap = done.longest_dry_gap
    limit_ms = limits.longest_dry_gap
    if limit_ms is not None and gap is not None and gap.length_ms > limit_ms:
        yield _dry_too_long(schedule, load, gap, limit_ms)
    starts = done.most_starts_a_day
    if limits.starts_per_day is not None and starts > limits.starts_per_day:
        yield Finding(
            "error",
            f"{where}.starts_per_day",
            f"{counted(starts, *_turns(load.kind))} on its busiest day; the limit is "
            f"{limits.starts_per_day:,}",
            "give its cycle longer steps, or raise the limit",
        )
    if limits.on_per_day is not None and done.most_on_a_day_ms > limits.on_per_day:
        yield Finding(
            "error",
            f"{where}.on_per_day",
            f"on for {exact_length_words(done.most_on_a_day_ms)} of its longest day; the limit "
            f"is {exact_length_words(limits.on_per_day)}",
            "shorten the on steps of its cycles, or raise the limit",
        )
    if limits.energy_per_month_kwh is not None:
        yield from _load_energy(account, done, limits.energy_per_month_kwh)


def _turns(kind: str) -> tuple[str, str]:
    return turn_words(kind, 1), turn_words(kind, 2)


def _dry_too_long(schedule: Schedule, load: LoadSchedule, gap: Stretch, limit_ms: int) -> Finding:
    calendar = schedule.calendar
    what = "dry" if load.waters else "off"
    return Finding(
        "error",
        f"loads.{load.name}.limits.longest_dry_gap",
        f"{what} for {exact_length_words(gap.length_ms)}, "
        f"{between_words(gap.start, gap.end, calendar)}; the limit is "
        f"{exact_length_words(limit_ms)}",
        _mend_of_gap(schedule, load, gap, limit_ms),
    )


def _mend_of_gap(schedule: Schedule, load: LoadSchedule, gap: Stretch, limit_ms: int) -> str:
    """What made the gap: one span's own cycle, a seam between spans, or not the plan."""
    planned = _planned_on(load, gap)
    if planned is not None:
        return (
            f"the plan has it on at {clock_words(planned, schedule.calendar)}: see in the events "
            "file what kept it from that"
        )
    pieces = list(load.own.pieces(gap.start, gap.end))
    worst = max(pieces, key=lambda piece: min(gap.end, piece.end) - max(gap.start, piece.start))
    if worst.cycle.dry_gap_ms is None or worst.cycle.dry_gap_ms > limit_ms:
        return f"shorten the off steps of {_span_words(load, worst)}, or raise the limit"
    return (
        f"here {_span_words(load, pieces[0])} ends and another begins: let the next one begin "
        "with an on step, or move its start"
    )


def _planned_on(load: LoadSchedule, gap: Stretch) -> Instant | None:
    """When, within a gap, the plan's own spans first have the load on."""
    if load.own.state_at(gap.start):
        return gap.start
    return next((at for at, is_on in load.own.changes(gap.start, gap.end) if is_on), None)


def _span_words(load: LoadSchedule, piece: Piece) -> str:
    if piece.span < 0:
        return "the time without a span"
    span = load.own.spans[piece.span]
    return f"the span from {span.anchor} ({span.cycle})"


def _load_energy(account: Account, done: LoadAccount, limit_kwh: float) -> Iterator[Finding]:
    where = f"loads.{done.name}.limits.energy_per_month_kwh"
    if done.energy_kwh is None:
        yield Finding(
            "error",
            where,
            "cannot be told: the plan does not say how many watts this load draws",
            f"write watts = … under [loads.{done.name}]",
        )
    elif _is_above(account.per_month(done.energy_kwh), limit_kwh):
        yield Finding(
            "error",
            where,
            f"{amount_words(account.per_month(done.energy_kwh))} kWh a month"
            f"{_at_this_rate(account)}; the limit is {amount_words(limit_kwh)} kWh",
            f"it is on for {percent_words(done.on_ms / account.run_ms)} of the time: shorten "
            "that, take a thing that draws less, or raise the limit",
        )


def _at_this_rate(account: Account) -> str:
    return f" at the rate of these {length_words(account.run_ms)}"


def _of_site(schedule: Schedule, account: Account) -> Iterator[Finding]:
    plan, limits = schedule.plan, schedule.plan.limits
    unknown = [name for name, load in account.loads.items() if load.energy_kwh is None]
    a_month = account.per_month(account.energy_kwh)
    if limits.energy_per_month_kwh is not None:
        if _is_above(a_month, limits.energy_per_month_kwh):
            yield Finding(
                "error",
                "limits.energy_per_month_kwh",
                f"{amount_words(a_month)} kWh a month{_at_this_rate(account)}; the limit is "
                f"{amount_words(limits.energy_per_month_kwh)} kWh",
                f"{_greatest_drawer(account)}, or raise the limit",
            )
        elif unknown:
            yield _untold("limits.energy_per_month_kwh", unknown)
    if limits.cost_per_month is not None:
        yield from _cost(plan, account, unknown, limits.cost_per_month)
    if limits.watts_at_once is not None:
        if _is_above(account.watts_max, limits.watts_at_once):
            yield Finding(
                "error",
                "limits.watts_at_once",
                f"{amount_words(account.watts_max)} W at once, first "
                f"{moment_words(account.watts_max_at, schedule.calendar)}; the limit is "
                f"{amount_words(limits.watts_at_once)} W",
                "shift the spans of some loads, or let [guards] watts_at_once hold them back",
            )
        elif unknown:
            yield _untold("limits.watts_at_once", unknown)


def _cost(plan: Plan, account: Account, unknown: list[str], limit: float) -> Iterator[Finding]:
    where = "limits.cost_per_month"
    if plan.energy is None:
        yield Finding(
            "error",
            where,
            "cannot be told: the plan does not say what energy costs",
            "write price_per_kwh and currency under [energy]",
        )
        return
    a_month = account.per_month(account.cost or 0.0)
    if _is_above(a_month, limit):
        yield Finding(
            "error",
            where,
            f"{amount_words(a_month)} {plan.energy.currency} a month{_at_this_rate(account)}; "
            f"the limit is {amount_words(limit)} {plan.energy.currency}",
            f"{_greatest_drawer(account)}, or raise the limit",
        )
    elif unknown:
        yield _untold(where, unknown)


def _untold(where: str, unknown: list[str]) -> Finding:
    names = ", ".join(unknown)
    return Finding(
        "error",
        where,
        f"cannot be told: the plan does not say how many watts these draw: {names}",
        "write watts = … under each of them",
    )


def _greatest_drawer(account: Account) -> str:
    name, load = max(account.loads.items(), key=lambda item: item[1].energy_kwh or 0.0)
    share = percent_words((load.energy_kwh or 0.0) / account.energy_kwh)
    return f"{name} draws {share} of it: shorten its time on"
