"""The page: how long answers take, and what the process takes, with and without watchers."""

from __future__ import annotations

import asyncio
import os
import re
import resource
import sys
import tempfile
import time
import tomllib
from pathlib import Path

import httpx

from tests.bench.measure import Result, percentile
from tests.stage.daemon_process import DaemonProcess
from tests.stage.page_process import PageProcess

_EXAMPLES = Path(__file__).resolve().parents[2] / "controller" / "examples"
_PLAN = _EXAMPLES / "porch.toml"
_ANY_CYCLE = re.compile(r'cycle = "[^"]* off"')
_STREAMS = 50
_ASKED = 300
_WATCHED_S = 20.0


def _resident_mb(pid: int) -> float:
    pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
    return pages * resource.getpagesize() / 1e6


def _worked_s(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


async def _asked_ms(client: httpx.AsyncClient, count: int, pause_s: float) -> list[float]:
    taken = []
    for _ in range(count):
        begun = time.perf_counter()
        (await client.get("/api/v1/status")).raise_for_status()
        taken.append((time.perf_counter() - begun) * 1e3)
        await asyncio.sleep(pause_s)
    return taken


async def _watch(page: PageProcess, ready: asyncio.Event) -> None:
    """A stream that costs next to nothing to read: it is the page that is measured."""
    reader, writer = await asyncio.open_connection("127.0.0.1", page.port)
    writer.write(b"GET /api/v1/events HTTP/1.1\r\nHost: localhost\r\n\r\n")
    while await reader.read(65536):
        ready.set()


async def _with_streams_ms(page: PageProcess, streams: int) -> list[float]:
    async with httpx.AsyncClient(base_url=page.url, timeout=30) as client:
        events = [asyncio.Event() for _ in range(streams)]
        watching = [asyncio.ensure_future(_watch(page, event)) for event in events]
        await asyncio.gather(*(event.wait() for event in events))
        taken = await _asked_ms(client, _ASKED, 0.02)
        for one in watching:
            one.cancel()
        await asyncio.gather(*watching, return_exceptions=True)
        return taken


async def asked_of_plan_ms(page: PageProcess, text: str, kind: str) -> list[float]:
    """As somebody edits: another cycle each time, never the same text twice."""
    taken = []
    headers = {"Origin": page.url}
    async with httpx.AsyncClient(base_url=page.url, headers=headers, timeout=30) as client:
        for number in range(110):
            cycle = f'cycle = "7m{number % 60}s on, {20 + number // 60}m off"'
            asked = (
                {"text": text, "edits": [_edit_of(text, cycle)]}
                if kind == "edit"
                else {"text": _ANY_CYCLE.sub(cycle, text, count=1), "parts": kind.split()}
            )
            begun = time.perf_counter()
            address = "/api/v1/plan/edit" if kind == "edit" else "/api/v1/plan/preview"
            (await client.post(address, json=asked)).raise_for_status()
            taken.append((time.perf_counter() - begun) * 1e3)
        return taken[10:]


def _edit_of(text: str, cycle: str) -> dict[str, str]:
    """The same change as an edit of the form."""
    load = next(iter(tomllib.loads(text)["loads"]))
    return {"do": "set", "at": f"loads.{load}.spans.0.cycle", "value": cycle.split('"')[1]}


def _plans(page: PageProcess) -> list[Result]:
    """Every example plan, edited and previewed."""
    results = []
    for path in sorted(_EXAMPLES.glob("*.toml")):
        for kind, told, aim in (
            ("next hottest odd", "preview of next, hottest and odd days", 50.0),
            ("next hottest odd year", "the same with the whole year", None),
            ("edit", "edit by the form", None),
        ):
            taken = asyncio.run(asked_of_plan_ms(page, path.read_text(encoding="utf-8"), kind))
            for share, aimed in ((50, None), (99, aim)):
                name = f"page: {path.stem}, {told}, p{share}"
                results.append(Result(name, percentile(taken, share), "ms", "", None, aimed))
    return results


def _first_answer_ms(page: PageProcess) -> float:
    begun = time.perf_counter()
    with page.client() as browser:
        browser.get("/api/v1/status").raise_for_status()
    return (time.perf_counter() - begun) * 1e3


async def _idle_share(page: PageProcess) -> float:
    """Per cent of a core with one phone watching."""
    ready = asyncio.Event()
    watching = asyncio.ensure_future(_watch(page, ready))
    await ready.wait()
    worked_s = _worked_s(page.pid)
    await asyncio.sleep(_WATCHED_S)
    worked_s = _worked_s(page.pid) - worked_s
    watching.cancel()
    await asyncio.wait({watching})
    return worked_s / _WATCHED_S * 100


def web() -> list[Result]:
    """Answers, previews, memory and idle work of a page with its controller."""
    with (
        tempfile.TemporaryDirectory() as folder,
        DaemonProcess(Path(folder), _PLAN, "--trust-clock") as daemon,
    ):
        daemon.start()
        begun = time.perf_counter()
        with PageProcess(daemon.socket_path) as page:
            ready_ms = (time.perf_counter() - begun) * 1e3
            first = _first_answer_ms(page)
            alone = asyncio.run(_with_streams_ms(page, 1))
            crowded = asyncio.run(_with_streams_ms(page, _STREAMS))
            plans = _plans(page)
            idle = asyncio.run(_idle_share(page))
            resident = _resident_mb(page.pid)
            ending = time.perf_counter()
            page.end()
            ended_ms = (time.perf_counter() - ending) * 1e3
    return [
        Result("page: from its start to ready", ready_ms, "ms"),
        Result("page: first answer after ready", first, "ms", "", None, 300.0),
        Result("page: status with 1 stream, p50", percentile(alone, 50), "ms"),
        Result("page: status with 1 stream, p99", percentile(alone, 99), "ms"),
        Result("page: status with 50 streams, p50", percentile(crowded, 50), "ms"),
        Result("page: status with 50 streams, p99", percentile(crowded, 99), "ms", "", None, 10.0),
        *plans,
        Result("page: a core's share, one phone watching", idle, "%", "", None, 1.0),
        Result("page: resident after all that", resident, "MB", "", None, 70.0),
        Result("page: its end", ended_ms, "ms", "", None, 1_500.0),
    ]


if __name__ == "__main__":
    for result in web():
        sys.stdout.write(result.as_line() + "\n")
