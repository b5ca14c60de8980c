"""The water models: a year of a row of columns with and without them, the same stepped by the
minute in SimPy, advice for a summer, and the page's preview of a day."""

from __future__ import annotations

import asyncio
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from math import isclose
from pathlib import Path
from typing import NamedTuple

from controller.advice.question import question_of
from controller.advice.search import advise
from controller.core.demand.present_air import room_of
from controller.core.orders import Notice, Reason, Why
from controller.core.schedule import Schedule, make_schedule
from controller.core.stands import stands_of
from controller.core.units import DAY_MS, MINUTE_MS, Instant
from controller.core.water.draw import Draw
from controller.core.water.nutrient_use import uptake_ec_ms_per_cm
from controller.core.water.reservoir import Reservoir, Solution
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.listeners import Listener
from controller.dry_run.run import run
from controller.dry_run.water.course import (
    CORNERS,
    DRIEST,
    LIKELY,
    WETTEST,
    Course,
    course_of,
    lit_shares,
)
from controller.dry_run.water.run_air import RunAir
from controller.dry_run.water.water_account import WaterAccount
from controller.dry_run.water.water_keeper import WaterKeeper
from controller.shell.plan_file import read_plan_file
from controller.shell.weather_file import read_weather
from controller.weather.weather import Weather
from tests.bench.measure import Result, percentile
from tests.bench.plans import columns, columns_text
from tests.bench.stepped import SteppedGarden, Tank
from tests.bench.web import asked_of_plan_ms
from tests.stage.daemon_process import DaemonProcess
from tests.stage.page_process import PageProcess
from tests.typical_years import GREENSBORO
from web.paper.preview import preview as preview_of

_EXAMPLES = Path(__file__).resolve().parents[2] / "controller" / "examples"
_YEAR_DAYS = 365
_STEPPED_DAYS = 2
_REPEATS = 2
# Hours of the file are Eastern standard time; so the days of both begin with one of its hours.
_NEW_YEAR = GREENSBORO.start_of("2026-01-01")
_JULY = GREENSBORO.start_of("2026-07-10")


class _Switching(NamedTuple):
    """A change of a load as a listener is told of it."""

    instant: Instant
    place: int
    is_on: bool
    is_wet: bool


class _Heard:
    """A listener that keeps what moves water."""

    def __init__(self) -> None:
        self.states: list[tuple[bool, Reason]] = []
        self.changes: list[_Switching] = []

    def begin(self, start: Instant, states: Sequence[tuple[bool, Reason]]) -> None:  # noqa: ARG002
        """Keeps the states."""
        self.states = list(states)

    def change(
        self,
        instant: Instant,
        place: int,
        reason: Reason,  # noqa: ARG002
        *,
        is_on: bool,
        is_wet: bool,
    ) -> None:
        """Keeps the change."""
        self.changes.append(_Switching(instant, place, is_on, is_wet))

    def notice(self, instant: Instant, notice: Notice) -> None:
        """Keeps nothing."""

    def finish(self, end: Instant) -> None:
        """Keeps nothing."""


def _carry_out(schedule: Schedule, start: Instant, days: int, *more: Listener) -> AccountKeeper:
    """The whole run, with whoever else listens."""
    keeper = AccountKeeper(schedule)
    end = start + days * DAY_MS
    run(schedule, start=start, end=end, air={}, script=None, listeners=[keeper, *more])
    return keeper


def _with_water(schedule: Schedule, weather: Weather, start: Instant, days: int) -> WaterAccount:
    keeper = WaterKeeper(schedule, weather, start=start, end=start + days * DAY_MS)
    _carry_out(schedule, start, days, keeper)
    return keeper.account


def _water_alone(schedule: Schedule, weather: Weather, heard: _Heard) -> WaterAccount:
    """The account of water from changes that are known already."""
    end = _NEW_YEAR + _YEAR_DAYS * DAY_MS
    keeper = WaterKeeper(schedule, weather, start=_NEW_YEAR, end=end)
    keeper.begin(_NEW_YEAR, heard.states)
    reason = Reason(Why.PLAN)
    for instant, place, is_on, is_wet in heard.changes:
        keeper.change(instant, place, reason, is_on=is_on, is_wet=is_wet)
    keeper.finish(end)
    return keeper.account


# Stepped by the minute


def _courses(schedule: Schedule, air: RunAir) -> dict[str, Course]:
    """What a plant of each stand wants; the dry run's own functions."""
    hours, found = air.leaf_hours(), {}
    for facts in stands_of(schedule.plan):
        found[facts.name] = course_of(
            facts,
            room=room_of(schedule.plan.stands[facts.name]),
            edges=air.edges,
            hours=lambda: hours,
            calendar=schedule.calendar,
        )
    return found


def _tanks(schedule: Schedule, air: RunAir, courses: dict[str, Course]) -> list[Tank]:
    """The reservoir, likely and in four corners, as the dry run follows it."""
    (stated,) = schedule.plan.reservoirs.values()
    litres = []
    for facts in stands_of(schedule.plan):
        shares = lit_shares(schedule.lamp_over(facts.name), air.edges)
        litres.append(courses[facts.name].litres(facts.plants, shares))
    draws = [
        Draw(air.edges, [sum(hour) for hour in zip(*(one[corner] for one in litres), strict=True)])
        for corner in range(len(CORNERS))
    ]
    reservoir = Reservoir(
        full_l=stated.full_l,
        inlet_at_l=stated.inlet_at_l,
        top_up_at_l=stated.top_up_at_l,
        losses_l_per_day=stated.losses_l_per_day,
    )
    solution = Solution.of_ec(stated.full_l, ec_ms_per_cm=stated.ec_ms_per_cm or 0.0)
    low, likely, high = uptake_ec_ms_per_cm()
    corners = [(LIKELY, likely), (WETTEST, low), (WETTEST, high), (DRIEST, low), (DRIEST, high)]
    return [
        Tank(reservoir, draws[corner], solution, uptake_ec=uptake) for corner, uptake in corners
    ]


def _stepped(schedule: Schedule, weather: Weather) -> tuple[float, SteppedGarden, list[Tank]]:
    """Some days of July, and the seconds that the steps of one day took."""
    end = _JULY + _STEPPED_DAYS * DAY_MS
    air = RunAir.of(schedule.plan.site, weather, start=_JULY, end=end)
    courses = _courses(schedule, air)
    tanks = _tanks(schedule, air, courses)
    garden = SteppedGarden(schedule, stands_of(schedule.plan), courses, tanks, start=_JULY)
    begun = time.process_time()
    garden.run(end)
    return (time.process_time() - begun) / _STEPPED_DAYS, garden, tanks


def _agree(account: WaterAccount, garden: SteppedGarden, tanks: list[Tank]) -> float:
    """The greatest difference of a stand's driest moment, as a share of what it holds.

    Raises:
        AssertionError: a stand is driest at another minute, or a tank holds something else.
    """
    apart = 0.0
    for name, stand in account.stands.items():
        ours, theirs = stand.driest, garden.driest[name]
        assert ours is not None
        assert abs(ours.instant - theirs.instant) <= MINUTE_MS, (name, ours, theirs)
        apart = max(apart, abs(ours.left_share.likely - theirs.share))
    assert apart < 1e-6, apart
    (reservoir,) = account.reservoirs.values()
    for follow, tank in zip(reservoir.happened.runs, tanks, strict=True):
        assert len(follow.top_ups) == tank.refills
        minute_l = 2 * tank.draw.between(follow.start, follow.end) / _STEPPED_DAYS / 1440
        left_l = follow.at(follow.end).water_l
        assert isclose(left_l, tank.solution.water_l, abs_tol=(1 + tank.refills) * minute_l)
    return apart


def water() -> list[Result]:
    """A year of hourly weather, 18 columns: with all models, without, and stepped."""
    weather, schedule = read_weather(GREENSBORO.path), make_schedule(columns())
    times: dict[str, list[float]] = {"bare": [], "all": [], "stepped": [], "alone": []}
    apart, switches = 0.0, 0
    for _ in range(_REPEATS):  # side by side: what disturbs one disturbs the others
        begun = time.process_time()
        account = _carry_out(schedule, _NEW_YEAR, _YEAR_DAYS).account
        times["bare"].append(time.process_time() - begun)
        begun = time.process_time()
        _with_water(schedule, weather, _NEW_YEAR, _YEAR_DAYS)
        times["all"].append(time.process_time() - begun)
        day_s, garden, tanks = _stepped(schedule, weather)
        times["stepped"].append(day_s * _YEAR_DAYS)
        apart = _agree(_with_water(schedule, weather, _JULY, _STEPPED_DAYS), garden, tanks)
        switches = sum(load.switches for load in account.loads.values())
    heard = _Heard()
    _carry_out(schedule, _NEW_YEAR, _YEAR_DAYS, heard)
    for _ in range(_REPEATS):
        begun = time.process_time()
        _water_alone(schedule, weather, heard)
        times["alone"].append(time.process_time() - begun)
    bare_s, all_s, stepped_s, alone_s = (min(of_one) for of_one in times.values())
    return [
        Result("water: year of 18 columns, all models", all_s, "s", "processor time", None, 5.0),
        Result("water: the same without water", bare_s, "s", f"{switches} changes"),
        Result("water: the water part alone", alone_s, "s", "from changes that are known"),
        Result(
            "water: stepped by the minute in SimPy",
            stepped_s,
            "s",
            f"extrapolated from {_STEPPED_DAYS} days of July; pumps as planned, no guards; its "
            f"driest moments are ours to {apart:.1g} of what roots hold",
        ),
        Result("water: SimPy over all of ours", stepped_s / all_s, "ratio", "", 10.0),
        Result("water: SimPy over our water part", stepped_s / alone_s, "ratio", "", 10.0),
    ]


# Advice and preview


@contextmanager
def _unwatched(name: str, start: Instant, end: Instant) -> Iterator[Sequence[Listener]]:
    yield ()


def advice() -> list[Result]:
    """Advice for one pump and the summer of a weather file."""
    read = read_plan_file(_EXAMPLES / "heat-wave.toml")
    weather = read_weather(GREENSBORO.path)

    begun = time.process_time()
    question = question_of(
        read, weather, start=None, days=None, tries=(), samples=200, seed=1, watch=_unwatched
    )
    found = advise(question, "pump")
    taken_s = time.process_time() - begun
    note = f"processor time; {len(found.rows)} plans told of"
    return [Result("advice: one pump, a summer", taken_s, "s", note, None, 30.0)]


# What is edited, and to what, with the seconds left out.
_EDITS = {
    'cycle = "15m on, 15m off"': 'cycle = "7m{}s on, 20m off"',
    'longest_rest = "40m"': 'longest_rest = "40m{}s"',
}


def _crowded_text(text: str) -> str:
    """The plan on demand with as many stands more as make a hundred, of fifty kinds, on its one
    pump."""
    more = [
        f"""
[stands.more_{number}]
watered_by = "pump"
plants = 2
age_days = {10 + number % 25}
medium = "expanded-clay"
medium_ml = 90
place = "{("outdoors", "under-glass")[number // 25 % 2]}"
plants_per_m2 = 22
air = "air"
"""
        for number in range(98)
    ]
    return text + "".join(more)


def _worked_ms(text: str, running: str, *, edits: int = 60) -> list[float]:
    """Processor time of a worker's answers, each to another cycle."""
    ((phrase, edited),) = [one for one in _EDITS.items() if one[0] in text]
    taken = []
    for number in range(edits):
        asked = {
            "text": text.replace(phrase, edited.format(number), 1),
            "running": running,
            "now": _JULY,
            "parts": ["next"],
            "share": [0, 1],
        }
        begun = time.process_time()
        assert preview_of(asked).days
        taken.append((time.process_time() - begun) * 1e3)
    return taken[edits // 6 :]


def preview() -> list[Result]:
    """The page's preview of the next day, of a plan with all models that is edited."""
    results = []
    heat_wave = (_EXAMPLES / "heat-wave.toml").read_text(encoding="utf-8")
    on_demand = (_EXAMPLES / "on-demand.toml").read_text(encoding="utf-8")
    for title, text, edits in (
        ("heat-wave", heat_wave, 60),
        ("on-demand", on_demand, 60),
        ("on-demand, 100 stands", _crowded_text(on_demand), 6),
        ("18 columns", columns_text(), 60),
    ):
        worked = _worked_ms(text, heat_wave, edits=edits)
        name = f"preview: {title}, a worker's processor time, p50"
        results.append(Result(name, percentile(worked, 50), "ms"))
    with tempfile.TemporaryDirectory() as folder:
        plan = _EXAMPLES / "heat-wave.toml"
        with DaemonProcess(Path(folder), plan, "--trust-clock") as daemon:
            daemon.start()
            with PageProcess(daemon.socket_path) as page:
                for title, text in (("heat-wave", heat_wave), ("18 columns", columns_text())):
                    taken = asyncio.run(asked_of_plan_ms(page, text, "next"))
                    for share, aim in ((50, None), (99, 50.0)):
                        name = f"preview: {title}, the next day with all models, p{share}"
                        figure = percentile(taken, share)
                        results.append(Result(name, figure, "ms", "", None, aim))
    return results


if __name__ == "__main__":
    for one in (*water(), *advice(), *preview()):
        sys.stdout.write(one.as_line() + "\n")
