"""The report of a dry run as text for a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.phrases import amount_words, moment_words
from controller.report import load_blocks, load_tables
from controller.report.findings_text import findings_text, summary
from controller.report.ink import Ink
from controller.report.load_blocks import entry
from controller.report.load_words import load_words, money_words
from controller.report.period import days_words, from_to_words
from controller.report.text_cells import printable, wrapped
from controller.report.water_text import water_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.findings import Finding
    from controller.core.schedule import Schedule
    from controller.dry_run.account import Account
    from controller.dry_run.water.water_account import WaterAccount

_BLOCKS_MAX = 4  # loads that are told one by one; more make tables


def render(
    schedule: Schedule,
    account: Account,
    findings: Sequence[Finding],
    weather_note: str,
    *,
    width: int,
    is_colour: bool,
    plan_name: str = "the plan",
    water: WaterAccount | None = None,
) -> str:
    """The report, no line wider than `width`, ending with a line break.

    Args:
        schedule: the plan that ran.
        account: what it did.
        findings: worst first.
        weather_note: a sentence on the air of the run.
        width: cells of a line; made for 80 and for 40.
        is_colour: whether the terminal shows colours.
        plan_name: what the reader calls the plan, the file's name as a rule.
        water: what it did to roots, pumps and reservoirs, where that was reckoned.
    """
    ink = Ink(is_colour)
    period = (schedule.calendar, account.start, account.end)
    lines = [
        *(ink.heading(line) for line in wrapped(f"Dry run of {printable(plan_name)}", width)),
        *wrapped(f"{from_to_words(*period)}, {days_words(*period)}", width),
        *wrapped(_site_words(schedule), width),
        *wrapped(printable(weather_note), width),
        "",
        *_loads(schedule, account, width=width, ink=ink),
        *([] if water is None else water_lines(schedule, account, water, width=width, ink=ink)),
        "",
        *_together(schedule, account, width=width, ink=ink),
        "",
        *(ink.heading(line) for line in wrapped(f"Findings: {summary(findings)}", width)),
        *findings_text(findings, width=width, ink=ink),
    ]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _site_words(schedule: Schedule) -> str:
    site = schedule.plan.site
    north = f"{abs(site.latitude):.2f} °{'N' if site.latitude >= 0 else 'S'}"
    east = f"{abs(site.longitude):.2f} °{'E' if site.longitude >= 0 else 'W'}"
    height = "" if site.elevation_m is None else f", {site.elevation_m:z.0f} m above the sea"
    return f"Site at {north} {east}{height}"


def _loads(schedule: Schedule, account: Account, *, width: int, ink: Ink) -> list[str]:
    words = [load_words(schedule, account, load) for load in schedule.loads]
    currency = schedule.plan.currency
    if len(words) > _BLOCKS_MAX:
        table_lines = load_tables.tables(words, currency, width=width, ink=ink)
        if table_lines is not None:
            return table_lines
    lines: list[str] = []
    for of_load in words:
        lines += ["", *load_blocks.block(of_load, currency, width=width, ink=ink)]
    return lines[1:]


def _together(schedule: Schedule, account: Account, *, width: int, ink: Ink) -> list[str]:
    """What the loads draw in all, without those whose watts are not stated."""
    unknown = [name for name, load in account.loads.items() if load.energy_kwh is None]
    if len(unknown) == len(account.loads):
        text = "No load states its watts, so energy and cost are not told."
        return wrapped(text, width)
    head = "All loads" if not unknown else f"All loads but {', '.join(unknown)} (watts not stated)"
    lines = [ink.heading(line) for line in wrapped(head, width, rest="  ")]
    at = moment_words(account.watts_max_at, schedule.calendar)
    lines += entry(
        "at once", f"at most {amount_words(account.watts_max)} W, first {at}", width=width
    )
    a_month = account.per_month(account.energy_kwh)
    kwh = f"{amount_words(account.energy_kwh)} kWh, {amount_words(a_month)} kWh a month"
    lines += entry("energy", kwh, width=width)
    energy = schedule.plan.energy
    if energy is not None and account.cost is not None:
        run, month = map(money_words, (account.cost, account.per_month(account.cost)))
        currency = printable(energy.currency)
        lines += entry("cost", f"{run} {currency}, {month} {currency} a month", width=width)
    return lines
