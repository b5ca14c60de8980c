"""`rootclock start`: controller and page from one terminal, of which only the page may fail."""

from __future__ import annotations

import os
import select
import signal
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from controller.shell.control_socket.client import Client
from controller.shell.journal.read_log import Query, read_log
from tests.stage.console import Console

PLAN = """\
format = 1
[site]
latitude = 47.1
longitude = 0.0
timezone = "Etc/UTC"
[loads.mist]
kind = "valve"
line = 17
active = "low"
shortest_on = "0s"
shortest_off = "0s"
[[loads.mist.spans]]
from = "00:00"
cycle = "0.2s on, 0.2s off"
"""


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """A plan that switches five times a second."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN)
    return path


def _last_entry(console: Console) -> str:
    return read_log(console.state / "journal.db", Query()).lines[-1].entry.what


@contextmanager
def _watched(pid: int) -> Iterator[int]:
    """A handle of a process that is not ours to wait for."""
    handle = os.pidfd_open(pid)
    try:
        yield handle
    finally:
        os.close(handle)


def _ends(handle: int) -> bool:
    return bool(select.select([handle], [], [], 20)[0])


@pytest.mark.parametrize("how", ["Ctrl-C", "SIGTERM", "SIGHUP"])
def test_one_command_waters_and_shows_and_one_end_ends_both(
    tmp_path: Path, plan: Path, how: str
) -> None:
    """The page is this controller's; at the end relays are as ordered and nothing is left."""
    with Console(tmp_path, plan, "--port", "0") as console:
        url = console.page_url()
        status = httpx.get(f"{url}/api/v1/status").json()["status"]
        assert [load["name"] for load in status["loads"]] == ["mist"]
        assert httpx.get(url).status_code == 200
        with _watched(console.page_pid()) as page:
            if how == "Ctrl-C":
                console.press("\x03")
            else:
                console.send(signal.Signals[how])
            assert console.wait() == 0
            assert _ends(page)
        assert "left as the plan says for a stop" in console.seen
        assert "the page was ended" not in console.seen
        assert _last_entry(console) == "controller ended"


def test_a_page_that_dies_is_told_and_comes_back_and_no_watering_waits(
    tmp_path: Path, plan: Path
) -> None:
    """Five switchings a second go on meanwhile, and each pause is longer than the last."""
    with Console(tmp_path, plan, "--port", "0") as console:
        console.page_url()
        for pause_s in (1, 2):
            with Client(console.socket_path) as client:
                _, news = client.listen(["journal"])
                os.kill(console.page_pid(), signal.SIGKILL)
                for _, _entry in zip(range(4), news, strict=False):
                    pass
            told = console.until(r"the page was ended by signal 9; [^\n]* again in (\d+) s")
            assert int(told[1]) == pause_s
            assert httpx.get(f"{console.page_url()}/health").status_code == 200
        with Client(console.socket_path) as client:
            assert client.call("lateness")["p99_ms"] < 200
        console.press("\x03")
        assert console.wait() == 0


def test_a_page_outlives_no_controller(tmp_path: Path, plan: Path) -> None:
    """One that is killed cannot end it; the page ends by itself, and frees its port."""
    with Console(tmp_path, plan, "--port", "0") as console:
        console.page_url()
        with _watched(console.page_pid()) as page:
            console.send(signal.SIGKILL)
            assert _ends(page)


def test_a_taken_port_is_told_and_the_watering_goes_on(tmp_path: Path, plan: Path) -> None:
    """With what to do; the page comes by itself when the port is free."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with Console(tmp_path, plan, "--port", str(port)) as console:
            told = console.until(r"no page: ([^\n]*) again in")[1]
            assert f"port {port}" in told
            assert "--port" in told
            before = console.switchings()
            while console.switchings() == before:
                pass
            other.close()
            assert console.page_url().endswith(f":{port}")
            console.press("\x03")
            assert console.wait() == 0


def test_nobody_is_let_in_from_elsewhere_without_a_passcode(tmp_path: Path, plan: Path) -> None:
    """The controller waters, the page says what to do first."""
    with Console(tmp_path, plan, "--port", "0", "--host", "0.0.0.0") as console:  # noqa: S104
        assert "--set-passcode" in console.until(r"no page: ([^\n]*) again in")[1]
        console.press("\x03")
        assert console.wait() == 0


def test_without_a_page_there_is_none(tmp_path: Path, plan: Path) -> None:
    """The controller alone has no child."""
    with Console(tmp_path, plan, "--no-page") as console:
        console.until(r"(?s)(mist .*){6}")
        with pytest.raises(ValueError, match="not enough values"):
            console.page_pid()
        console.press("\x03")
        assert console.wait() == 0
        assert "The page is at" not in console.seen
