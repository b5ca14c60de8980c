"""The control socket: how fast it answers, and what a flood costs the loop that switches."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import socket
import tempfile
import time
from pathlib import Path

from controller.core.messages.rpc import MESSAGE_BYTES_MAX
from controller.core.messages.rpc import call_line as line
from controller.shell.control_socket.async_client import AsyncClient
from controller.shell.control_socket.connection import Caller
from controller.shell.control_socket.server import ControlSocket
from tests.bench.measure import Result

_CLIENTS = 32
_SECONDS = 4.0
_STATUS = {"loads": [{"name": f"load{n}", "sentence": "Resting. " * 20} for n in range(18)]}


_first_request = asyncio.Event()


async def _answer(method: str, params: object, caller: Caller) -> object:
    """A status of eighteen loads, whatever is asked."""
    _first_request.set()
    return _STATUS


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


async def _measure(folder: Path) -> list[Result]:
    path = folder / "s"
    server = ControlSocket(path, _answer)
    server.open()
    trips = await _round_trips_ms(path, 50)
    quiet = await _lateness_ms(_SECONDS / 2)
    attacker = multiprocessing.get_context("spawn").Process(
        target=flood, args=(str(path), _SECONDS + 1.5)
    )
    _first_request.clear()
    attacker.start()
    await _first_request.wait()
    flooded = await _lateness_ms(_SECONDS)
    await asyncio.to_thread(attacker.join)
    await server.close()
    return [
        Result("socket: status, p50", _percentile(trips, 50), "ms"),
        Result("socket: status, p99", _percentile(trips, 99), "ms"),
        Result("socket: a timer alone, p50", _percentile(quiet, 50), "ms"),
        Result("socket: a timer alone, p99", _percentile(quiet, 99), "ms"),
        Result("socket: a timer in a flood, p50", _percentile(flooded, 50), "ms"),
        Result("socket: a timer in a flood, p99", _percentile(flooded, 99), "ms", "", None, 10.0),
        Result("socket: a timer in a flood, most", max(flooded), "ms"),
    ]


def control_socket() -> list[Result]:
    """Round trips, and the lateness of timers with and without 32 hostile clients."""
    with tempfile.TemporaryDirectory() as folder:
        return asyncio.run(_measure(Path(folder)))
