"""What the service manager is told, over real sockets.

Expected datagrams are those of sd_notify(3) and sd_watchdog_enabled(3), systemd 252.
"""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest

from controller.shell import supervision

_WATCHDOG = ("WATCHDOG_USEC", "WATCHDOG_PID")


@pytest.fixture(params=["in the file system", "abstract"])
def manager(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[socket.socket]:
    """The manager's end of the socket, at either kind of address."""
    address = f"@{uuid4()}" if request.param == "abstract" else str(tmp_path / "notify")
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as receiver:
        receiver.settimeout(5)
        receiver.bind(address.replace("@", "\0", 1))
        monkeypatch.setenv("NOTIFY_SOCKET", address)
        yield receiver


@pytest.fixture
def no_manager(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal: nothing in the environment."""
    for name in ("NOTIFY_SOCKET", *_WATCHDOG):
        monkeypatch.delenv(name, raising=False)


def _lines(receiver: socket.socket) -> list[str]:
    return receiver.recv(4_096).decode().split("\n")


def test_the_manager_hears_what_it_is_told(manager: socket.socket) -> None:
    """Each message arrives as one datagram, word for word."""
    assert supervision.ready("pump is off, next on at 05:20")
    assert supervision.status("pump is on")
    assert supervision.watchdog_fed()
    assert supervision.stopping()
    assert [_lines(manager) for _ in range(4)] == [
        ["READY=1", "STATUS=pump is off, next on at 05:20"],
        ["STATUS=pump is on"],
        ["WATCHDOG=1"],
        ["STOPPING=1"],
    ]


@pytest.mark.parametrize(
    ("text", "heard"),
    [
        pytest.param("a\nWATCHDOG=1", "a WATCHDOG=1", id="a line break would feed the watchdog"),
        pytest.param("a\0b\x1b[1m", "a b [1m", id="control characters would reach a terminal"),
        pytest.param("a\u2028b", "a b", id="other line breaks count as well"),
        pytest.param("34 °C – hot", "34 °C – hot", id="other letters are as they are"),
        pytest.param("\udcff", "", id="a byte that is no text cannot be sent"),
        pytest.param("é" * 1_000, "é" * 500, id="too long is cut between letters"),
        pytest.param("", "", id="nothing is nothing"),
    ],
)
def test_a_text_stays_one_line(manager: socket.socket, text: str, heard: str) -> None:
    """Whatever a plan calls its loads, it cannot speak in the daemon's name."""
    assert supervision.status(text)
    assert _lines(manager) == [f"STATUS={heard}"]


def test_a_manager_that_does_not_listen_keeps_nobody_waiting(manager: socket.socket) -> None:
    """When its queue is full the datagram is dropped; once there is room they arrive again."""
    taken = 0
    while supervision.watchdog_fed():
        taken += 1
        assert taken < 100_000, "the queue never filled"
    assert not supervision.watchdog_fed()
    for _ in range(taken):
        manager.recv(4_096)
    assert supervision.watchdog_fed()


def test_a_manager_that_is_gone_is_no_error(
    manager: socket.socket, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A closed socket, a path that nobody made and an impossible one are all just not told."""
    manager.close()
    assert not supervision.ready("here")
    for address in ("/nowhere/notify", "/" + "x" * 200, "/\udcff", "@", "vsock:2:1", "notify"):
        monkeypatch.setenv("NOTIFY_SOCKET", address)
        assert not supervision.watchdog_fed()


@pytest.mark.usefixtures("no_manager")
def test_without_a_manager_nothing_happens() -> None:
    """In a terminal there is nobody to tell, and no watchdog."""
    assert not supervision.ready("here")
    assert not supervision.status("here")
    assert not supervision.watchdog_fed()
    assert not supervision.stopping()
    assert supervision.watchdog_interval_ms() is None


@pytest.mark.usefixtures("no_manager")
@pytest.mark.parametrize(
    ("microseconds", "whose", "interval_ms"),
    [
        pytest.param("10000000", "ours", 10_000, id="WatchdogSec=10s"),
        pytest.param("10000000", None, 10_000, id="older managers do not say whose"),
        pytest.param("10000000", "another's", None, id="inherited from the process above"),
        pytest.param("10000000", "nonsense", None, id="whose cannot be read"),
        pytest.param("1500", "ours", 1, id="rounded down, so that feeding is never late"),
        pytest.param("999", "ours", None, id="shorter than can be told in ms"),
        pytest.param("0", "ours", None, id="zero is no interval"),
        pytest.param("-5", "ours", None, id="nor is a negative number"),
        pytest.param("soon", "ours", None, id="nor a word"),
        pytest.param("٣٠٠٠", "ours", None, id="nor digits of another script"),
        pytest.param("9" * 5_000, "ours", None, id="nor a number too large to read"),
        pytest.param("", "ours", None, id="nor nothing"),
    ],
)
def test_the_watchdog_s_interval(
    monkeypatch: pytest.MonkeyPatch, microseconds: str, whose: str | None, interval_ms: int | None
) -> None:
    """It is what the manager says, if it says so to this process."""
    monkeypatch.setenv("WATCHDOG_USEC", microseconds)
    if whose is not None:
        pids = {"ours": str(os.getpid()), "another's": str(os.getppid())}
        monkeypatch.setenv("WATCHDOG_PID", pids.get(whose, whose))
    assert supervision.watchdog_interval_ms() == interval_ms
