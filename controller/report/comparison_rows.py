"""Figures of two runs beside each other: rows, and how they stand on a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.report.text_cells import wrapped

if TYPE_CHECKING:
    from collections.abc import Sequence

_TABLE_WIDTH_MIN = 64
_LABEL, _CELL = 19, 15


class Row(NamedTuple):
    """One figure of both runs; `words` is the difference as a phrase of its own, empty
    where there is none that a grower would see."""

    label: str
    first: str
    second: str
    words: str


def difference_words(rows: Sequence[Row]) -> str:
    """What is different with the second plan."""
    told = [row.words for row in rows if row.words]
    return ", ".join(told) if told else "the same in both"


def rows_text(rows: Sequence[Row], width: int) -> list[str]:
    """The rows as lines of at most that width: a table where there is room."""
    if width < _TABLE_WIDTH_MIN:
        return [
            line
            for row in rows
            for line in wrapped(
                f"{row.label}: {row.first}, {row.second}", width, first="  ", rest="    "
            )
        ]
    if not rows:
        return []
    return [
        f"  {row.label:<{_LABEL}}{row.first:>{_CELL}}{row.second:>{_CELL}}"
        for row in [Row("", "1", "2", ""), *rows]
    ]
