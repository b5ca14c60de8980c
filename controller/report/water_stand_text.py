"""What a run did to a stand, as lines for a terminal: its driest moment first of all."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.phrases import counted, date_words
from controller.core.units import DAY_MS
from controller.core.water.bounds import Bounds
from controller.core.water_words import (
    a_day,
    around_on_words,
    around_words,
    percent_text,
    range_words,
    rough_length_words,
    share_words,
    two_figures,
)
from controller.report.load_blocks import entry
from controller.report.load_tables import Table, laid_out
from controller.report.text_cells import printable, wrapped
from controller.report.water_days_text import days_told, in_part_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from controller.core.calendar import Calendar
    from controller.dry_run.account import Account
    from controller.dry_run.water.water_account import DriestMoment, StandAccount, WaterAccount
    from controller.report.ink import Ink

_ML_PER_L = 1000.0
# Of `depletion_before_stress`, where they are told in full.
_SOURCES = "by FAO-56 for soil and growers' figures for mineral wool"
THIRST_TOLD_ML = 0.05  # less is none to a plant and to two figures


def stand_block(
    stand: StandAccount,
    water: WaterAccount,
    calendar: Calendar,
    *,
    account: Account,
    width: int,
    ink: Ink,
) -> list[str]:
    """A stand as lines of at most that width; `account` is that of the run."""
    who = f"{counted(stand.plants, 'plant')} on {printable(stand.load)}"
    head = wrapped(f"{printable(stand.name)} (stand, {who})", width, rest="  ")
    lines = [ink.heading(line) for line in head]
    entries = [("age", age_words(stand))]
    if stand.driest is not None:
        entries += _entries(stand, stand.driest, calendar, account.run_ms)
        entries += _day_entries(stand, water, calendar, account)
    for label, value in entries:
        lines += entry(label, value, width=width)
    return lines


def _entries(
    stand: StandAccount, driest: DriestMoment, calendar: Calendar, run_ms: int
) -> Iterator[tuple[str, str]]:
    yield "driest", f"{around_words(driest.instant, calendar)}: {left_words(driest, stand)}"
    yield f"below {percent_text(stand.reserve)}", below_words(stand.below_reserve_ms)
    yield "what that means", stress_words(stand, driest)
    yield "thirst", thirst_words(stand.thirst_ml)
    yield "drinks", drunk_words(stand, run_ms)
    yield "water in reach", f"{range_words(stand.held_ml, 'mL')} a plant, full and drained"
    yield "comes down", f"{range_words(stand.drip_ml_per_min, 'mL/min')} a plant while watered"


def _day_entries(
    stand: StandAccount, water: WaterAccount, calendar: Calendar, account: Account
) -> Iterator[tuple[str, str]]:
    """The day of heat and the mildest one; none where the run has but one day."""
    for name, day in days_told(water):
        words = day_words(stand, water, day, calendar, account=account)
        if name and words is not None:
            yield name, words


def day_words(
    stand: StandAccount, water: WaterAccount, day: date, calendar: Calendar, *, account: Account
) -> str | None:
    """What a stand drank on a day and when it was driest; None where nothing grew."""
    told = next((one for one in stand.days if one.date == day), None)
    if told is None or told.driest is None:
        return None
    driest = told.driest
    when = around_on_words(driest.instant, day, calendar)
    left = share_words(driest.left_share, after=" left")
    drunk = range_words(told.transpired_ml, "mL")
    part = in_part_words(water, day, account)
    return f"{date_words(day)}: driest {when}, {left}; drinks {drunk} a plant{part}"


def age_words(stand: StandAccount) -> str:
    """How old it is in the run, from sowing."""
    first, last = stand.first_age_days, stand.last_age_days
    if last is None:
        return "not sown in this run"
    if first is None:
        return f"sown in this run, {counted(last, 'day')} old at its end"
    if first == last:
        return f"{counted(last, 'day')} from sowing"
    return f"{first} to {last} days from sowing"


def left_words(driest: DriestMoment, stand: StandAccount) -> str:
    """What is left at the driest moment: share, range and, of plants that are of one age all
    through the run, volume: what those that age hold is not one volume."""
    words = share_words(driest.left_share, after=" left")
    if stand.first_age_days != stand.last_age_days:
        return words
    left_ml, held_ml = driest.left_ml.likely, stand.held_ml.likely
    return f"{words}, {two_figures(left_ml)} mL of {two_figures(held_ml)}"


def below_words(length_ms: Bounds) -> str:
    """How long less than the reserve was left, from the wettest roots to the driest."""
    if length_ms.high <= 0.0:
        return "never"
    most = rough_length_words(length_ms.high)
    if length_ms.likely <= 0.0:
        return f"likely never; {most} with the driest roots that sources allow"
    likely = rough_length_words(length_ms.likely)
    least = rough_length_words(length_ms.low) if length_ms.low > 0.0 else "never"
    return likely if least == likely == most else f"{likely} in all (from {least} to {most})"


def stress_words(stand: StandAccount, driest: DriestMoment) -> str:
    """From where on lettuce suffers by published sources, and whether it came to that: likely
    if the likely roots pass even the highest of these figures."""
    gone = gone_share(driest)
    if gone.likely > stand.stress_share.high:
        judged = "likely suffered"
    elif gone.high > stand.stress_share.low:
        judged = "may have suffered"
    else:
        judged = "did not suffer"
    limit = share_words(stand.stress_share, after=" is gone")
    was = share_words(gone)
    return f"lettuce suffers once {limit}, {_SOURCES}; here {was} was: it {judged}"


def gone_share(driest: DriestMoment) -> Bounds:
    """What share of the held water is gone at the driest moment."""
    left = driest.left_share
    return Bounds(1.0 - left.high, 1.0 - left.likely, 1.0 - left.low)


def thirst_words(thirst_ml: Bounds) -> str:
    """What a plant wanted in the run and did not get."""
    if thirst_ml.high < THIRST_TOLD_ML:
        return "none"
    words = range_words(_told(thirst_ml), "mL")
    if thirst_ml.likely < THIRST_TOLD_ML:
        most = two_figures(thirst_ml.high)
        return f"likely none; {most} mL a plant with the driest roots that sources allow"
    return f"{words} a plant wanted and not there"


def _told(thirst_ml: Bounds) -> Bounds:
    """Without amounts that are none to a plant."""
    return Bounds(*(0.0 if one < THIRST_TOLD_ML else one for one in thirst_ml))


def drunk_words(stand: StandAccount, run_ms: int) -> str:
    """What a plant and what all of them drink by day; of less than a day what they did drink,
    since a night would tell nothing of a day."""
    length_ms = grown_ms(stand, run_ms)
    each, plant, all_of_them = stand.transpired_ml, "a plant", "in all, in this run"
    if length_ms >= DAY_MS:
        each, plant, all_of_them = a_day(each, length_ms), "a plant and day", "a day in all"
    together = each.times(stand.plants / _ML_PER_L)
    return f"{range_words(each, 'mL')} {plant}, {range_words(together, 'L')} {all_of_them}"


def grown_ms(stand: StandAccount, run_ms: int) -> int:
    """How long something grew: the run, or as many of its days as have plants."""
    if stand.first_age_days is not None:
        return run_ms
    days = sum(1 for day in stand.days if day.driest is not None)
    return min(run_ms, max(1, days) * DAY_MS)


# Many stands


def stand_table(
    stands: Sequence[StandAccount],
    calendar: Calendar,
    *,
    run_ms: int,
    width: int,
    ink: Ink,
) -> list[str]:
    """Stands as the rows of a table; as an entry each where that is too wide."""
    heads = ("stand", "driest", "left", "from", "to", "thirst mL", "at worst", "mL a day")
    table = Table("Stands", heads, [_row(one, calendar, run_ms) for one in stands])
    lines = [ink.heading(line) for line in wrapped(table.title, width)]
    rows = laid_out(table, width)
    if rows is not None:
        return [*lines, ink.faint(rows[0]), *rows[1:]]
    for stand in stands:
        value = age_words(stand) if stand.driest is None else left_words(stand.driest, stand)
        text = f"{printable(stand.name)}: {value}"
        lines += wrapped(text, width, first="  ", rest="    ")
    return lines


def _row(stand: StandAccount, calendar: Calendar, run_ms: int) -> tuple[str, ...]:
    if stand.driest is None:
        return (printable(stand.name), "not sown", "-", "-", "-", "-", "-", "-")
    low, likely, high = map(percent_text, stand.driest.left_share)
    thirst_ml = _told(stand.thirst_ml)
    return (
        printable(stand.name),
        around_words(stand.driest.instant, calendar),
        likely,
        low,
        high,
        two_figures(thirst_ml.likely),
        two_figures(thirst_ml.high),
        two_figures(a_day(stand.transpired_ml, grown_ms(stand, run_ms)).likely),
    )
