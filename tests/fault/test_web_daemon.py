"""The page while its controller dies, comes back, or was never there; and the page's own end.

Slower than a second where a controller starts twice: each start takes one.
"""

from __future__ import annotations

import asyncio
import os
import signal
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

import httpx
import pytest

from tests.stage.daemon_process import DaemonProcess
from tests.stage.page_process import PageProcess

_GONE_WITHIN_S = 60.0  # half of the time that a dry run may take
PLAN = Path(__file__).resolve().parents[2] / "controller" / "examples" / "porch.toml"
TEN_YEARS = {"start": "2026-01-01", "days": 3660, "plan": PLAN.read_text("utf-8")}


class _HaltedRun(NamedTuple):
    """What was asked, and the processes that work at it."""

    asked: asyncio.Future[httpx.Response]
    workers: list[int]


def _until(events: Any, *, is_connected: bool) -> Any:
    """The first picture of that kind; the events end with the stream, and never by time."""
    for name, data in events:
        if name == "picture" and data["is_connected"] is is_connected:
            return data
    raise AssertionError("the stream ended")


def _started_s(picture: Any) -> float:
    """Since when a picture's controller runs, in seconds since 1970."""
    status = picture["status"]
    return datetime.fromisoformat(status["now_utc"]).timestamp() - float(status["up_s"])


def test_an_open_stream_outlives_the_controller(tmp_path: Path) -> None:
    """The picture stays with its age and the reason; a new controller is found by itself."""
    with DaemonProcess(tmp_path, PLAN, "--trust-clock") as daemon:
        daemon.start()
        with (
            PageProcess(daemon.socket_path) as page,
            page.client() as browser,
            page.client() as watcher,
            page.events(watcher) as events,
        ):
            before = _until(events, is_connected=True)
            daemon.end(signal.SIGKILL)
            lost = _until(events, is_connected=False)
            assert lost["status"]["loads"][0]["name"] == "pump"
            assert lost["status"]["version"] == before["status"]["version"]
            assert "controller" in lost["reason"] or "daemon" in lost["reason"]
            health = browser.get("/health")
            assert health.status_code == 503
            assert health.json()["type"].endswith("no-controller")
            assert int(health.headers["retry-after"]) > 0
            assert browser.post("/api/v1/stop").status_code == 503
            assert "rootclock_up 0" in browser.get("/metrics").text
            daemon.start()
            found = _until(events, is_connected=True)
            assert _started_s(found) > _started_s(before)
            assert browser.get("/health").status_code == 200
            assert browser.post("/api/v1/resume").status_code == 200


def test_without_a_controller_the_page_says_so(tmp_path: Path) -> None:
    """From the start: no picture, and what to do about it."""
    with PageProcess(tmp_path / "nowhere.sock") as page, page.client() as browser:
        picture = browser.get("/api/v1/status").json()
        assert picture["status"] is None
        assert picture["age_s"] is None
        assert picture["is_connected"] is False
        assert browser.get("/api/v1/plan").status_code == 503
        checked = browser.post("/api/v1/plan/check", json={"text": PLAN.read_text("utf-8")})
        assert checked.json()["is_fit"] is True


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_open_streams_do_not_hold_up_the_end(tmp_path: Path, number: signal.Signals) -> None:
    """It ends long before who is silent would be let go, and every stream ends whole."""
    limits = {"head_s": 600, "keep_alive_s": 600}
    with (
        PageProcess(tmp_path / "nowhere.sock", limits=limits) as page,
        page.client() as browser,
    ):
        with page.events(browser) as events:
            next(events)
            silent = [page.connection() for _ in range(3)]  # these say nothing at all
            halves = [page.connection() for _ in range(3)]
            for half in halves:
                half.sendall(b"GET /health HTTP/1.1\r\nHost: localh")
            page.end(number)
            for _ in events:  # no error: the last chunk came
                pass
        for connection in (*silent, *halves):
            connection.close()


@asynccontextmanager
async def _halted_run(client: httpx.AsyncClient, page: PageProcess) -> AsyncIterator[_HaltedRun]:
    """A dry run that does not end by itself: its worker is stopped, as a debugger stops it."""
    asked = asyncio.ensure_future(client.post("/api/v1/dry-run", json=TEN_YEARS, timeout=60))
    # Until it is a program of its own, the page waits for it to become one.
    while not (workers := await asyncio.to_thread(_workers, page.pid)):
        assert not asked.done(), asked.result().text
    for worker in workers:
        os.kill(worker, signal.SIGSTOP)
    try:
        yield _HaltedRun(asked, workers)
    except BaseException:
        for worker in workers:  # else it would stay for ever
            with suppress(ProcessLookupError):
                os.kill(worker, signal.SIGKILL)
        raise


def test_the_worker_ends_with_the_page(tmp_path: Path) -> None:
    """Also in the middle of a dry run; nothing is left behind."""
    with PageProcess(tmp_path / "nowhere.sock") as page:

        async def begin_and_end() -> None:
            async with (
                httpx.AsyncClient(base_url=page.url, headers={"Origin": page.url}) as client,
                _halted_run(client, page) as run,
            ):
                await asyncio.to_thread(page.end)
                with pytest.raises(httpx.HTTPError):
                    (await run.asked).raise_for_status()
                assert [one for one in run.workers if _is_there(one)] == []

        asyncio.run(begin_and_end())


def test_who_hangs_up_ends_the_dry_run(tmp_path: Path) -> None:
    """The worker is gone soon after; others may ask at once."""
    with PageProcess(tmp_path / "nowhere.sock") as page, page.client() as browser:

        async def begin_and_hang_up() -> None:
            async with (
                httpx.AsyncClient(base_url=page.url, headers={"Origin": page.url}) as client,
                _halted_run(client, page) as run,
            ):
                run.asked.cancel()
                await asyncio.wait([run.asked])
                deadline = time.monotonic() + _GONE_WITHIN_S
                while _children(page.pid):
                    assert time.monotonic() < deadline, "the worker stays"

        asyncio.run(begin_and_hang_up())
        short = browser.post("/api/v1/dry-run", json={**TEN_YEARS, "days": 1})
        assert short.status_code == 200


def test_too_many_dry_runs_are_refused(tmp_path: Path) -> None:
    """Two at once; a third is told to come again."""
    with PageProcess(tmp_path / "nowhere.sock") as page:

        async def crowd() -> list[int]:
            async with httpx.AsyncClient(base_url=page.url, headers={"Origin": page.url}) as client:
                asked = [
                    asyncio.ensure_future(
                        client.post("/api/v1/dry-run", json=TEN_YEARS, timeout=60)
                    )
                    for _ in range(3)
                ]
                done, waiting = await asyncio.wait(asked, return_when=asyncio.FIRST_COMPLETED)
                for one in waiting:
                    one.cancel()
                await asyncio.wait(asked)
                return [one.result().status_code for one in done]

        assert asyncio.run(crowd()) == [503]


def test_of_one_page_s_previews_the_newest_wins(tmp_path: Path) -> None:
    """Older ones that still wait are told so; the last is answered."""
    with PageProcess(tmp_path / "nowhere.sock") as page:

        async def type_fast() -> list[int]:
            async with httpx.AsyncClient(base_url=page.url, headers={"Origin": page.url}) as client:
                job = {"text": PLAN.read_text("utf-8"), "client": "tab"}
                asked = [
                    asyncio.ensure_future(client.post("/api/v1/plan/preview", json=job, timeout=60))
                    for _ in range(6)
                ]
                return [(await one).status_code for one in asked]

        codes = asyncio.run(type_fast())
        assert codes.count(200) in {1, 2}
        assert codes.count(409) == 6 - codes.count(200)


def _is_there(pid: int) -> bool:
    """Whether there is such a process."""
    return Path(f"/proc/{pid}").exists()


def _children(pid: int) -> list[int]:
    """The processes that a process has started and that live."""
    found = []
    for task in Path(f"/proc/{pid}/task").glob("*/children"):
        found += [int(word) for word in task.read_text().split()]
    return found


def _workers(pid: int) -> list[int]:
    """Those of its children that run the workers' program."""
    found = []
    for child in _children(pid):
        with suppress(FileNotFoundError, ProcessLookupError):  # it has just ended
            if b"web.paper" in Path(f"/proc/{child}/cmdline").read_bytes().split(b"\0"):
                found.append(child)
    return found
