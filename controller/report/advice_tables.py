"""The tables that advice is chosen from: what each cycle asks of the pump and leaves the roots."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.phrases import (
    amount_words,
    counted,
    date_words,
    percent_words,
    rate_words,
    turn_words,
    years_words,
)
from controller.report.load_tables import Table, laid_out
from controller.report.text_cells import printable, wrapped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.advice.advice import Advice
    from controller.advice.figures import Row
    from controller.report.ink import Ink

_NOTHING = "-"
_BEFORE = {"present": "now: ", "tried": "try: "}


def row_name(advice: Advice, place: int) -> str:
    """What a row is called: its number, a star where it is advised or a mark where it breaks a
    limit, and its cycles."""
    row = advice.rows[place]
    candidate = row.candidate
    star = "*" if place == advice.chosen else "!" if row.breaks else " "
    before = _BEFORE.get(candidate.origin.value, "")
    return f"{place + 1:>2}{star} {before}{candidate.label}"


def advice_tables(advice: Advice, currency: str) -> list[Table]:
    """What each row asks of the pump, and what it leaves to the roots."""
    first, *others = advice.days
    places = range(len(advice.rows))
    money = printable(currency)
    heads: tuple[str, ...] = (
        "   cycle",
        "pump h",
        turn_words(advice.kind, 2),
        "relay lasts",
        "kWh",
    )
    pumps = [_pump_row(row_name(advice, place), advice.rows[place]) for place in places]
    if money:
        heads += (money,)
    else:
        pumps = [row[:-1] for row in pumps]
    days = " and ".join(date_words(day) for day in [first, *others])
    names = list(advice.rows[0].lefts)
    return [
        Table(f"{printable(advice.load)} on the worst day, {date_words(first)}", heads, pumps),
        Table(
            f"Left at the driest moment of {days}, %: driest, likely, wettest roots; in brackets "
            f"nine in ten of {counted(advice.samples, 'plant')} drawn at random",
            ("   cycle", *(printable(name) for name in names), "keep"),
            [_left_row(row_name(advice, place), advice.rows[place], names) for place in places],
        ),
    ]


def _pump_row(name: str, row: Row) -> tuple[str, ...]:
    pump = row.pump
    return (
        name,
        rate_words(pump.hours_a_day),
        rate_words(pump.starts_a_day),
        years_words(pump.contact_share_a_year),
        _NOTHING if pump.kwh_a_day is None else amount_words(pump.kwh_a_day),
        _NOTHING if pump.cost_a_day is None else amount_words(pump.cost_a_day),
    )


def _left_row(name: str, row: Row, stands: Sequence[str]) -> tuple[str, ...]:
    cells = []
    for stand in stands:
        left, band = row.lefts[stand], row.bands[stand]
        shares = " ".join(f"{100 * share:.0f}" for share in left)
        cells.append(f"{shares} ({100 * band.p5:.0f}-{100 * band.p95:.0f})")
    return (name, *cells, percent_words(row.kept_share))


def table_lines(table: Table, width: int, ink: Ink) -> list[str]:
    """The table; each row as an entry of its own where it is too wide."""
    lines = [ink.heading(line) for line in wrapped(table.title, width)]
    rows = laid_out(table, width)
    if rows is not None:
        return [*lines, ink.faint(rows[0]), *rows[1:]]
    for name, *cells in table.rows:
        lines += wrapped(name.strip(), width, rest="    ")
        pairs = zip(table.heads[1:], cells, strict=True)
        text = ", ".join(f"{head} {cell}" for head, cell in pairs)
        lines += wrapped(text, width, first="    ", rest="    ")
    return lines
