"""Contacts on lines: which level means what, and what becomes of a flood of changes."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.observation import Tick
from controller.core.plan import Contact, Quantity
from controller.shell.sensors.contacts import ContactSensor, meaning
from controller.shell.sensors.inputs import Counter, Pull
from tests.sensing import PATIENCE_S
from tests.stage.virtual_loop import run_virtually
from tests.strategies import examples

# The trade's meaning: a resistor pulls the line to one side, the contact to the other.
OPEN = {"up": True, "down": False}  # the line's level while the circuit is open


@pytest.mark.parametrize("pull", ["up", "down"])
@pytest.mark.parametrize(
    ("quantity", "alarm"),
    [
        pytest.param("level", 0.0, id="low water"),
        pytest.param("leak", 1.0, id="a wet floor"),
        pytest.param("stop", 1.0, id="pressed"),
    ],
)
def test_a_broken_wire_of_a_normally_closed_contact_is_an_alarm(
    quantity: Quantity, alarm: float, pull: Pull
) -> None:
    """An open circuit reads as what the contact is there for, a closed one as all well."""
    is_open_high = OPEN[pull]
    says = [
        meaning(quantity, kind="normally-closed", pull=pull, is_high=level)
        for level in (is_open_high, not is_open_high)
    ]
    assert says == [alarm, 1.0 - alarm]


@pytest.mark.parametrize(
    ("quantity", "kind", "pull", "is_high", "value"),
    [
        pytest.param("level", "normally-open", "up", True, 1.0, id="open, so water stands"),
        pytest.param("level", "normally-open", "up", False, 0.0, id="closed, so it is low"),
        pytest.param("leak", "normally-open", "up", True, 0.0, id="open, so dry"),
        pytest.param("leak", "normally-open", "down", True, 1.0, id="closed, so wet"),
        pytest.param("stop", "normally-open", "up", False, 1.0, id="closed, so pressed"),
        pytest.param("stop", "normally-open", "down", False, 0.0, id="open, so released"),
    ],
)
def test_a_normally_open_contact_means_the_opposite(
    quantity: Quantity, kind: Contact, pull: Pull, is_high: bool, value: float
) -> None:
    """It closes for the alarm."""
    assert meaning(quantity, kind=kind, pull=pull, is_high=is_high) == value


class Line:
    """One input line, 5, whose changes a test tells from whatever thread it likes."""

    def __init__(self) -> None:
        self.is_high = False
        self.on_change: Callable[[bool, Tick], None] | None = None
        self.asked: tuple[int, Pull, int] | None = None

    def watch(
        self, line: int, *, pull: Pull, debounce_ms: int, on_change: Callable[[bool, Tick], None]
    ) -> bool:
        """See `Inputs`."""
        self.asked = (line, pull, debounce_ms)
        self.on_change = on_change
        return self.is_high

    def drive(self, is_high: bool) -> None:
        """The line changes."""
        self.is_high = is_high
        if self.on_change is not None:
            self.on_change(is_high, 0)

    def read(self, line: int) -> bool:
        """See `Inputs`."""
        assert line == 5
        return self.is_high

    def unwatch(self, line: int) -> None:
        """See `Inputs`."""
        assert line == 5
        self.on_change = None

    def count(self, line: int, *, pull: Pull) -> Counter:
        """No contact counts."""
        raise AssertionError((line, pull))


def stop_switch(line: Line, tell: Callable[[float], None]) -> ContactSensor:
    """A normally-closed stop switch: high (open) is pressed."""
    return ContactSensor(
        line,
        5,
        quantity="stop",
        kind="normally-closed",
        pull="up",
        debounce_ms=50,
        tell=tell,
    )


@given(st.lists(st.booleans(), min_size=1, max_size=40))
@examples(100)
def test_no_alarm_in_a_burst_is_lost_and_the_last_word_stands(levels: list[bool]) -> None:
    """However many changes come before the loop looks: the alarm among them is told, what is
    told last is what the line says, and nothing is told more than twice."""

    async def run() -> list[float]:
        told: list[float] = []
        line = Line()
        sensor = stop_switch(line, told.append)
        for is_high in levels:
            line.drive(is_high)
        await asyncio.sleep(1)
        sensor.close()
        return told

    told = run_virtually(run())
    # The naive oracle: of all that was said, keep the alarm and the end.
    pressed_between = any(levels) and not levels[-1]
    assert told == ([1.0] if pressed_between else []) + [float(levels[-1])]


def test_an_alarm_is_told_for_a_moment_before_its_end() -> None:
    """Who decides has time to see it."""

    async def run() -> list[tuple[int, float]]:
        loop = asyncio.get_running_loop()
        told: list[tuple[int, float]] = []
        line = Line()
        sensor = stop_switch(line, lambda value: told.append((round(loop.time() * 1000), value)))
        line.drive(True)
        line.drive(False)
        await asyncio.sleep(1)
        sensor.close()
        return told

    assert run_virtually(run()) == [(0, 1.0), (100, 0.0)]


def test_a_flood_from_another_thread_does_not_fill_the_loop() -> None:
    """Twenty thousand changes while the loop is busy are two calls of it."""

    async def run() -> list[float]:
        told: list[float] = []
        is_told = asyncio.Event()

        def tell(value: float) -> None:
            told.append(value)
            if value == 0.0:
                is_told.set()

        line = Line()
        sensor = stop_switch(line, tell)

        def chatter() -> None:
            for number in range(20_000):
                line.drive(number % 2 == 0)

        flood = threading.Thread(target=chatter)
        flood.start()
        flood.join()
        async with asyncio.timeout(PATIENCE_S):
            await is_told.wait()
        sensor.close()
        return told

    assert asyncio.run(run()) == [1.0, 0.0]


def test_the_line_rests_before_it_is_believed() -> None:
    """The board is told the line's resistor and for how long it must rest."""

    async def run() -> None:
        line = Line()
        sensor = stop_switch(line, lambda _: None)
        assert line.asked == (5, "up", 50)
        assert sensor.read() == 0.0
        line.drive(True)
        assert sensor.read() == 1.0
        sensor.close()

    run_virtually(run())


def test_a_contact_that_is_given_back_tells_nothing_more() -> None:
    """Not even what was on its way."""

    async def run() -> list[float]:
        told: list[float] = []
        line = Line()
        sensor = stop_switch(line, told.append)
        line.drive(True)
        sensor.close()
        sensor.close()
        await asyncio.sleep(1)
        return told

    assert run_virtually(run()) == []


def test_a_change_after_the_end_of_the_loop_is_nobody_s_trouble() -> None:
    """The board's thread must not break because the daemon ends."""
    line = Line()

    async def run() -> None:
        stop_switch(line, lambda _: None)

    run_virtually(run())
    line.drive(True)
    assert line.is_high
