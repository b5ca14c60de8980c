"""Board sensors on a running loop: mock lines to press, files to write, and what is told."""

from __future__ import annotations

import asyncio
import os
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from controller.core.observation import Reading, Tick
from controller.core.plan import Plan
from controller.core.units import Instant
from controller.shell.board.inputs import Inputs
from controller.shell.board.mock_board import MockInputLines
from controller.shell.sensors.board_sensors import BoardSensors

NOON: Instant = 1_782_900_000_000  # 2026-07-01, 10:00 UTC; any would do
# Real time in which what is awaited comes at once; only a test that fails waits so long.
PATIENCE_S = 20.0


def plan_with(sensors: Mapping[str, Any], **loads: Mapping[str, Any]) -> Plan:
    """A plan with these sensors, and with a lamp or these loads."""
    lamp = {"kind": "lamp", "line": 0, "active": "low"}
    spans = [{"from": "06:00", "cycle": "on"}]
    return Plan.model_validate(
        {
            "format": 1,
            "site": {"latitude": 47.1, "longitude": 8.3, "timezone": "Europe/Zurich"},
            "loads": {name: {**lamp, "spans": spans, **load} for name, load in loads.items()}
            or {"lamp": {**lamp, "spans": spans}},
            "sensors": dict(sensors),
        }
    )


class Sensing:
    """A board's sensors, their lines, and the news that they tell. For one running loop."""

    def __init__(self, read_clock: Callable[[], tuple[Instant, Tick]] | None = None) -> None:
        self._loop = asyncio.get_running_loop()
        self._began_s = self._loop.time()
        self.lines = MockInputLines()
        self.inputs = Inputs(self.lines)
        self.news = 0
        self._told = asyncio.Event()
        self.sensors = BoardSensors(
            inputs=self.inputs, read_clock=read_clock or self.read_clock, on_news=self._on_news
        )

    def read_clock(self) -> tuple[Instant, Tick]:
        """An hour after the board was switched on, by the loop's own time."""
        tick = 3_600_000 + round((self._loop.time() - self._began_s) * 1000)
        return NOON + tick, tick

    def _on_news(self) -> None:
        assert threading.current_thread() is threading.main_thread()
        self.news += 1
        self._told.set()

    def value(self, sensor: str) -> float | None:
        """The latest value, or None."""
        reading = self.sensors.readings.get(sensor)
        return None if reading is None else reading.value

    async def until(self, is_so: Callable[[], bool]) -> None:
        """Returns when news have made something so."""
        async with asyncio.timeout(PATIENCE_S):
            while not is_so():
                self._told.clear()
                await self._told.wait()

    async def reading(self, sensor: str, value: float | None = None) -> Reading:
        """The sensor's reading, when there is one (of that value)."""
        await self.until(
            lambda: sensor in self.sensors.readings and value in (None, self.value(sensor))
        )
        return self.sensors.readings[sensor]

    def close(self) -> None:
        """Ends both."""
        self.sensors.close()
        self.inputs.close()


@contextmanager
def sensing() -> Iterator[Sensing]:
    """Board sensors that are closed at the end, come what may."""
    world = Sensing()
    try:
        yield world
    finally:
        world.close()


@contextmanager
def hanging_file(path: Path) -> Iterator[Path]:
    """A file whose opening waits for ever: a FIFO to which nobody writes. At the end whoever
    still waits is let go."""
    os.mkfifo(path)
    try:
        yield path
    finally:
        let_go(path)


def let_go(fifo: Path, text: bytes = b"") -> bool:
    """Writes to a FIFO and closes it; False where nobody waits at it."""
    try:
        handle = os.open(fifo, os.O_WRONLY | os.O_NONBLOCK)
    except OSError:
        return False
    os.write(handle, text)
    os.close(handle)
    return True


async def hold(fifo: Path) -> int:
    """The writing end of a FIFO, when somebody stands at it; who then waits for the text."""
    async with asyncio.timeout(PATIENCE_S):
        return await asyncio.to_thread(os.open, fifo, os.O_WRONLY)


def reading_threads() -> list[threading.Thread]:
    """The threads that read sensors' files now."""
    return [thread for thread in threading.enumerate() if thread.name == "sensor files"]


def wait_for_threads(count: int) -> None:
    """Returns when no more than so many threads read sensors' files."""
    deadline = time.monotonic() + PATIENCE_S
    while len(reading_threads()) > count and time.monotonic() < deadline:
        for thread in reading_threads():
            thread.join(0.001)
    assert len(reading_threads()) <= count
