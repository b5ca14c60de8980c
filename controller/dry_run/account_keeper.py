"""Keeps the account of a run as it happens, in memory that does not grow with its length."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.orders import Event, Why
from controller.core.schedule import MICROWATTS_OF_A_WATT
from controller.core.units import HOUR_MS, Instant, day_number
from controller.dry_run.account import Account, LoadAccount, Remark, Stretch
from controller.dry_run.cost_meter import CostMeter, tariff_of
from controller.dry_run.listeners import Change, tell_again
from controller.dry_run.tally import LoadPeriod, Tally, load_periods

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.calendar import Calendar
    from controller.core.orders import Notice, Reason
    from controller.core.schedule import LoadSchedule, Schedule
    from controller.dry_run.listeners import Told

REMARKS_MAX = 500  # alarms, and as many other notices


def _stretch(start: Instant, length_ms: int) -> Stretch | None:
    return Stretch(start, start + length_ms) if length_ms else None


def midnight_after(calendar: Calendar, instant: Instant) -> Instant:
    """The first beginning of a local date after an instant."""
    number = day_number(calendar.date_of(instant)) + 1
    while (midnight := calendar.midnight(number)) <= instant:
        number += 1  # the zone skipped a date, or put its clocks back over midnight
    return midnight


class AccountKeeper:
    """The listener that keeps the account. Days are the site's local dates."""

    def __init__(self, schedule: Schedule) -> None:
        self._schedule = schedule
        self._tallies: list[Tally] = []
        self._start: Instant = 0
        self._midnight: Instant = 0  # at which the local date under way ends
        self._microwatts_of = [load.microwatts for load in schedule.loads]
        self._microwatts = 0  # of what is on, since `_microwatts_since`
        self._microwatts_since: Instant = 0
        self._microwatts_max = 0
        self._microwatts_max_at: Instant = 0
        self._remarks: list[Remark] = []
        self._kept = {True: 0, False: 0}  # remarks, by whether they are alarms
        self._left_out = 0
        self._account: Account | None = None
        energy = schedule.plan.energy
        self._meter = None
        if energy is not None:
            self._meter = CostMeter(tariff_of(energy), schedule.calendar.zone)

    @property
    def account(self) -> Account:
        """The account of a finished run."""
        if self._account is None:
            raise RuntimeError("the run is not finished: its account is not closed")
        return self._account

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """Opens the account."""
        self._start = self._microwatts_since = self._microwatts_max_at = start
        self._midnight = midnight_after(self._schedule.calendar, start)
        self._tallies = [
            Tally(is_on, is_on, start, None if is_on else start, reason.why, start, start)
            for is_on, reason in states
        ]
        of_loads = zip(self._microwatts_of, states, strict=True)
        self._microwatts = sum(microwatts for microwatts, (is_on, _) in of_loads if is_on)

    def change(
        self, instant: Instant, place: int, reason: Reason, *, is_on: bool, is_wet: bool
    ) -> None:
        """Adds up what ends here and begins what follows."""
        if instant >= self._midnight:
            self._end_days(instant)
        tally = self._tallies[place]
        if reason.why is not tally.why:
            tally.end_why(reason.why, instant)
        if is_wet is not tally.is_wet:
            tally.end_wetness(is_wet=is_wet, instant=instant)
        if is_on is tally.is_on:
            return
        if instant != self._microwatts_since:
            self._end_microwatts(instant)
        if tally.is_on:
            self._book_cost(place, instant)
        tally.end_state(is_on=is_on, instant=instant)
        tally.switches += 1
        if is_on:
            tally.starts += 1
            tally.day_starts += 1
            tally.count_hour(instant // HOUR_MS)
            self._microwatts += self._microwatts_of[place]
        else:
            self._microwatts -= self._microwatts_of[place]

    def again(self, told: Sequence[Told], *, period_ms: int, times: int) -> None:
        """The period just over comes again: day by day at one go, but for the period over
        midnight."""
        changes = [one for one in told if isinstance(one, Change)]
        if len(changes) < len(told):  # a notice is kept with its instant
            tell_again(self, told, period_ms=period_ms, times=times)
            return
        done = 0
        while done < times:
            last = changes[-1].instant
            at_once = min(times - done, (self._midnight - 1 - last) // period_ms)
            # What ended in the period just over may have been under way when the run began.
            if at_once > 0 and last - 2 * period_ms >= self._start:
                shifts_ms = range(period_ms, (at_once + 1) * period_ms, period_ms)
                self._book_again(changes, shifts_ms)
                done += at_once
                changes = [one.later(shifts_ms[-1]) for one in changes]
            if done < times:
                tell_again(self, changes, period_ms=period_ms, times=1)
                done += 1
                changes = [one.later(period_ms) for one in changes]

    def _book_again(self, changes: Sequence[Change], shifts_ms: range) -> None:
        """Books the changes of the period just over once for each shift; all within a day."""
        periods = load_periods(changes, shifts_ms.step)
        toggles = [toggle for one in periods.values() for toggle in one.toggles]
        if toggles:
            self._end_microwatts(min(toggles) + shifts_ms[0])
            self._microwatts_since = max(toggles) + shifts_ms[-1]
        for place, one in periods.items():
            self._book_costs(place, one, shifts_ms)
            self._tallies[place].again(one, shifts_ms)

    def _book_costs(self, place: int, period: LoadPeriod, shifts_ms: range) -> None:
        if self._meter is None:
            return
        tally, watts = self._tallies[place], self._schedule.loads[place].watts
        for shift_ms in shifts_ms:
            for start, end in period.runs:
                tally.cost += self._meter.cost(watts, start + shift_ms, end + shift_ms)

    def _end_microwatts(self, instant: Instant) -> None:
        """Books the power that was drawn until now. What loads that change at one instant
        draw between their changes lasts no time and is none."""
        if self._microwatts > self._microwatts_max:
            self._microwatts_max = self._microwatts
            self._microwatts_max_at = self._microwatts_since
        self._microwatts_since = instant

    def _book_cost(self, place: int, instant: Instant) -> None:
        """Books what a load that was on until now has cost since it came on."""
        if self._meter is not None:
            tally, watts = self._tallies[place], self._schedule.loads[place].watts
            tally.cost += self._meter.cost(watts, tally.since, instant)

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Keeps the first alarms and the first other notices; counts those beyond."""
        is_alarm = notice.event is Event.ALARM_RAISED
        if self._kept[is_alarm] < REMARKS_MAX:
            self._kept[is_alarm] += 1
            self._remarks.append(Remark(instant, notice))
        else:
            self._left_out += 1

    def finish(self, end: Instant) -> None:
        """Closes the account."""
        self._end_days(end - 1)
        self._end_microwatts(end)
        for place, tally in enumerate(self._tallies):
            if tally.is_on:
                self._book_cost(place, end)
            tally.end_wetness(is_wet=tally.is_wet, instant=end)
            tally.end_why(tally.why, end)
            tally.end_state(is_on=tally.is_on, instant=end)
            tally.end_day(end)
        loads = {
            load.name: self._closed(load, tally)
            for load, tally in zip(self._schedule.loads, self._tallies, strict=True)
        }
        self._account = Account(
            start=self._start,
            end=end,
            loads=loads,
            watts_max=self._microwatts_max / MICROWATTS_OF_A_WATT,
            watts_max_at=self._microwatts_max_at,
            remarks=tuple(self._remarks),
            remarks_left_out=self._left_out,
            currency=self._schedule.plan.currency,
        )

    def _closed(self, load: LoadSchedule, tally: Tally) -> LoadAccount:
        stated = self._schedule.plan.loads[load.name]
        energy_kwh = None
        if stated.watts is not None:
            energy_kwh = tally.on_ms / HOUR_MS * stated.watts / 1000
        return LoadAccount(
            name=load.name,
            kind=load.kind,
            on_ms=tally.on_ms,
            starts=tally.starts,
            switches=tally.switches,
            longest_dry_gap=_stretch(tally.gap_start, tally.gap_ms),
            longest_on=_stretch(tally.longest_on_start, tally.longest_on_ms),
            most_starts_a_day=tally.most_starts_a_day,
            most_starts_an_hour=tally.most_starts_an_hour,
            most_on_a_day_ms=tally.most_on_a_day_ms,
            energy_kwh=energy_kwh,
            contact_life=stated.contact_life,
            whys={why: ms for why, ms in tally.whys.items() if ms and why is not Why.PLAN},
            cost=None if energy_kwh is None or self._meter is None else tally.cost,
        )

    def _end_days(self, instant: Instant) -> None:
        while instant >= self._midnight:
            for tally in self._tallies:
                tally.end_day(self._midnight)
            self._midnight = midnight_after(self._schedule.calendar, self._midnight)
