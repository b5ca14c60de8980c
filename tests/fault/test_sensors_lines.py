"""Lines under plans that come and go, and pumps whose water stays away."""

from __future__ import annotations

import asyncio

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.decide import decide
from controller.core.errors import UnusableLineError
from controller.core.memory import Memory
from controller.core.observation import Observation
from controller.core.orders import Why
from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from tests.sensing import Sensing, plan_with, sensing
from tests.stage.virtual_loop import run_virtually
from tests.strategies import examples

LINES = range(4)

on_lines = st.one_of(
    st.none(),
    st.sampled_from(["level", "leak", "stop"]).map(lambda quantity: {"measures": quantity}),
    st.sampled_from([1.0, 450.0]).map(
        lambda pulses: {"measures": "flow", "pulses_per_litre": pulses}
    ),
)
sensors_on_lines = st.tuples(
    st.lists(on_lines, min_size=4, max_size=4), st.permutations(LINES)
).map(
    lambda drawn: {
        f"s{place}": {**sensor, "line": line}
        for place, (sensor, line) in enumerate(zip(*drawn, strict=True))
        if sensor is not None
    }
)


def taken(world: Sensing) -> set[int]:
    """The lines that cannot be had because a sensor has them."""
    lines = set()
    for line in LINES:
        try:
            world.lines.close(world.lines.open(line, pull="up", debounce_ms=0, edges="both"))
        except UnusableLineError:
            lines.add(line)
    return lines


@given(st.lists(sensors_on_lines, min_size=1, max_size=6))
@examples(40)
def test_no_line_is_lost_or_kept_whichever_plan_follows(
    plans: list[dict[str, dict[str, object]]],
) -> None:
    """After each change of the plan its sensors have their lines and nobody has another;
    every contact speaks; at the end all lines are free."""

    async def run() -> None:
        with sensing() as world:
            for sensors in plans:
                world.sensors.watch(plan_with(sensors))
                assert taken(world) == {sensor["line"] for sensor in sensors.values()}
                contacts = {name for name, one in sensors.items() if one["measures"] != "flow"}
                assert contacts <= set(world.sensors.readings) <= set(sensors)
                await asyncio.sleep(61)
                assert set(world.sensors.readings) == set(sensors)
                assert world.sensors.why_silent == {}
            world.sensors.close()
            assert taken(world) == set()

    run_virtually(run())


class Pump:
    """A pump, always on by its plan, whose meter sees water as long as a test lets it flow."""

    def __init__(self, world: Sensing, plan: Plan, *, pulses_a_second: int) -> None:
        self._world = world
        self._schedule = make_schedule(plan)
        self._memory: Memory | None = None
        self.pulses_a_second = pulses_a_second
        self.changes: list[tuple[float, bool, Why]] = []

    async def run(self, seconds: int) -> None:
        """Decides at each wake and each news, as the loop does."""
        self._world.sensors.watch(self._schedule.plan)
        loop = asyncio.get_running_loop()
        end_s = loop.time() + seconds
        water = asyncio.create_task(self._flow())
        while loop.time() < end_s:
            wake = self._decide()
            news = self._world.news
            _, tick = self._world.read_clock()
            try:
                async with asyncio.timeout(max(0.0, min((wake - tick) / 1000, 3_600))):
                    await self._world.until(lambda: self._world.news > news)  # noqa: B023
            except TimeoutError:
                continue
        water.cancel()

    def _decide(self) -> int:
        now, tick = self._world.read_clock()
        seen = Observation(now, tick, 1, True, self._world.sensors.readings)
        decision = decide(self._schedule, self._memory, seen)
        self._memory = decision.memory
        for order in decision.orders:
            at_s = round((tick - 3_600_000) / 1000, 1)
            self.changes.append((at_s, order.is_on, order.reason.why))
        self._world.sensors.attend({"pump"} if self._memory.loads[0].is_on else ())
        return decision.wake

    async def _flow(self) -> None:
        while True:
            await asyncio.sleep(1)
            if self._memory is not None and self._memory.loads[0].is_on:
                for _ in range(self.pulses_a_second):
                    self._world.lines.drive(6, level=False)
                    self._world.lines.drive(6, level=True)


PUMP = {
    "kind": "pump",
    "flow": "meter",
    "flow_within": "30s",
    "spans": [{"from": "00:00", "cycle": "on"}],
}
METER = {"measures": "flow", "line": 6, "pulses_per_litre": 450}


@pytest.mark.parametrize(
    "every", [pytest.param("10s", id="read often"), pytest.param("5m", id="read rarely")]
)
def test_a_pump_that_moves_no_water_stops_when_water_must_be_there(every: str) -> None:
    """At `flow_within`, however rarely the meter is read otherwise; tried again in 15 min."""

    async def run() -> list[tuple[float, bool, Why]]:
        with sensing() as world:
            plan = plan_with({"meter": {**METER, "every": every}}, pump=PUMP)
            pump = Pump(world, plan, pulses_a_second=0)
            await pump.run(1_000)
            return pump.changes

    assert run_virtually(run()) == [
        (0.0, True, Why.PLAN),
        (30.0, False, Why.NO_FLOW),
        (930.0, True, Why.PLAN),
        (960.0, False, Why.NO_FLOW),
    ]


def test_a_pump_that_moves_water_goes_on() -> None:
    """A pulse a second is a ninth of a litre a minute, and enough."""

    async def run() -> list[tuple[float, bool, Why]]:
        with sensing() as world:
            pump = Pump(world, plan_with({"meter": METER}, pump=PUMP), pulses_a_second=1)
            await pump.run(3_600)
            return pump.changes

    assert run_virtually(run()) == [(0.0, True, Why.PLAN)]


@given(st.integers(1, 300))
@examples(25)
def test_a_pump_that_jams_stops_within_twice_the_time_for_water(after_s: int) -> None:
    """Whenever it happens."""

    async def run() -> list[tuple[float, bool, Why]]:
        with sensing() as world:
            pump = Pump(world, plan_with({"meter": METER}, pump=PUMP), pulses_a_second=15)

            async def jam() -> None:
                await asyncio.sleep(after_s)
                pump.pulses_a_second = 0

            jamming = asyncio.create_task(jam())
            await pump.run(500)
            await jamming
            return pump.changes

    changes = run_virtually(run())
    assert [(is_on, why) for _, is_on, why in changes] == [(True, Why.PLAN), (False, Why.NO_FLOW)]
    assert after_s <= changes[1][0] <= max(30, after_s) + 60.5
