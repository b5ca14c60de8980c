"""A stand's days as they are closed: what a plant drank, wanted, and had at its driest."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.water.bounds import Bounds
from controller.dry_run.water.course import DRIEST, LIKELY
from controller.dry_run.water.water_account import DriestMoment, StandDay

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from controller.core.units import Instant


class Left(NamedTuple):
    """What is left of one corner's held water: its share, mL, and when."""

    share: float
    ml: float
    instant: Instant


def ordered(corners: Sequence[float]) -> Bounds:
    """The corners as a range, whichever of them is the least.

    Mostly the wettest corner lacks least. Not always: each corner's reservoir is empty at hours of
    its own, and roots that grow at midnight are less full then, the wettest by most.
    """
    return Bounds(min(corners), corners[LIKELY], max(corners))


def driest_of(lefts: Sequence[Left]) -> DriestMoment:
    """The least of each corner as one moment."""
    return DriestMoment(
        # Where likely roots never lack anything, the driest tell when it was worst.
        lefts[LIKELY].instant if lefts[LIKELY].share < 1.0 else lefts[DRIEST].instant,
        ordered([left.ml for left in lefts]),
        ordered([left.share for left in lefts]),
    )


def driest_of_days(days: Sequence[StandDay]) -> DriestMoment | None:
    """The least of each corner over all days, at the moment of the likely roots' least."""
    moments = [day.driest for day in days if day.driest is not None]
    if not moments:
        return None
    worst = min(moments, key=lambda moment: (moment.left_share.likely, moment.left_share.low))
    return DriestMoment(
        worst.instant,
        Bounds(*(min(column) for column in zip(*(one.left_ml for one in moments), strict=True))),
        Bounds(*(min(column) for column in zip(*(one.left_share for one in moments), strict=True))),
    )


class DayBook:
    """The days of a stand: the one under way, and those that are closed."""

    def __init__(self, dates: Sequence[date]) -> None:
        self._dates = dates
        self.closed: list[StandDay] = []
        self.wanted_ml = [0.0, 0.0, 0.0]
        self.thirst_ml = [0.0, 0.0, 0.0]
        # Of all days that are closed.
        self.transpired_ml = [0.0, 0.0, 0.0]
        self.thirst_in_all_ml = [0.0, 0.0, 0.0]
        self._least: list[Left | None] = [None, None, None]

    @property
    def day(self) -> date | None:
        """The day under way; None after the last."""
        place = len(self.closed)
        return self._dates[place] if place < len(self._dates) else None

    def add_wanted(self, wanted_ml: Sequence[float]) -> None:
        """So much more was wanted on the day under way, by each corner."""
        for corner, more_ml in enumerate(wanted_ml):
            self.wanted_ml[corner] += more_ml

    def note(self, corner: int, share: float, ml: float, instant: Instant) -> None:
        """What was left of a corner's held water at some moment; of equals the first stays."""
        least = self._least[corner]
        if least is None or share < least.share:
            self._least[corner] = Left(share, ml, instant)

    def close(self) -> None:
        """Ends the day under way; the next begins."""
        lefts = [left for left in self._least if left is not None]
        drunk = [
            max(0.0, wanted - thirst)
            for wanted, thirst in zip(self.wanted_ml, self.thirst_ml, strict=True)
        ]
        for corner, drunk_ml in enumerate(drunk):
            self.transpired_ml[corner] += drunk_ml
            self.thirst_in_all_ml[corner] += self.thirst_ml[corner]
        self.closed.append(
            StandDay(
                self._dates[len(self.closed)],
                ordered(drunk),
                ordered(self.thirst_ml),
                driest_of(lefts) if lefts else None,
            )
        )
        self.wanted_ml = [0.0, 0.0, 0.0]
        self.thirst_ml = [0.0, 0.0, 0.0]
        self._least = [None, None, None]
