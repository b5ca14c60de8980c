"""The listener that keeps the account of a run's water."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.demand.present_air import room_of
from controller.core.stands import stands_of
from controller.dry_run.listeners import Change, tell_again
from controller.dry_run.water.course import course_of, lit_shares
from controller.dry_run.water.dry_times import DryTimes
from controller.dry_run.water.lifts import lift_accounts
from controller.dry_run.water.reservoirs import drawn_litres, reservoir_account
from controller.dry_run.water.run_air import RunAir
from controller.dry_run.water.stand_keeper import StandKeeper
from controller.dry_run.water.water_account import WaterAccount

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from controller.core.orders import Notice, Reason
    from controller.core.plan import Plan
    from controller.core.schedule import Schedule
    from controller.core.stands import StandFacts
    from controller.core.units import Instant
    from controller.core.water.leaf_hour import LeafHour
    from controller.dry_run.listeners import Told
    from controller.dry_run.water.course import Course
    from controller.dry_run.water.water_account import CoursePoint, ReservoirAccount
    from controller.weather.weather import Weather


def tells_of_water(plan: Plan, weather: Weather | None) -> bool:
    """Whether there is anything to account for: stands, lifts, reservoirs, or weather."""
    lifts = any(load.lift is not None for load in plan.loads.values())
    return bool(plan.stands or plan.reservoirs or lifts or weather is not None)


class WaterKeeper:
    """Keeps the account of a run's water, during [start, end)."""

    def __init__(
        self, schedule: Schedule, weather: Weather | None, *, start: Instant, end: Instant
    ) -> None:
        plan = schedule.plan
        self._schedule = schedule
        self._air = air = RunAir.of(plan.site, weather, start=start, end=end)
        self._warmest, self._mildest = air.warmest_and_mildest()
        self._stands = stands_of(plan)
        courses = _Courses(schedule, air).of_stands(self._stands)
        self._reservoirs = self._followed(courses)
        self._keepers = [self._keeper(facts, courses[facts.name]) for facts in self._stands]
        self._watered: list[list[StandKeeper]] = [[] for _ in schedule.loads]
        self._lit: list[list[StandKeeper]] = [[] for _ in schedule.loads]
        for facts, keeper in zip(self._stands, self._keepers, strict=True):
            self._watered[schedule.places[facts.load]].append(keeper)
            lamp = plan.stands[facts.name].lamp
            if lamp is not None:
                self._lit[schedule.places[lamp]].append(keeper)
        self._account: WaterAccount | None = None

    @property
    def account(self) -> WaterAccount:
        """The account of a finished run."""
        if self._account is None:
            raise RuntimeError("the run is not finished: its account is not closed")
        return self._account

    def _followed(self, courses: dict[str, Course]) -> dict[str, ReservoirAccount]:
        plan, edges = self._schedule.plan, self._air.edges
        litres: dict[str, list[Sequence[Sequence[float]]]] = {name: [] for name in plan.reservoirs}
        for facts in self._stands:
            reservoir = plan.loads[facts.load].reservoir
            if reservoir is not None:
                shares = lit_shares(self._schedule.lamp_over(facts.name), edges)
                litres[reservoir].append(drawn_litres(facts, courses[facts.name], shares))
        return {name: reservoir_account(plan, name, litres[name], self._air) for name in litres}

    def _keeper(self, facts: StandFacts, course: Course) -> StandKeeper:
        reservoir = self._schedule.plan.loads[facts.load].reservoir
        dry_times = DryTimes.none()
        if reservoir is not None:
            dry_times = DryTimes.of(self._reservoirs[reservoir].happened)
        drawn = {self._warmest.date}
        if self._mildest is not None:
            drawn.add(self._mildest.date)
        return StandKeeper(
            facts,
            course,
            calendar=self._schedule.calendar,
            dates=[day.date for day in self._air.days],
            day_ends=self._air.day_ends,
            drawn=frozenset(drawn),
            dry_times=dry_times,
        )

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:
        """The state of pumps and lamps at the start; `start` is the run's."""
        assert start == self._air.start, "made for another run"
        plan, places = self._schedule.plan, self._schedule.places
        for facts, keeper in zip(self._stands, self._keepers, strict=True):
            lamp = plan.stands[facts.name].lamp
            is_wet, _ = states[places[facts.load]]
            is_lit = lamp is not None and states[places[lamp]][0]
            keeper.begin(is_wet=is_wet, is_lit=is_lit)

    def change(
        self,
        instant: Instant,
        place: int,
        reason: Reason,  # noqa: ARG002 - water does not ask why
        *,
        is_on: bool,
        is_wet: bool,
    ) -> None:
        """Tells the stands on that load."""
        for keeper in self._watered[place]:
            keeper.wet(instant, is_wet=is_wet)
        for keeper in self._lit[place]:
            keeper.light(instant, is_lit=is_on)

    def again(self, told: Sequence[Told], *, period_ms: int, times: int) -> None:
        """Tells the stands of all waterings at once, unless lamps come and go between them."""
        changes = [one for one in told if isinstance(one, Change)]
        if any(self._lit[one.place] for one in changes):
            tell_again(self, told, period_ms=period_ms, times=times)
            return
        is_wet = {one.place: one.is_wet for one in changes}  # at the end and at the begin
        instants: dict[int, list[Instant]] = {place: [] for place in is_wet}
        for one in changes:
            if one.is_wet is not is_wet[one.place]:
                is_wet[one.place] = one.is_wet
                instants[one.place].append(one.instant)
        for place, of_place in instants.items():
            for keeper in self._watered[place] if of_place else ():
                keeper.wet_again(of_place, is_wet=is_wet[place], period_ms=period_ms, times=times)

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Notices move no water."""

    def finish(self, end: Instant) -> None:
        """Closes the account; `end` is the run's."""
        assert end == self._air.end, "made for another run"
        calendar = self._schedule.calendar
        first, last = calendar.date_of(self._air.start), calendar.date_of(end - 1)
        stands = {}
        courses: dict[str, dict[date, tuple[CoursePoint, ...]]] = {}
        for facts, keeper in zip(self._stands, self._keepers, strict=True):
            done = keeper.finish()
            stands[facts.name] = done.account(facts, first=first, last=last)
            courses[facts.name] = done.courses
        self._account = WaterAccount(
            stands=stands,
            lifts=lift_accounts(self._schedule.plan),
            reservoirs=self._reservoirs,
            days=tuple(self._air.days),
            warmest=self._warmest.date,
            mildest=None if self._mildest is None else self._mildest.date,
            courses=courses,
            assumed_h=self._air.assumed_h,
            assumptions=tuple(self._air.assumptions),
        )


class _Courses:
    """Makes the courses of stands; those whose plants are alike share one."""

    def __init__(self, schedule: Schedule, air: RunAir) -> None:
        self._schedule = schedule
        self._air = air
        self._leaf_hours: list[LeafHour] | None = None

    def of_stands(self, stands: Sequence[StandFacts]) -> dict[str, Course]:
        """The course of each, by its name."""
        made: dict[object, Course] = {}
        courses = {}
        for facts in stands:
            room = room_of(self._schedule.plan.stands[facts.name])
            key = (facts.foliage, facts.age_days, facts.sown, room)
            if key not in made:
                made[key] = course_of(
                    facts,
                    room=room,
                    edges=self._air.edges,
                    hours=self._hours,
                    calendar=self._schedule.calendar,
                )
            courses[facts.name] = made[key]
        return courses

    def _hours(self) -> list[LeafHour]:
        if self._leaf_hours is None:
            self._leaf_hours = self._air.leaf_hours()
        return self._leaf_hours
