"""What of a run a picture needs, as values that stay small however often loads switch."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

if TYPE_CHECKING:
    from controller.core.orders import Notice, Why
    from controller.core.units import Instant


class Run(NamedTuple):
    """The same time on again and again: `times` times `on_ms`, with `off_ms` between."""

    start: Instant
    on_ms: int
    off_ms: int
    times: int


class Blend(NamedTuple):
    """Switching too restless to keep: on for that long, somewhere within [start, end)."""

    start: Instant
    end: Instant
    on_ms: int


Bars: TypeAlias = "tuple[Run | Blend, ...]"


class Day(NamedTuple):
    """A local date, from midnight to midnight; the run may begin or end within it."""

    begin: Instant
    end: Instant


class Episode(NamedTuple):
    """A time in which something else than the plan's own spans decided about a load, or in
    which a pump was on and moved no water (`why` is None)."""

    place: int
    why: Why | None
    detail: str
    start: Instant
    end: Instant


class Happening(NamedTuple):
    """A notice that a picture shows, and until when it lasts (its own instant: a moment)."""

    notice: Notice
    start: Instant
    end: Instant


@dataclass(frozen=True, slots=True)
class Recording:
    """A recorded run: `lanes[place][i]` is what a load did on `days[i]`.

    A run that is longer than the recorder holds has only its first days.
    """

    start: Instant
    end: Instant
    days: tuple[Day, ...]
    lanes: tuple[tuple[Bars, ...], ...]
    episodes: tuple[Episode, ...]
    happenings: tuple[Happening, ...]
    left_out: int  # episodes and happenings beyond what is kept

    @property
    def shown_end(self) -> Instant:
        """Until when the run is recorded."""
        return min(self.end, self.days[-1].end)
