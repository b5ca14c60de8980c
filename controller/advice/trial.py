"""Candidates carried out on paper: on the worst days, and through the whole period."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from controller.advice.courses import wanted_by
from controller.advice.figures import (
    Row,
    WholePeriod,
    keeps,
    lefts_of,
    pump_figures,
)
from controller.advice.sampling import (
    WateredDay,
    band_of,
    store_of,
)
from controller.advice.waterings import Wettings, stretches_of
from controller.core.almanac import Almanac
from controller.core.schedule import make_schedule
from controller.core.stands import stands_of
from controller.core.water.bounds import Bounds
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.air import air_of
from controller.dry_run.run import run
from controller.dry_run.water.run_air import RunAir
from controller.dry_run.water.water_keeper import WaterKeeper
from controller.paper.carrying_out import carry_out, period
from controller.paper.run_limits import broken_limits

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date
    from typing import TypeAlias

    from controller.advice.candidate import Candidate
    from controller.advice.courses import Wanted
    from controller.advice.figures import Period
    from controller.advice.sampling import Drawn
    from controller.core.plan_text.reading import ReadPlan
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.core.water.root_store import RootStore
    from controller.dry_run.account import Account
    from controller.dry_run.listeners import Listener
    from controller.dry_run.water.water_account import WaterAccount
    from controller.weather.air_series import AirSeries
    from controller.weather.weather import Weather

    # Gives the listeners of a run of that name, start and end, such as one that shows progress.
    Watch: TypeAlias = Callable[[str, Instant, Instant], AbstractContextManager[Sequence[Listener]]]


class _Plants(NamedTuple):
    """A stand on one of the worst days: what it wants to drink, and for each plant drawn at
    random its roots and its place in the range of what it drinks."""

    wanted: Wanted
    drawn: list[tuple[RootStore, float]]


class _WorstDay(NamedTuple):
    """One of the worst days, its air, and what grows on the load on it."""

    start: Instant
    end: Instant
    air: Mapping[str, AirSeries]
    plants: list[_Plants]


class _Done(NamedTuple):
    """What a run of a worst day did."""

    account: Account
    water: WaterAccount
    changes: list[tuple[Instant, bool]]
    breaks: list[str]


class Trial:
    """Carries candidates for one load out.

    Args:
        read: the grower's plan.
        load: whose spans are tried.
        weather: of the file, if there is one.
        days: the worst days, the worst first.
        drawn: plants drawn at random, as many for each stand on the load.
        watch: see `Watch`.
    """

    def __init__(
        self,
        read: ReadPlan,
        load: str,
        weather: Weather | None,
        *,
        days: Sequence[date],
        drawn: Mapping[str, Sequence[Drawn]],
        watch: Watch,
    ) -> None:
        self._read = read
        self._load = load
        self._weather = weather
        self._watch = watch
        self._almanac = Almanac()
        schedule = make_schedule(read.plan, self._almanac)
        self._facts = [one for one in stands_of(read.plan) if one.load == load]
        self._reserves = {one.name: one.reserve for one in self._facts}
        self._drawn = drawn
        self._days = [self._worst_day(schedule, day) for day in days]

    def _worst_day(self, schedule: Schedule, day: date) -> _WorstDay:
        site = self._read.plan.site
        start, end = period(schedule, day, 1)
        air = RunAir.of(site, self._weather, start=start, end=end)
        plants = []
        for facts in self._facts:
            age_days = facts.age_days_on(day)
            if age_days is not None:
                drawn = [
                    (store_of(facts, age_days, one), one.demand) for one in self._drawn[facts.name]
                ]
                plants.append(_Plants(wanted_by(facts, schedule, air), drawn))
        series = air_of(site, self._weather, first=day, last=day).series
        return _WorstDay(start, end, series, plants)

    def on_worst_days(self, candidate: Candidate) -> Row:
        """The candidate's row of the table."""
        runs = [self._run_day(candidate, day) for day in self._days]
        lefts: dict[str, Bounds] = {}
        for done in runs:
            for name, left in lefts_of(done.water, self._load).items():
                lefts[name] = Bounds(*map(min, left, lefts.get(name, left)))
        sampled = self._sampled([done.changes for done in runs])
        reserves = [self._reserves[name] for name in sampled]
        kept = [
            all(left >= reserve for left, reserve in zip(plant, reserves, strict=True))
            for plant in zip(*sampled.values(), strict=True)
        ]
        return Row(
            candidate=candidate,
            pump=pump_figures(runs[0].account, self._load),
            lefts=lefts,
            bands={name: band_of(of, self._reserves[name]) for name, of in sampled.items()},
            kept_share=sum(kept) / len(kept),
            keeps_likely=keeps(lefts, self._reserves, corner=1),
            keeps_driest=keeps(lefts, self._reserves, corner=0),
            breaks=tuple(dict.fromkeys(name for done in runs for name in done.breaks)),
        )

    def through(self, candidate: Candidate, time: Period) -> WholePeriod:
        """The candidate through the whole period."""
        name = f"{self._load}: {candidate.label}"
        plan = candidate.plan(self._read.plan, self._load)
        schedule = make_schedule(plan, self._almanac)
        with self._watch(name, time.start, time.end) as listeners:
            done = carry_out(
                replace(self._read, plan=plan),
                schedule,
                start=time.start,
                end=time.end,
                weather=self._weather,
                listeners=listeners,
            )
        water = done.water
        assert water is not None, "a plan with stands has an account of water"
        lefts = lefts_of(water, self._load)
        days = [
            (day.driest.left_share.likely, day.driest.left_share.low, day.date)
            for stand in water.stands.values()
            if stand.load == self._load
            for day in stand.days
            if day.driest is not None
        ]
        return WholePeriod(
            candidate=candidate,
            pump=pump_figures(done.account, self._load),
            lefts=lefts,
            driest_day=min(days)[2],
            is_fit=keeps(lefts, self._reserves, corner=1)
            and not self._broken(schedule, done.account),
        )

    def _run_day(self, candidate: Candidate, day: _WorstDay) -> _Done:
        """Carries a day out; what the whole period is told by runs the same."""
        plan = candidate.plan(self._read.plan, self._load)
        schedule = make_schedule(plan, self._almanac)
        wettings = Wettings(schedule.places[self._load])
        account = AccountKeeper(schedule)
        water = WaterKeeper(schedule, self._weather, start=day.start, end=day.end)
        run(
            schedule,
            start=day.start,
            end=day.end,
            air=day.air,
            script=None,
            listeners=[account, water, wettings],
        )
        breaks = self._broken(schedule, account.account)
        return _Done(account.account, water.account, wettings.changes, breaks)

    def _broken(self, schedule: Schedule, account: Account) -> list[str]:
        """The limits of the load that a run did not hold."""
        places = [finding.where for finding in broken_limits(schedule, account)]
        own = f"loads.{self._load}.limits."
        return [place.removeprefix(own) for place in places if place.startswith(own)]

    def _sampled(self, runs: Sequence[list[tuple[Instant, bool]]]) -> dict[str, list[float]]:
        """What is left for each drawn plant of each stand that grows on any of the days."""
        lefts: dict[str, list[float]] = {}
        for day, changes in zip(self._days, runs, strict=True):
            for wanted, drawn in day.plants:
                watered = WateredDay(stretches_of(changes, wanted))
                of_day = [watered.left_share(store, demand) for store, demand in drawn]
                name = wanted.facts.name
                lefts[name] = list(map(min, of_day, lefts.get(name, of_day)))
        return lefts
