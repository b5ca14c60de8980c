"""The progress of a run that takes over a second, on a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tqdm import tqdm

from controller.core.units import DAY_MS

if TYPE_CHECKING:
    from collections.abc import Sequence
    from types import TracebackType

    from controller.core.orders import Notice, Reason
    from controller.core.units import Instant

_STEP_MS = DAY_MS // 4


class Progress:
    """The listener that shows how many of a run's days are done."""

    def __init__(self, what: str, start: Instant, end: Instant) -> None:
        self._bar = tqdm(
            total=round((end - start) / DAY_MS), desc=what, unit="day", delay=1, leave=False
        )
        self._start = start
        self._told = start
        self._next = start + _STEP_MS

    @property
    def done_days(self) -> float:
        """How many days of the run have been shown as done."""
        return (self._told - self._start) / DAY_MS

    def __enter__(self) -> Progress:
        """The listener itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Takes the bar off the screen."""
        self._bar.close()

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """Shows nothing yet."""

    def change(
        self,
        instant: Instant,
        place: int,  # noqa: ARG002 - only time matters here
        reason: Reason,  # noqa: ARG002
        *,
        is_on: bool,  # noqa: ARG002
        is_wet: bool,  # noqa: ARG002
    ) -> None:
        """Moves the bar on, now and then."""
        if instant >= self._next:
            self._bar.update((instant - self._told) / DAY_MS)
            self._told, self._next = instant, instant + _STEP_MS

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Shows nothing."""

    def finish(self, end: Instant) -> None:
        """Shows nothing: the bar is about to go."""
