"""The day of heat and the mildest day of a run: what they are, and what their air asked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.phrases import date_words
from controller.core.units import DAY_MS, HOUR_MS
from controller.core.water_words import rough_length_words
from controller.report.load_blocks import entry
from controller.report.text_cells import wrapped

if TYPE_CHECKING:
    from datetime import date

    from controller.dry_run.account import Account
    from controller.dry_run.water.water_account import WaterAccount
    from controller.report.ink import Ink
    from controller.weather.days import AirDay


def days_told(water: WaterAccount) -> list[tuple[str, date]]:
    """The days of which more is told, each with what it is; a run's only day has no such name."""
    if water.mildest is None:
        return [("", water.warmest)]
    return [("day of heat", water.warmest), ("mildest day", water.mildest)]


def day_of_air(water: WaterAccount, day: date) -> AirDay:
    """The air of a date of the run."""
    return next(one for one in water.days if one.date == day)


def days_block(water: WaterAccount, *, width: int, ink: Ink) -> list[str]:
    """The air of these days as lines of at most that width."""
    head = "The air" if water.mildest is None else "The day of heat and the mildest day"
    lines = [ink.heading(line) for line in wrapped(head, width)]
    for name, day in days_told(water):
        lines += entry(name or "day", air_words(day_of_air(water, day)), width=width)
    return lines


def in_part_words(water: WaterAccount, day: date, account: Account) -> str:
    """For how long a day's sums were added up, where that is not about a day: a run's first day
    counts from the run's start, its last until the run's end."""
    air, (first, *_, last) = day_of_air(water, day), (*water.days, water.days[-1])
    start = account.start if air is first else air.start
    end = account.end if air is last else air.end
    is_whole = abs(end - start - DAY_MS) <= HOUR_MS  # as days are in which clocks change
    return "" if is_whole else f" in {rough_length_words(end - start)} of the run"


def air_words(air: AirDay) -> str:
    """A day's air and what it asked of leaves; where its hours are modelled, also what its own
    means ask, the figure that daily tables of reference evapotranspiration have."""
    text = (
        f"{date_words(air.date)}: {air.coolest_c:z.0f} to {air.warmest_c:z.0f} °C, mean humidity "
        f"{air.humidity_pct:.0f} %, sun {air.radiation_mj_per_m2:.0f} MJ/m², ET0 "
        f"{air.et0_mm:z.1f} mm (what short grass would drink)"
    )
    if air.et0_daily_mm is not None:
        text += f"; {air.et0_daily_mm:z.1f} mm by the day's means"
    if air.et0_hargreaves_mm is not None:
        text += f", {air.et0_hargreaves_mm:z.1f} mm by its temperatures alone (Hargreaves)"
    return text
