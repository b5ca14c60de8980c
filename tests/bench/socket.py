"""The control socket: how fast it answers, and what a flood costs the loop that switches."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import socket
import sys
import tempfile
import time
from pathlib import Path

from controller.core.memory import settled_memory
from controller.core.messages.methods import Params
from controller.core.messages.rpc import MESSAGE_BYTES_MAX
from controller.core.messages.rpc import call_line as line
from controller.core.observation import Observation
from controller.core.schedule import make_schedule
from controller.core.status.json_form import as_json
from controller.core.status.record import Lateness, PlanStatus
from controller.core.status.taking import Facts, status_of
from controller.core.units import parse_rfc3339
from controller.shell.control_socket.async_client import AsyncClient
from controller.shell.control_socket.connection import Caller
from controller.shell.control_socket.server import ControlSocket
from controller.shell.plan_file import read_plan_file
from tests.bench.measure import Result

_CLIENTS = 32
_SECONDS = 4.0
_NOON = parse_rfc3339("2026-06-15T12:00:00Z")


class Garden:
    """The greenhouse of the examples, and its status whatever is asked."""

    def __init__(self) -> None:
        plan = read_plan_file(Path("controller/examples/greenhouse.toml")).plan
        self._schedule = make_schedule(plan)
        self._memory = settled_memory(self._schedule, Observation(_NOON, 0, 1, True, {}))
        revision = PlanStatus("greenhouse.toml", 1, _NOON, None)
        self._facts = Facts("0.1.0", 0, True, False, 1.0, revision, Lateness(9, 0.1, 0.2, 0.3))
        self.was_asked = asyncio.Event()

    async def answer(self, method: str, params: Params, caller: Caller) -> object:
        """The status, made anew."""
        del method, params, caller
        self.was_asked.set()
        return as_json(
            status_of(self._schedule, self._memory, now=_NOON, tick=0, facts=self._facts)
        )


def _percentile(values: list[float], percent: float) -> float:
    return sorted(values)[min(len(values) - 1, int(len(values) * percent / 100))]


async def _lateness_ms(seconds: float) -> list[float]:
    """How late a timer of this loop is, every 5 ms."""
    loop = asyncio.get_running_loop()
    late: list[float] = []
    end = loop.time() + seconds
    while (due := loop.time() + 0.005) < end:
        fired: asyncio.Future[None] = loop.create_future()
        loop.call_at(due, fired.set_result, None)
        await fired
        late.append((loop.time() - due) * 1e3)
    return late


async def _turns_ms(seconds: float) -> list[float]:
    """What each turn of this loop costs, in processor time: what it adds to a timer's lateness
    whatever else the machine does."""
    loop = asyncio.get_running_loop()
    end, costs = loop.time() + seconds, []
    while loop.time() < end:
        before = time.thread_time()
        await asyncio.sleep(0)  # one turn
        costs.append((time.thread_time() - before) * 1e3)
    return costs


_HOSTILE = [
    b"x" * 65_536,  # no line at all
    os.urandom(20_000).replace(b"\n", b"") + b"\n",
    line(1, "plan.propose", {"text": 'from = "06:30"\n' * (MESSAGE_BYTES_MAX // 20)}),
    b'"' * 250_000 + b"\n",
    b"[" * 250_000 + b"\n",
    b"\n" * 4096,
    line(1, "status", {}) * 500,  # asked, and the answers never read
    line(1, "subscribe", {}) * 100,
]


def flood(path: str, seconds: float) -> None:
    """As many clients as there is room for, each at its own mischief, as fast as they can."""
    end = time.monotonic() + seconds
    peers: list[socket.socket | None] = [None] * _CLIENTS
    rests = [b""] * _CLIENTS
    while time.monotonic() < end:
        for place in range(_CLIENTS):
            peer = peers[place]
            try:
                if peer is None:
                    peer = peers[place] = socket.socket(socket.AF_UNIX)
                    peer.setblocking(False)
                    peer.connect(path)
                    rests[place] = b""
                rests[place] = rests[place] or _HOSTILE[place % len(_HOSTILE)]
                rests[place] = rests[place][peer.send(rests[place]) :]
            except BlockingIOError:
                continue
            except OSError:
                if peer is not None:
                    peer.close()
                peers[place] = None
    for peer in peers:
        if peer is not None:
            peer.close()


def burn(seconds: float) -> None:
    """Keeps a core busy, as a flood does besides all else."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        sum(range(1_000))


async def _round_trips_ms(path: Path, count: int) -> list[float]:
    client = await AsyncClient.connect(path)
    taken = []
    for _ in range(count):
        begun = time.perf_counter()
        await client.call("status")
        taken.append((time.perf_counter() - begun) * 1e3)
        await asyncio.sleep(0.06)  # within what one client may ask a second
    await client.close()
    return taken


async def _whole_process_ms(*words: str, compiled: Path) -> float:
    """The best of several, from the first key to the prompt; with its bytecode at hand, as
    where it is installed."""
    kept = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    taken = []
    for _ in range(9):
        begun = time.perf_counter()
        process = await asyncio.create_subprocess_exec(
            sys.executable,
            *words,
            stdout=asyncio.subprocess.DEVNULL,
            env={**kept, "PYTHONPYCACHEPREFIX": str(compiled)},
        )
        assert await process.wait() == 0
        taken.append((time.perf_counter() - begun) * 1e3)
    return min(taken)


async def _measure(folder: Path) -> list[Result]:
    path, garden = folder / "s", Garden()
    server = ControlSocket(path, garden.answer)
    server.open()
    trips = await _round_trips_ms(path, 50)
    bare = await _whole_process_ms("-c", "pass", compiled=folder)
    words = ("-m", "controller", "status", "--socket", str(path))
    command = await _whole_process_ms(*words, compiled=folder)
    quiet = await _lateness_ms(_SECONDS / 2)
    processes = multiprocessing.get_context("spawn")
    burner = processes.Process(target=burn, args=(_SECONDS,))
    burner.start()
    beside = await _lateness_ms(_SECONDS)
    await asyncio.to_thread(burner.join)
    garden.was_asked.clear()
    attacker = processes.Process(target=flood, args=(str(path), 2 * _SECONDS))
    attacker.start()
    await garden.was_asked.wait()
    worked_s = time.process_time()
    flooded = await _lateness_ms(_SECONDS)
    worked_s = time.process_time() - worked_s
    turns = await _turns_ms(_SECONDS / 2)
    await asyncio.to_thread(attacker.join)
    await server.close()
    return [
        Result("socket: status of 18 loads, p50", _percentile(trips, 50), "ms"),
        Result("socket: status of 18 loads, p99", _percentile(trips, 99), "ms"),
        Result("socket: a bare interpreter", bare, "ms"),
        Result("socket: rootclock status, whole", command, "ms", "", None, 120.0),
        Result("socket: a timer alone, p50", _percentile(quiet, 50), "ms"),
        Result("socket: a timer alone, p99", _percentile(quiet, 99), "ms"),
        Result("socket: a timer beside a busy process, p99", _percentile(beside, 99), "ms"),
        Result("socket: a timer in a flood, p50", _percentile(flooded, 50), "ms"),
        Result("socket: a timer in a flood, p99", _percentile(flooded, 99), "ms", "", None, 10.0),
        Result("socket: a timer in a flood, most", max(flooded), "ms"),
        Result("socket: a turn's work in a flood, p99", _percentile(turns, 99), "ms"),
        Result("socket: a turn's work in a flood, most", max(turns), "ms", "", None, 10.0),
        Result("socket: a core's share that a flood takes", worked_s / _SECONDS * 100, "%"),
    ]


def control_socket() -> list[Result]:
    """Round trips, a command from start to end, and the lateness of timers with and without
    32 hostile clients."""
    with tempfile.TemporaryDirectory() as folder:
        return asyncio.run(_measure(Path(folder)))
