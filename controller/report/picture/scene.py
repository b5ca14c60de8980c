"""What a picture is drawn from, made ready, and the frame in which it is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import DAY_MS, HOUR_MS
from controller.report.picture.day_rows import day_row
from controller.report.picture.marks import Mark, MarkKind, marks_of
from controller.report.picture.run_lengths import drawable
from controller.report.picture.svg import number

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.dry_run.account import Account
    from controller.report.picture.day_rows import DayRow
    from controller.report.picture.recording import Recording

WIDTH = 390.0  # of the whole picture: as many units as a small telephone has pixels


_NAME_LENGTH_MAX = 7


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
    rows = tuple(day_row(schedule.calendar, day) for day in recording.days)
    marks = [*marks_of(schedule, account, recording), *_clock_changes(rows)]
    return Scene(
        schedule=schedule,
        account=account,
        recording=drawable(recording),
        rows=rows,
        marks=tuple(sorted(marks, key=lambda mark: mark.start)),
        id_prefix=id_prefix,
    )


def _clock_changes(rows: Sequence[DayRow]) -> Iterator[Mark]:
    """A mark for each row that a change of the clocks makes longer or shorter."""
    for row in rows:
        if row.clock_change is not None:
            label = f"{number((row.end - row.begin) / HOUR_MS)} h day"
            yield Mark(MarkKind.DIAL, label, *row.clock_change)


def lane_name(scene: Scene, place: int) -> str:
    """What a lane is called beside its rows: its load's name, or its number from the top
    where names are too long for that."""
    names = [load.name for load in scene.schedule.loads]
    return names[place] if max(map(len, names)) <= _NAME_LENGTH_MAX else str(place + 1)
