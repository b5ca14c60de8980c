"""Loads as the rows of tables: for many loads, on terminals wide enough."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.report.text_cells import printable, shortened, width_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from controller.report.ink import Ink
    from controller.report.load_words import LoadWords

_GAP = "  "
_TITLE_WIDTH = 50  # no title is wider


class Table(NamedTuple):
    """Rows of cells under their heads; the first cell of each is a name."""

    title: str
    heads: tuple[str, ...]
    rows: list[tuple[str, ...]]


def tables(loads: Sequence[LoadWords], currency: str, *, width: int, ink: Ink) -> list[str] | None:
    """Three tables with one row a load; None where they are too wide for the terminal, or
    where the names would have to be cut until two of them are alike."""
    lines: list[str] = []
    for table in _tables(loads, currency):
        rows = laid_out(table, width)
        if rows is None or width < _TITLE_WIDTH:
            return None
        lines += ["", ink.heading(table.title), ink.faint(rows[0]), *rows[1:]]
    return lines[1:]


def _tables(loads: Sequence[LoadWords], currency: str) -> Iterator[Table]:
    yield Table(
        "On and off, and the relays",
        ("load", "starts", "a day", "on", "share", "relay/year", "life/year", "lasts"),
        [
            (w.name, w.starts, w.starts_a_day, w.hours, w.share, w.operations, w.wear, w.lasts)
            for w in loads
        ],
    )
    yield Table(
        "Longest off (pumps: without water), longest on",
        ("load", "longest off", "since", "longest on", "since"),
        [
            (w.name, w.gap.length, w.gap.start, w.longest_on.length, w.longest_on.start)
            for w in loads
        ],
    )
    heads = ("load", "watts", "kWh", "kWh a month")
    rows = [(w.name, w.watts, w.kwh, w.kwh_a_month) for w in loads]
    if not currency:
        yield Table("Energy", heads, list(rows))
        return
    money = printable(currency)
    yield Table(
        "Energy and cost",
        (*heads, money, f"{money} a month"),
        [(*row, w.cost, w.cost_a_month) for row, w in zip(rows, loads, strict=True)],
    )


def laid_out(table: Table, width: int) -> list[str] | None:
    """The table's lines: names on the left, cut where they must be, all else on the right
    of its column; None where names would be cut until two are alike."""
    names, *columns = zip(table.heads, *table.rows, strict=True)
    widths = [max(map(width_of, column)) for column in columns]
    room = width - sum(widths) - len(_GAP) * len(widths)
    name_width = min(room, max(map(width_of, names)))
    short = [shortened(name, name_width) for name in names]
    if name_width < len(table.heads[0]) or len(set(short)) < len(set(names)):
        return None
    padded = [
        [" " * (cells - width_of(cell)) + cell for cell in column]
        for column, cells in zip(columns, widths, strict=True)
    ]
    names = tuple(name.ljust(name_width) for name in short)
    return [_GAP.join(cells) for cells in zip(names, *padded, strict=True)]
