"""What the loop needs of the world. Each has its real one in `shell`, and a double in tests."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from controller.core.journal_entry import Entry, Summary
    from controller.core.observation import Reading, Tick
    from controller.core.plan import Plan
    from controller.core.units import Instant
    from controller.core.wiring import Wire


class Clock(Protocol):
    """Where time comes from."""

    @property
    def is_trusted(self) -> bool:
        """Whether the time of day can be believed."""

    def read(self) -> tuple[Instant, Tick]:
        """The time of day and the monotonic clock, read together."""

    def exact_tick_ms(self) -> float:
        """The monotonic clock, with its fraction of a millisecond."""

    async def sleep_until(self, wake: Tick) -> None:
        """Returns at the tick, or before it when `wake_up` is called or the clock steps."""

    def wake_up(self) -> None:
        """Ends the sleep; if there is none, the next one. From the loop's own thread."""


class Relays(Protocol):
    """The lines that the loads hang on."""

    @property
    def is_mock(self) -> bool:
        """Whether nothing real is switched."""

    def rewire(self, wires: Sequence[Wire], is_on: Mapping[str, bool]) -> Collection[str]:
        """Claims every line with the level that its load's state needs, in one step each,
        and leaves lines that are no longer used at their safe level.

        A line that is claimed already is only set. The loads whose lines cannot be claimed
        or do not read back as ordered are returned; the others work all the same.
        """

    def switch(self, load: str, *, is_on: bool) -> bool:
        """Sets a load's line; whether the line obeyed. Never raises for the world's faults."""

    def disobedient(self) -> Collection[str]:
        """The loads whose lines do not read back as ordered now."""

    def release(self) -> None:
        """Every load to its state while stopped, then lets go of the lines; repeatable."""


class Sensors(Protocol):
    """The readings; the one door through which they come, whatever their source."""

    @property
    def readings(self) -> Mapping[str, Reading]:
        """The latest of each sensor; the same object while nothing new was read."""

    def next_look(self) -> Tick:
        """When the readings change by themselves, at the latest; far off for real sensors,
        which wake the clock when they have news."""

    def watch(self, plan: Plan) -> None:
        """Reads the sensors of this plan from now on, and no others."""

    def attend(self, loads_on: Collection[str]) -> None:
        """Takes notice of the loads that are on now, so that their meters are read in time."""

    def summaries(self) -> Sequence[Summary]:
        """The readings since the last call, summed up by sensor."""

    def close(self) -> None:
        """Reads nothing more; repeatable."""


class Journal(Protocol):
    """The record that outlives the process."""

    @property
    def is_failing(self) -> bool:
        """Whether the disk refuses what is to be written."""

    def note(
        self,
        entries: Sequence[Entry],
        *,
        state: str | None = None,
        summaries: Sequence[Summary] = (),
    ) -> None:
        """Hands over entries and the state of the controller that belongs to them, to be
        written in one transaction. Never waits and never raises."""

    async def written(self) -> bool:
        """Returns when all that was noted is on the disk for good (True), or cannot be
        written (False)."""
