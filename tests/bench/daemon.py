"""The controller as a process: how soon its relays are commanded, what it holds, what it costs
while nothing happens, and how late it switches while clients crowd around it."""

from __future__ import annotations

import asyncio
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from controller.core.errors import NoDaemonError, RequestRefusedError
from tests.bench.measure import Result, best_s
from tests.stage.daemon_process import DaemonProcess

_EXAMPLES = Path("controller/examples")
_IMPORTS = "import gpiozero, astral.sun, pydantic"
_BYTECODE = ("PYTHONPYCACHEPREFIX", "PYTHONDONTWRITEBYTECODE")
_IDLE_S = 60.0
_LATENESS_S = 30.0
_CLIENTS = 20
_SWITCHINGS_A_DAY = 18 * 96

_BUSY_LOAD = """\
[loads.l{number}]
kind = "fan"
line = {number}
active = "low"
watts = 5
shortest_on = "0s"
shortest_off = "0s"
[[loads.l{number}.spans]]
from = "00:00"
cycle = "{step} on, {step} off"
"""
_SITE = 'format = 1\n[site]\nlatitude = 47.1\nlongitude = 0.0\ntimezone = "Etc/UTC"\n'


def daemon() -> list[Result]:
    """All of it; takes about three minutes."""
    with tempfile.TemporaryDirectory() as folder, _as_installed(Path(folder)):
        return [
            *_start(Path(folder)),
            *_idle(Path(folder)),
            *_day(Path(folder)),
            *_late(Path(folder)),
        ]


@contextmanager
def _as_installed(folder: Path) -> Iterator[None]:
    """Processes find their modules compiled, as an installation has them: to compile them at each
    start takes 100 ms, and what it leaves behind 2 MB."""
    kept = {name: os.environ.pop(name, None) for name in _BYTECODE}
    os.environ["PYTHONPYCACHEPREFIX"] = str(folder)
    try:
        with DaemonProcess(folder, _EXAMPLES / "greenhouse.toml") as process:  # it compiles all
            process.start()
            process.end()
        yield
    finally:
        for name, value in kept.items():
            os.environ.pop(name, None)
            if value is not None:
                os.environ[name] = value


def _start(folder: Path) -> list[Result]:
    imports_s = best_s(
        lambda: subprocess.run([sys.executable, "-c", _IMPORTS], check=True),  # noqa: S603
        repeats=7,
    )
    ready_s, commanded_s = [], []
    for number in range(7):
        place = folder / f"start{number}"
        place.mkdir()
        with DaemonProcess(place, _EXAMPLES / "greenhouse.toml") as process:
            begun = time.clock_gettime(time.CLOCK_BOOTTIME)
            process.start()
            ready_s.append(time.clock_gettime(time.CLOCK_BOOTTIME) - begun)
            # The mark of life is set as soon as the relays are commanded.
            mark = (process.socket_path.parent / "alive").read_text().split()
            commanded_s.append(int(mark[2]) / 1e3 - begun)
            process.end()
    over_ms = (min(commanded_s) - imports_s) * 1e3
    return [
        Result("a bare import of gpiozero, astral, pydantic", imports_s * 1e3, "ms"),
        Result("start to relays commanded, 7 loads", min(commanded_s) * 1e3, "ms"),
        Result("start to ready, clients let in", min(ready_s) * 1e3, "ms"),
        Result("start to relays commanded over the import", over_ms, "ms", "", None, 200.0),
    ]


def _plan(folder: Path, *, loads: int, step: str) -> Path:
    path = folder / f"plan-{step}.toml"
    tables = "".join(_BUSY_LOAD.format(number=number, step=step) for number in range(loads))
    path.write_text(_SITE + tables)
    return path


def _idle(folder: Path) -> list[Result]:
    place = folder / "idle"
    place.mkdir()
    with DaemonProcess(place, _plan(place, loads=18, step="1h")) as process:
        process.start()
        time.sleep(3.0)  # what starts late has started
        before_s, wakes = _cpu_s(process.pid), _wakes(process.pid)
        time.sleep(_IDLE_S)
        used_s, woken = _cpu_s(process.pid) - before_s, _wakes(process.pid) - wakes
        process.end()
    return [
        Result("idle, 18 loads", used_s / _IDLE_S * 100, "% of a core", "", None, 0.1),
        Result(
            "wake-ups while idle", woken / _IDLE_S, "a second",
            "all threads; each second the lines are read back and the watchdog is fed",
        ),
    ]  # fmt: skip


def _day(folder: Path) -> list[Result]:
    """As many switchings as 18 loads make in a day of 15 on, 15 off."""
    place = folder / "day"
    place.mkdir()
    with DaemonProcess(place, _plan(place, loads=18, step="0.2s")) as process:
        process.start()
        time.sleep(2.0)
        begun = process.call("lateness")["count"]
        while process.call("lateness")["count"] - begun < _SWITCHINGS_A_DAY:
            time.sleep(1.0)
        rss_mb = _memory_kb(process.pid, "VmRSS") / 1024
        anonymous_mb = _memory_kb(process.pid, "RssAnon") / 1024
        process.end()
    return [
        Result("resident after a day's switchings", rss_mb, "MiB", "", None, 40.0),
        Result("of which its own (anonymous)", anonymous_mb, "MiB"),
    ]


def _late(folder: Path) -> list[Result]:
    place = folder / "late"
    place.mkdir()
    stop = threading.Event()
    with DaemonProcess(place, _plan(place, loads=18, step="1s")) as process, ExitStack() as stack:
        process.start()
        crowd = [
            threading.Thread(target=_ask_and_ask, args=(process, stop)) for _ in range(_CLIENTS)
        ]
        for one in crowd:
            one.start()
        stack.callback(stop.set)
        bare = asyncio.run(_bare_timer(_LATENESS_S))
        late = process.call("lateness")
        stop.set()
        for one in crowd:
            one.join()
        process.end()
    note = f"{late['count']} switchings, {_CLIENTS} clients that ask without a pause"
    p50, p99 = bare[len(bare) // 2], bare[len(bare) * 99 // 100]
    return [
        Result("a bare asyncio timer, p50", p50, "ms", "in another process of the same run"),
        Result("a bare asyncio timer, p99", p99, "ms"),
        Result("switching late, p50", late["p50_ms"], "ms", note, None, p50),
        Result("switching late, p99", late["p99_ms"], "ms", "", None, 10.0),
        Result("switching late, at most", late["max_ms"], "ms"),
    ]


def _ask_and_ask(process: DaemonProcess, stop: threading.Event) -> None:
    while not stop.is_set():
        try:
            with process.client() as client:
                while not stop.is_set():
                    client.call("status")
        except (NoDaemonError, RequestRefusedError):
            stop.wait(0.2)  # turned away for its haste, as it should be


async def _bare_timer(seconds: float) -> list[float]:
    """How late a timer of asyncio fires, in ms, sorted."""
    loop = asyncio.get_running_loop()
    late: list[float] = []
    due, end = loop.time() + 0.01, loop.time() + seconds
    while due < end:
        fired: asyncio.Future[None] = loop.create_future()
        loop.call_at(due, fired.set_result, None)
        await fired
        late.append((loop.time() - due) * 1e3)
        due = loop.time() + 0.0503
    return sorted(late)


def _cpu_s(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _wakes(pid: int) -> int:
    """Voluntary context switches of all threads: each is a sleep that was ended."""
    count = 0
    for task in Path(f"/proc/{pid}/task").iterdir():
        for line in (task / "status").read_text().splitlines():
            if line.startswith("voluntary_ctxt_switches"):
                count += int(line.split()[1])
    return count


def _memory_kb(pid: int, name: str) -> int:
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith(name + ":"):
            return int(line.split()[1])
    raise KeyError(name)
