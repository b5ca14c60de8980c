"""What a picture is drawn from, made ready, and the frame in which it is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import DAY_MS
from controller.report.bar_paths import BarPaths
from controller.report.day_rows import day_row
from controller.report.picture_marks import marks_of
from controller.report.svg import number

if TYPE_CHECKING:
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.account import Account
    from controller.report.day_rows import DayRow
    from controller.report.picture_marks import Mark, MarkKind
    from controller.report.recording import Recording

WIDTH = 390.0  # of the whole picture: as many units as a small telephone has pixels


class Frame(NamedTuple):
    """Where the 24 hours of the dial lie across the picture."""

    left: float
    width: float

    def x(self, dial_ms: float) -> float:
        """Where a time of the dial lies."""
        return self.left + self.width * dial_ms / DAY_MS

    @property
    def by_minutes(self) -> str:
        """The transform under which x counts minutes of the dial."""
        return f"translate({number(self.left)} 0) scale({self.width / 1440:.6f} 1)"


@dataclass(frozen=True, slots=True)
class Scene:
    """A recorded run with its rows and marks; `id_prefix` keeps two pictures apart that
    stand in one document."""

    schedule: Schedule
    account: Account
    recording: Recording
    rows: tuple[DayRow, ...]
    marks: tuple[Mark, ...]
    bars: tuple[BarPaths, ...]  # one for each load; only folded rows gather in them
    id_prefix: str

    @property
    def kinds(self) -> set[MarkKind]:
        """The kinds of marks that there are."""
        return {mark.kind for mark in self.marks}

    def shown(self, row: DayRow) -> tuple[Instant, Instant]:
        """The part of a row that belongs to the run."""
        return max(row.begin, self.recording.start), min(row.end, self.recording.end)


def scene_of(
    schedule: Schedule, account: Account, recording: Recording, *, id_prefix: str = ""
) -> Scene:
    """The scene of a recorded run."""
    return Scene(
        schedule=schedule,
        account=account,
        recording=recording,
        rows=tuple(day_row(schedule.calendar, day) for day in recording.days),
        marks=tuple(marks_of(schedule, account, recording)),
        bars=tuple(BarPaths() for _ in schedule.loads),
        id_prefix=id_prefix,
    )
