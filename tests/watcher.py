"""A listener of dry runs that knows the rules and judges every change by them.

It trusts nothing that the controller says of itself but its reasons, and shares no code
with what it judges beyond the timeline of a plan.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.anchor import ClockTime
from controller.core.orders import AlarmCode, Event, Reason, Why
from controller.core.units import DAY_MS, MINUTE_MS, Instant, rfc3339
from controller.core.words import sentence
from controller.dry_run.faults import HoldAt

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.orders import Notice
    from controller.core.schedule import LoadSchedule, Schedule
    from controller.core.timeline import Timeline
    from controller.dry_run.fault_clock import FaultClock
    from tests.random_worlds import RandomWorld

_CUTS = {Why.NO_POWER, Why.STOPPED, Why.LEAK, Why.LEVEL_LOW, Why.NO_FLOW, Why.LONGEST_ON}
# What explains that roots are dry for longer than the plan leaves them.
_EXCUSES = {
    Why.NO_POWER,
    Why.STOPPED,
    Why.LEAK,
    Why.LEVEL_LOW,
    Why.NO_FLOW,
    Why.HOLD,
    Why.WITHOUT_CLOCK,
    Why.NO_SPAN,
}
_MISSED = AlarmCode.WATERING_MISSED.value
_NEVER = 10**18


class _Load:
    """What a watcher knows of one load."""

    def __init__(self, load: LoadSchedule, *, is_on: bool, reason: Reason) -> None:
        self.load = load
        self.is_on = is_on
        self.since: Instant | None = None  # of its state; None: since before the run
        self.was_dark = False  # without power at some time since then
        self.why = reason.why
        self.dry_since: Instant | None = None
        self.excuses: set[Why] = set()
        self.hold_ends: Instant = -1
        self.changes: list[tuple[Instant, bool]] = []
        self.missed: Instant = -1
        self.dry_at_adoption_ms = 0  # how long roots had been dry when a plan came into force


class Watcher:
    """A listener that holds every rule against what it is told."""

    def __init__(self, world: RandomWorld, faults: FaultClock) -> None:
        self._world = world
        self._faults = faults
        self._guards = world.schedule.plan.guards
        self._holds = [
            (fault.at, fault.load, fault.for_ms)
            for fault in world.script.faults
            if isinstance(fault, HoldAt)
        ]
        self._loads: list[_Load] = []
        self._places = world.schedule.places
        self._watts = 0.0
        self._now: Instant = 0
        self._starts: list[Instant] = []
        self._dark_since: Instant = 0
        self._back: Instant = 0  # when the power was last back
        self._stepped: Instant = -1
        self._adopted: Instant = -1
        self._told = 0
        self.broken: list[str] = []

    def _breaks(self, instant: Instant, text: str) -> None:
        self.broken.append(f"{rfc3339(instant)} {text}")

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """Takes the states at the start."""
        if start != self._world.start:
            self._breaks(start, "begins at another time than was said")
        for load, (is_on, reason) in zip(self._world.schedule.loads, states, strict=True):
            self._loads.append(_Load(load, is_on=is_on, reason=reason))
        self._watts = sum(its.load.watts for its in self._loads if its.is_on)
        self._judge_watts(start)

    def adopt(self, instant: Instant, schedule: Schedule) -> None:
        """Judges by another plan for the same loads from now on."""
        self._judge_waits(instant)
        before, self._guards = self._guards, schedule.plan.guards
        self._world = self._world._replace(schedule=schedule)
        self._adopted = instant
        for its, load in zip(self._loads, schedule.loads, strict=True):
            its.load = load
            if its.dry_since is not None:
                its.dry_at_adoption_ms = instant - its.dry_since
        self._watts = sum(its.load.watts for its in self._loads if its.is_on)
        starts = (before.starts_apart, before.starts_together)
        if starts != (self._guards.starts_apart, self._guards.starts_together):
            self._starts.clear()  # what was kept apart before was so by another measure

    def change(
        self, instant: Instant, place: int, reason: Reason, *, is_on: bool, is_wet: bool
    ) -> None:
        """Judges a change."""
        its = self._loads[place]
        if instant > self._now:
            self._judge_waits(instant)
        if not self._world.start <= instant < self._world.end:
            self._breaks(instant, f"{its.load.name} is told outside of the run")
        self._judge_reason(instant, its, reason, is_on=is_on)
        if is_on is not its.is_on:
            self._judge_stretch(instant, its, reason.why, is_on=is_on)
        self._judge_gap(instant, its, is_wet=is_wet)

    def _judge_waits(self, instant: Instant) -> None:
        """Judges the moment that ends: no more watts were on than may be, and nobody waited for
        watts that were free."""
        limit = self._guards.watts_at_once
        self._judge_watts(self._now)
        if limit is not None and not self._guards.starts_apart:
            for its in self._loads:
                fits = self._watts + its.load.watts <= limit - 1e-3
                if its.why is Why.WATTS_AT_ONCE and fits:
                    self._breaks(self._now, f"{its.load.name} waits for watts that are free")
        self._now = instant

    def _judge_water(self, its: _Load, last: Instant) -> None:
        """Judges the last moment of a time on: no sensor forbade it."""
        load = its.load
        trouble = self._faults.trouble_at(last)
        known = {name: x for name, x in trouble.false_values if name not in trouble.silent}
        stops = self._guards.stop_switch
        if load.level is not None and known.get(load.level, 1.0) < 1.0:
            self._breaks(last, f"{load.name} is on though {load.level} is low")
        if any(name is not None and known.get(name, 0.0) >= 1.0 for name in (load.leak, stops)):
            self._breaks(last, f"{load.name} is on though there is a leak or a stop")

    def _judge_reason(self, instant: Instant, its: _Load, reason: Reason, *, is_on: bool) -> None:
        if its.why is Why.HOLD and instant > its.hold_ends:
            self._breaks(instant, f"{its.load.name}'s hold outlived {rfc3339(its.hold_ends)}")
        its.why = reason.why
        its.was_dark |= reason.why is Why.NO_POWER
        if its.dry_since is not None and reason.why in _EXCUSES:
            its.excuses.add(reason.why)
        self._told += 1
        if self._told % 16:  # a sentence costs more than a decision
            return
        calendar = self._world.schedule.calendar
        text = sentence(reason, its.load, is_on=is_on, now=instant, calendar=calendar)
        if not text.endswith(".") or "None" in text or "{" in text:
            self._breaks(instant, f"{its.load.name}'s reason reads {text!r}")

    def _judge_stretch(self, instant: Instant, its: _Load, why: Why, *, is_on: bool) -> None:
        load, since = its.load, its.since
        length_ms = _NEVER if since is None else instant - since
        is_adoption = instant == self._adopted  # a new plan's bounds hold from now on
        if its.is_on:
            if not is_adoption:
                self._judge_water(its, instant - 1)
            longest_ms = _NEVER if is_adoption else load.longest_on_ms
            if longest_ms is not None and since and length_ms > longest_ms:
                self._breaks(instant, f"{load.name} was on for {length_ms} ms")
            is_cut = why in _CUTS or (is_adoption and why is Why.WATTS_AT_ONCE)
            if length_ms < load.shortest_on_ms and not is_cut:
                self._breaks(instant, f"{load.name} was on for {length_ms} ms only: {why}")
        elif length_ms < load.shortest_off_ms and (self._world.knows_time or not its.was_dark):
            self._breaks(instant, f"{load.name} was off for {length_ms} ms only")
        its.is_on, its.since, its.was_dark = is_on, instant, why is Why.NO_POWER
        its.changes.append((instant, is_on))
        self._watts += load.watts if is_on else -load.watts
        if is_on:
            self._judge_start(instant, its)

    def _judge_start(self, instant: Instant, its: _Load) -> None:
        self._judge_watts(instant)
        together, apart_ms = self._guards.starts_together, self._guards.starts_apart
        self._starts.append(instant)
        if len(self._starts) > together:
            over = self._starts.pop(0)
            if over > self._dark_since and instant - over < apart_ms:
                self._breaks(instant, f"{its.load.name} starts {instant - over} ms after others")

    def _judge_watts(self, instant: Instant) -> None:
        limit = self._guards.watts_at_once
        if limit is not None and self._watts > limit + 1e-3:
            self._breaks(instant, f"{self._watts} W are on")

    def _judge_gap(self, instant: Instant, its: _Load, *, is_wet: bool) -> None:
        if not is_wet:
            _begin_gap(instant, its)
            return
        since, its.dry_since = its.dry_since, None
        if since is None or not its.load.waters or self._stepped >= since:
            return
        if its.excuses == {Why.NO_POWER} and self._world.knows_time:
            # What the power's return brings about is told before the return itself.
            if self._back < self._dark_since or self._recovers_by(its) >= instant:
                return
        elif its.excuses:
            return
        off_ms = self._faults.trouble_at(since).clock_off_ms  # the plan goes by a clock so wrong
        allowed_ms = _allowed_gap_ms(
            its.load, since + off_ms, instant + off_ms, delays_ms=self._delays_ms(its)
        )
        if its.dry_at_adoption_ms:  # then at the latest, in turn, or as both plans have it
            allowed_ms = max(allowed_ms, its.dry_at_adoption_ms + self._queue_ms(its))
            allowed_ms += self._delays_ms(its)
        if instant - since > allowed_ms and its.missed < since:
            self._breaks(
                instant, f"{its.load.name} was dry for {instant - since} ms, {allowed_ms} allowed"
            )

    def _recovers_by(self, its: _Load) -> Instant:
        """When a pump must have its recovery watering, if it is the last of all pumps."""
        if self._guards.watts_at_once is not None:
            return _NEVER  # it may have to wait for watts
        timelines = (its.load.own, *its.load.variant_timelines)
        if any(timeline.piece_at(self._back).cycle.dry_gap_ms is None for timeline in timelines):
            return _NEVER  # the plan rests then without an end, and so need the roots
        return self._back + self._queue_ms(its) + self._delays_ms(its)

    def _queue_ms(self, its: _Load) -> int:
        """How long the recovery waterings of all other pumps take, one after another."""
        return sum(
            max(_longest_watering_ms(timeline) for timeline in (of.own, *of.variant_timelines))
            for of in (each.load for each in self._loads)
            if of.waters and of is not its.load
        )

    def _delays_ms(self, its: _Load) -> int:
        """What the guards may add to a gap of the plan without a word."""
        load = its.load
        delays_ms = max(load.shortest_off_ms, 1_000) + load.shortest_on_ms
        delays_ms += self._guards.starts_apart * len(self._loads)
        if self._guards.watts_at_once is not None:  # a whole watering may pass, not more
            timelines = (load.own, *load.variant_timelines)
            # Two may run into one where spans meet.
            delays_ms += 2 * max(_longest_watering_ms(timeline) for timeline in timelines)
        return delays_ms

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Learns what happens besides changes."""
        if notice.event is Event.POWER_LOST:
            self._dark_since = instant
        elif notice.event is Event.CONTROLLER_BACK:
            self._back = instant
        elif notice.event is Event.POWER_BACK:
            self._back = instant
            unknown_ms = 0 if self._world.knows_time else instant - self._dark_since
            for its in self._loads:
                its.hold_ends += unknown_ms
        elif notice.event in {Event.CLOCK_STEPPED, Event.CLOCK_TRUSTED, Event.CLOCK_LOST}:
            self._stepped = instant
        elif notice.event is Event.HOLD_BEGAN:
            for_ms = max(
                for_ms for at, name, for_ms in self._holds
                if at == instant and name == notice.subject
            )  # fmt: skip
            self._loads[self._places[notice.subject]].hold_ends = instant + for_ms
        elif notice.event is Event.ALARM_RAISED and notice.detail.startswith(_MISSED):
            self._loads[self._places[notice.subject]].missed = instant

    def finish(self, end: Instant) -> None:
        """Judges what still lasts, and whether all is well again after the last calm day."""
        for its in self._loads:
            longest_ms = its.load.longest_on_ms
            if its.is_on and its.since and longest_ms and end - its.since > longest_ms:
                self._breaks(end, f"{its.load.name} has been on for {end - its.since} ms")
            if _is_plain(self._world, its.load):
                self._judge_calm(its, end)

    def _judge_calm(self, its: _Load, end: Instant) -> None:
        calm = end - DAY_MS
        done = [change for change in its.changes if change[0] > calm]
        planned = list(its.load.own.changes(calm, end))
        if done != planned:
            self._breaks(end, f"{its.load.name} did not come back to its plan on the calm day")


def _begin_gap(instant: Instant, its: _Load) -> None:
    if its.dry_since is None and its.since is not None:
        its.dry_since = instant
        its.dry_at_adoption_ms = 0
        its.excuses = {its.why} & _EXCUSES
    if its.is_on:  # a pump that fails
        its.excuses.add(Why.NO_FLOW)


def _is_plain(world: RandomWorld, load: LoadSchedule) -> bool:
    """Whether nothing in its plan keeps a load from the very instants of its cycle."""
    guards = world.schedule.plan.guards
    by_minutes = all(isinstance(span.anchor.base, ClockTime) for span in load.own.spans)
    shortest_ms = max(load.shortest_on_ms, load.shortest_off_ms)
    return (
        not load.variants
        and load.longest_on_ms is None
        and shortest_ms <= (MINUTE_MS if by_minutes else 0)
        and not guards.starts_apart
        and guards.watts_at_once is None
    )


def _longest_watering_ms(timeline: Timeline) -> int:
    lengths_ms = [span.cycle.watering_ms for span in timeline.spans]
    return max(_NEVER if length_ms is None else length_ms for length_ms in lengths_ms)


def _allowed_gap_ms(load: LoadSchedule, start: Instant, end: Instant, *, delays_ms: int) -> int:
    """The longest dry time that the plan and its variants themselves have around a gap."""
    timelines = (load.own, *load.variant_timelines)
    gaps_ms = [timeline.piece_at(start).cycle.dry_gap_ms or 0 for timeline in timelines]
    if end - start <= min(gaps_ms):  # as nearly always
        return min(gaps_ms)
    if len(timelines) == 1:
        return _longest_off_ms(load.own, start, end) + delays_ms
    # Between plan and variant a gap may be begun by the one and ended by the other, each time.
    return sum(2 * _longest_off_ms(timeline, start, end) for timeline in timelines) + delays_ms


def _longest_off_ms(timeline: Timeline, start: Instant, end: Instant) -> int:
    """The longest time off of a timeline that touches a stretch of time."""
    begin, longest_ms = start - DAY_MS, 0
    off_since = None if timeline.state_at(begin) else begin
    for instant, is_on in timeline.changes(begin, end + DAY_MS):
        if is_on and off_since is not None:
            if instant >= start:
                longest_ms = max(longest_ms, instant - off_since)
            off_since = None
        elif not is_on:
            off_since = instant
            if instant > end:
                break
    return longest_ms if off_since is None or off_since > end else _NEVER
