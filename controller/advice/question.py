"""What advice is asked for, made ready: one plan, one time, and the air of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from controller.advice.figures import Period
from controller.advice.summer import SUMMER_DAYS, summer_of
from controller.core.errors import NoAdviceError
from controller.core.lifts import lifting_of
from controller.core.plan_rules.rule import WATERERS
from controller.core.plan_text.likely import likely_word
from controller.core.schedule import make_schedule
from controller.core.units import rfc3339
from controller.core.water.lifting_words import lifting_words
from controller.dry_run.water.run_air import RunAir
from controller.paper.carrying_out import period
from controller.weather.air_source import air_source
from controller.weather.coverage import time_told

if TYPE_CHECKING:
    from controller.advice.trial import Watch
    from controller.core.cycle import Cycle
    from controller.core.plan import Plan
    from controller.core.plan_text.reading import ReadPlan
    from controller.core.schedule import Schedule
    from controller.core.units import Instant
    from controller.weather.air_source import AirSource
    from controller.weather.weather import Weather


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A plan, the time and the air that it is asked about, and how.

    `tries` are cycles for the whole day, each with the text that it was written as.
    """

    read: ReadPlan
    weather: Weather | None
    schedule: Schedule
    period: Period
    air: RunAir
    tries: tuple[tuple[str, Cycle], ...]
    samples: int
    seed: int
    watch: Watch


def question_of(
    read: ReadPlan,
    weather: Weather | None,
    *,
    start: date | Instant | None,
    days: int | None,
    tries: tuple[tuple[str, Cycle], ...],
    samples: int,
    seed: int,
    watch: Watch,
) -> Question:
    """The question, over so many days from `start` on; where they are None, the summer of the
    weather file.

    Raises:
        NoAdviceError: there is no such time, or no weather in it.
        BadInstantError: it would go on after the last date that can be computed.
    """
    schedule = make_schedule(read.plan)
    count = SUMMER_DAYS if days is None else days
    if start is None:
        if weather is None:
            raise NoAdviceError(
                "without a weather file nobody knows the summer: give --weather FILE, or --from "
                "and a date"
            )
        start, count = summer_of(read.plan, weather, days=count)
    begin, end = period(schedule, start, count)
    if weather is not None:
        _refuse_other_times(air_source(read.plan.site, weather), weather, begin, end)
    air = RunAir.of(read.plan.site, weather, start=begin, end=end)
    return Question(
        read=read,
        weather=weather,
        schedule=schedule,
        period=Period(begin, end, count),
        air=air,
        tries=tries,
        samples=samples,
        seed=seed,
        watch=watch,
    )


def _refuse_other_times(source: AirSource, weather: Weather, begin: Instant, end: Instant) -> None:
    first, last = time_told(source, weather)
    if not weather.is_typical_year and (end <= first or begin > last):
        raise NoAdviceError(
            f"{weather.source} has weather from {rfc3339(first)} to {rfc3339(last)}, and advice "
            f"was asked for {rfc3339(begin)} to {rfc3339(end)}: give --from and --days within it"
        )


def loads_to_advise(plan: Plan, named: str | None) -> list[str]:
    """The loads that advice is for: the one that is named, or all that water a stand.

    Raises:
        NoAdviceError: there is none, or its pump does not lift.
    """
    watering = list(dict.fromkeys(stand.watered_by for stand in plan.stands.values()))
    loads = [name for name in plan.loads if name in watering] if named is None else [named]
    if named is not None and named not in plan.loads:
        likely = likely_word(named, list(plan.loads))
        raise NoAdviceError(
            f"the plan has no load {named!r}; its loads are {', '.join(plan.loads)}"
            + (f" (did you mean {likely}?)" if likely else "")
        )
    for name in loads:
        if name not in watering:
            kind = plan.loads[name].kind
            mend = (
                f'add [stands.heads] with watered_by = "{name}"'
                if kind in WATERERS
                else f"name a {' or '.join(WATERERS)} that waters one"
            )
            raise NoAdviceError(f"{name} waters no stand of the plan: {mend}")
    if not loads:
        raise NoAdviceError(
            "the plan has no stand, so nobody knows what its plants drink: add [stands.heads] "
            "with watered_by, plants, age_days, medium, place and plants_per_m2"
        )
    for name in loads:
        _refuse_weak_pump(plan, name)
    return loads


def _refuse_weak_pump(plan: Plan, load: str) -> None:
    lift = plan.loads[load].lift
    if lift is not None and not lifting_of(lift).lifts:
        raise NoAdviceError(
            f"loads.{load}.lift: {lifting_words(lifting_of(lift))} No cycle helps: take a pump "
            "with a higher shut-off head, a wider hose, or bring the outlet down."
        )
