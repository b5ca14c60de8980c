"""Which of the plans that were carried out are worth a row of the table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.advice.candidate import Origin

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.advice.candidate import Candidate
    from controller.advice.figures import Row

# A watering that is longer is told where it spares the relay so many starts against the row
# before: what roots are left is the same, and that alone would be another row of equal figures.
_STARTS_LEFT_MAX = 0.8


def shortlist(rows: Sequence[Row], best: Row | None) -> tuple[Row, ...]:
    """The rows to tell, in their order.

    All but the longer waterings are told. Of those, beside the best row itself: the ones that
    keep the reserve for as many and start clearly less often, each than the one before.
    """
    told = {row.candidate for row in rows if row.candidate.origin is not Origin.LONGER}
    if best is not None:
        told.add(best.candidate)
        told |= _longer(rows, best)
    return tuple(row for row in rows if row.candidate in told)


def _longer(rows: Sequence[Row], best: Row) -> set[Candidate]:
    longer = [
        row
        for row in rows
        if row.candidate.origin is Origin.LONGER
        and row.is_fit
        and row.is_careful is best.is_careful
    ]
    told = set()
    starts_a_day = best.pump.starts_a_day
    for row in sorted(longer, key=lambda row: row.pump.hours_a_day):
        if row.pump.starts_a_day <= _STARTS_LEFT_MAX * starts_a_day:
            told.add(row.candidate)
            starts_a_day = row.pump.starts_a_day
    return told
