"""Flow meters: litres out of pulses, and when a meter is asked."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.errors import UnusableLineError
from controller.shell.board.inputs import Inputs, PulseCounter
from controller.shell.board.mock_board import MockInputLines
from controller.shell.sensors.flow import FlowMeter
from controller.shell.sensors.flow_watch import FlowWatch, Pumped
from controller.shell.sensors.inputs import Pull
from tests.stage.virtual_loop import run_virtually
from tests.strategies import examples


class Meter:
    """A meter of 60 pulses a litre, so that a pulse a second is a litre a minute."""

    def __init__(self, window_ms: int = 10_000) -> None:
        self.lines = MockInputLines()
        self.inputs = Inputs(self.lines)
        self.meter = FlowMeter(
            self.inputs, 6, pull="up", pulses_per_litre=60, window_ms=window_ms, tick=0
        )

    def pulse(self, times: int) -> None:
        """Water moves."""
        for _ in range(times):
            self.lines.drive(6, level=False)
            self.lines.drive(6, level=True)

    def close(self) -> None:
        """Ends it."""
        self.meter.close()
        self.inputs.close()


def test_pulses_over_the_time_between_readings_are_the_flow() -> None:
    """Twenty pulses in ten seconds of a meter with 60 a litre are two litres a minute."""
    one = Meter()
    one.pulse(20)
    assert one.meter.read(10_000) == 2.0
    one.pulse(5)
    assert one.meter.read(20_000) == 0.5
    one.close()


def test_no_pulse_for_a_window_is_no_flow() -> None:
    """It is told as zero, and not as silence."""
    one = Meter()
    one.pulse(20)
    assert [one.meter.read(tick) for tick in (10_000, 20_000, 30_000)] == [2.0, 0.0, 0.0]
    one.close()


def test_nothing_is_told_before_the_first_window_is_over() -> None:
    """A meter that has just been taken into use does not say that no water moves."""
    one = Meter()
    assert [one.meter.read(tick) for tick in (0, 5_000, 9_999)] == [None, None, None]
    assert one.meter.read(10_000) == 0.0
    one.close()


def test_asking_again_at_once_does_not_find_the_water_standing() -> None:
    """A reading right after another one looks back over a whole window as well."""
    one = Meter()
    one.pulse(20)
    assert one.meter.read(10_000) == 2.0
    assert one.meter.read(10_001) == pytest.approx(2.0, rel=1e-3)
    assert one.meter.read(19_999) == pytest.approx(1.0, rel=1e-3)
    assert one.meter.read(20_000) == 0.0
    one.close()


@given(st.lists(st.tuples(st.integers(0, 15_000), st.integers(0, 5)), min_size=1, max_size=30))
@examples(100)
def test_no_flow_is_told_only_when_none_came_for_a_window(steps: list[tuple[int, int]]) -> None:
    """Against the list of all pulses: zero means none in the last window, and a pulse in it
    means more than zero."""
    one = Meter()
    tick, pulses = 0, list[int]()
    for wait_ms, count in steps:
        tick += wait_ms
        one.pulse(count)
        pulses += [tick] * count
        flow = one.meter.read(tick)
        if flow is None:
            assert tick < 10_000
        elif flow == 0:
            assert not [pulse for pulse in pulses if pulse > tick - 10_000]
        else:
            assert pulses
    one.close()


def test_a_line_that_is_lost_is_told() -> None:
    """And can be given back all the same."""
    one = Meter()
    one.inputs.unwatch(6)
    with pytest.raises(UnusableLineError):
        one.meter.read(10_000)
    one.close()


class BrokenInputs(Inputs):
    """Lines whose pulses cannot be read."""

    def count(self, line: int, *, pull: Pull) -> PulseCounter:
        """A counter that has ended already."""
        counter = super().count(line, pull=pull)
        counter.close()
        return counter


def test_a_meter_that_cannot_be_read_keeps_no_line() -> None:
    """It can be asked for again when it works."""
    lines = MockInputLines()
    inputs = BrokenInputs(lines)
    with pytest.raises(UnusableLineError):
        FlowMeter(inputs, 6, pull="up", pulses_per_litre=60, window_ms=10_000, tick=0)
    Inputs(lines).count(6, pull="up").close()
    inputs.close()


def asked(pumps: dict[str, Pumped], script: Sequence[tuple[float, set[str]]]) -> list[object]:
    """When which meter is asked (ms), if the loads that are on change as the script says."""

    async def run() -> list[object]:
        loop = asyncio.get_running_loop()
        calls: list[object] = []

        def read(names: Sequence[str]) -> None:
            calls.append((round(loop.time() * 1000), *names))

        watch = FlowWatch(read)
        watch.set(pumps)
        for wait_s, loads_on in script:
            await asyncio.sleep(wait_s)
            watch.attend(loads_on)
        watch.set({})
        await asyncio.sleep(3_600)
        return calls

    return run_virtually(run())


def test_a_meter_is_asked_when_water_must_have_arrived() -> None:
    """Just after `flow_within`, and then as often; not while the pump is off."""
    pumps = {"pump": Pumped("meter", 30_000)}
    script: list[tuple[float, set[str]]] = [
        (100, {"lamp"}),
        (0, {"lamp", "pump"}),
        (45, {"pump"}),
        (50, set()),
        (100, {"pump"}),
        (10, set()),
    ]
    assert asked(pumps, script) == [
        (130_020, "meter"),
        (160_020, "meter"),
        (190_020, "meter"),
    ]


def test_a_meter_is_not_asked_more_often_than_each_second() -> None:
    """However soon its pump's water is there."""
    pumps = {"pump": Pumped("meter", 100)}
    script: list[tuple[float, set[str]]] = [(0, {"pump"}), (3.5, set())]
    assert asked(pumps, script) == [
        (120, "meter"),
        (1_120, "meter"),
        (2_120, "meter"),
        (3_120, "meter"),
    ]


def test_two_pumps_on_one_meter_are_watched_each() -> None:
    """Each has its own time."""
    pumps = {"a": Pumped("meter", 10_000), "b": Pumped("meter", 25_000)}
    script: list[tuple[float, set[str]]] = [(0, {"a"}), (5, {"a", "b"}), (10, {"b"}), (20, set())]
    assert asked(pumps, script) == [(10_020, "meter"), (30_020, "meter")]


def test_another_plan_goes_on_watching_the_pumps_that_stay() -> None:
    """A pump that stays keeps its time, one that changes starts anew, one that goes is left."""

    async def run() -> list[object]:
        loop = asyncio.get_running_loop()
        calls: list[object] = []
        watch = FlowWatch(lambda names: calls.append((round(loop.time() * 1000), *names)))
        watch.set({name: Pumped(name, 10_000) for name in ("stays", "changes", "goes")})
        watch.attend({"stays", "changes", "goes"})
        await asyncio.sleep(5)
        watch.set({"stays": Pumped("stays", 10_000), "changes": Pumped("changes", 20_000)})
        await asyncio.sleep(21)
        watch.set({})
        return calls

    assert run_virtually(run()) == [(10_020, "stays"), (20_020, "stays"), (25_020, "changes")]
