"""The sums of one load in a run."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from controller.core.units import HOUR_MS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.orders import Why
    from controller.core.units import Instant
    from controller.dry_run.listeners import Change


@dataclass(slots=True)
class LoadPeriod:
    """What one load did in a period that comes again.

    Attributes:
        toggles: when it went on or off.
        starts: when it went on.
        runs: from when to when it was on, of every time that ended in the period.
        wetness_since: when water last began or ceased to flow; None: not in the period.
        why_since: when another rule last came to decide; None: not in the period.
        whys: how long each rule decided that ceased to do so in the period.
    """

    toggles: list[Instant] = field(default_factory=list)
    starts: list[Instant] = field(default_factory=list)
    runs: list[tuple[Instant, Instant]] = field(default_factory=list)
    wetness_since: Instant | None = None
    why_since: Instant | None = None
    whys: dict[Why, int] = field(default_factory=dict)

    @classmethod
    def of(cls, changes: Sequence[Change], period_ms: int) -> LoadPeriod:
        """From all that was told of one load; it ends the period as it began it."""
        it = cls()
        last = changes[-1]
        # Twice the same: what ends in the second began in the first, or in the second itself.
        is_on, is_wet, why = last.is_on, last.is_wet, last.reason.why
        on_since = why_since = 0
        for shift_ms, is_second in ((-period_ms, False), (0, True)):
            for change in changes:
                at = change.instant + shift_ms
                if change.reason.why is not why:
                    if is_second:
                        it.whys[why] = it.whys.get(why, 0) + at - why_since
                        it.why_since = at
                    why, why_since = change.reason.why, at
                if change.is_wet is not is_wet:
                    is_wet, it.wetness_since = change.is_wet, at
                if change.is_on is is_on:
                    continue
                is_on = change.is_on
                if is_second:
                    it.toggles.append(at)
                    if is_on:
                        it.starts.append(at)
                    else:
                        it.runs.append((on_since, at))
                if is_on:
                    on_since = at
        return it


def load_periods(changes: Sequence[Change], period_ms: int) -> dict[int, LoadPeriod]:
    """What each load did in the period just over, by its place."""
    of_places: dict[int, list[Change]] = {}
    for one in changes:
        of_places.setdefault(one.place, []).append(one)
    return {place: LoadPeriod.of(of_one, period_ms) for place, of_one in of_places.items()}


@dataclass(slots=True)
class Tally:
    """One load's sums so far; `day_*` are those of the local date under way."""

    is_on: bool
    is_wet: bool
    since: Instant
    dry_since: Instant | None
    why: Why
    why_since: Instant
    day_since: Instant  # since when the state counts for the date under way
    on_ms: int = 0
    starts: int = 0
    switches: int = 0
    gap_ms: int = 0
    gap_start: Instant = 0
    longest_on_ms: int = 0
    longest_on_start: Instant = 0
    day_starts: int = 0
    day_on_ms: int = 0
    most_starts_a_day: int = 0
    hour: int = -1
    hour_starts: int = 0
    most_starts_an_hour: int = 0
    most_on_a_day_ms: int = 0
    whys: dict[Why, int] = field(default_factory=dict)
    cost: float = 0.0

    def end_why(self, why: Why, instant: Instant) -> None:
        """Books the time of the rule that decided until now."""
        self.whys[self.why] = self.whys.get(self.why, 0) + instant - self.why_since
        self.why, self.why_since = why, instant

    def end_wetness(self, *, is_wet: bool, instant: Instant) -> None:
        """Books the dry gap that ends with a watering, or begins one; of two alike the
        earlier stays the longest."""
        dry_since = self.dry_since
        if dry_since is not None and instant - dry_since > self.gap_ms:
            self.gap_ms, self.gap_start = instant - dry_since, dry_since
        self.is_wet, self.dry_since = is_wet, None if is_wet else instant

    def count_hour(self, hour: int) -> None:
        """Counts a start in its hour of UTC."""
        self.hour_starts = self.hour_starts + 1 if hour == self.hour else 1
        self.hour = hour
        if self.hour_starts > self.most_starts_an_hour:
            self.most_starts_an_hour = self.hour_starts

    def end_state(self, *, is_on: bool, instant: Instant) -> None:
        """Books the time on that ends, or begins one."""
        if self.is_on:
            length_ms = instant - self.since
            self.on_ms += length_ms
            self.day_on_ms += instant - self.day_since
            if length_ms > self.longest_on_ms:
                self.longest_on_ms, self.longest_on_start = length_ms, self.since
        self.is_on, self.since, self.day_since = is_on, instant, instant

    def end_day(self, midnight: Instant) -> None:
        """Closes the sums of a date."""
        if self.is_on:
            self.day_on_ms += midnight - self.day_since
        self.most_starts_a_day = max(self.most_starts_a_day, self.day_starts)
        self.most_on_a_day_ms = max(self.most_on_a_day_ms, self.day_on_ms)
        self.day_since, self.day_starts, self.day_on_ms = midnight, 0, 0

    def again(self, period: LoadPeriod, shifts_ms: range) -> None:
        """The period just over comes again, later by each of these; all on one date.

        Longest and most are of the first of equal ones, which is booked already.
        """
        times, passed_ms = len(shifts_ms), shifts_ms[-1]
        if period.why_since is not None:
            for why, length_ms in period.whys.items():
                self.whys[why] += times * length_ms
            self.why_since = period.why_since + passed_ms
        if period.wetness_since is not None:
            self.dry_since = None if self.is_wet else period.wetness_since + passed_ms
        if not period.toggles:
            return
        on_ms = times * sum(end - start for start, end in period.runs)
        self.on_ms += on_ms
        self.day_on_ms += on_ms
        if self.is_on:
            self.day_on_ms -= self.day_since - self.since  # which was of the date before
        self.switches += times * len(period.toggles)
        self.starts += times * len(period.starts)
        self.day_starts += times * len(period.starts)
        for shift_ms in shifts_ms:
            for start in period.starts:
                self.count_hour((start + shift_ms) // HOUR_MS)
        self.since = self.day_since = period.toggles[-1] + passed_ms
