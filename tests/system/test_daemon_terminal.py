"""A controller in a terminal, as a person has it: held, closed, piped, and on a wrong folder."""

from __future__ import annotations

import fcntl
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from controller.shell.control_socket.client import Client
from controller.shell.journal.read_log import Query, read_log
from tests.stage.daemon_process import READY_WITHIN_S

_PIPE_BYTES = 4_096  # the least that Linux gives a pipe, fcntl(2)

PLAN = """\
format = 1
[site]
latitude = 47.1
longitude = 0.0
timezone = "Etc/UTC"
[loads.fan]
kind = "fan"
line = 17
active = "low"
shortest_on = "0s"
shortest_off = "0s"
[[loads.fan.spans]]
from = "00:00"
cycle = "0.1s on, 0.1s off"
"""


class Terminal:
    """`rootclock start` with its two outputs on pipes."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.path = folder / "r" / "c.sock"
        plan = folder / "plan.toml"
        plan.write_text(PLAN)
        notices = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        notices.bind(str(folder / "notify"))
        notices.settimeout(READY_WITHIN_S)
        self.process = subprocess.Popen(  # noqa: S603 - our own program
            [
                sys.executable, "-m", "controller", "start", str(plan), "--mock", "--no-page",
                "--state", str(folder / "s"), "--socket", str(self.path),
            ],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "NOTIFY_SOCKET": str(folder / "notify")},
        )  # fmt: skip
        assert self.process.stdout is not None
        fcntl.fcntl(self.process.stdout, fcntl.F_SETPIPE_SZ, _PIPE_BYTES)
        with notices:
            while b"READY=1" not in notices.recv(4096):
                pass

    def switchings(self) -> int:
        """How many switchings it has made in time, as it tells a client."""
        with Client(self.path) as client:
            count = client.call("lateness")["count"]
        assert isinstance(count, int)
        return count

    def end(self, number: signal.Signals = signal.SIGINT) -> int:
        """Its exit code after a signal."""
        self.process.send_signal(number)
        return self.process.wait(timeout=20)


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    """One that runs and has said so."""
    it = Terminal(tmp_path)
    yield it
    if it.process.poll() is None:
        it.process.kill()
    it.process.communicate()


def last_entry(folder: Path) -> str:
    """What the journal has last."""
    return read_log(folder / "s" / "journal.db", Query()).lines[-1].entry.what


def test_a_terminal_that_is_held_stops_no_switching(terminal: Terminal) -> None:
    """As by Ctrl-S: nobody reads, the pipe is full, and the relays keep their time."""
    with Client(terminal.path) as client:
        _, news = client.listen(["journal"])
        told = 0
        for one in news:
            told += sum(len(str(entry)) for entry in one.params.get("entries", ()))
            if told > 3 * _PIPE_BYTES:
                break
    before = terminal.switchings()
    with Client(terminal.path) as client:
        _, news = client.listen(["journal"])
        for _, _one in zip(range(10), news, strict=False):
            pass
    assert terminal.switchings() >= before + 10


def test_a_terminal_that_is_closed_ends_it_in_order(terminal: Terminal) -> None:
    """Its person has gone (SIGHUP)."""
    assert terminal.end(signal.SIGHUP) == 0
    assert last_entry(terminal.folder) == "controller ended"


def test_ctrl_c_twice_ends_it_once(terminal: Terminal) -> None:
    """In order, whether the second comes before the last entry or after it."""
    terminal.process.send_signal(signal.SIGINT)
    assert terminal.end(signal.SIGINT) in {0, 130}
    assert last_entry(terminal.folder) == "controller ended"


def test_a_reader_that_has_enough_ends_no_watering(terminal: Terminal) -> None:
    """As `| head` does; whoever sits at the terminal is told."""
    assert terminal.process.stdout is not None
    assert terminal.process.stderr is not None
    terminal.process.stdout.close()
    while "the controller runs on" not in terminal.process.stderr.readline():
        pass
    before = terminal.switchings()
    while terminal.switchings() == before:
        pass
    assert terminal.end() == 0


def test_it_maps_no_openssl(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A controller speaks to nobody by TLS, and has no megabytes to give away."""
    for name in [name for name in os.environ if name.startswith("COV")]:
        monkeypatch.delenv(name)  # what measures coverage imports hashlib first
    terminal = Terminal(tmp_path)
    maps = Path(f"/proc/{terminal.process.pid}/maps").read_text()
    assert "libcrypto" not in maps
    assert "libssl" not in maps
    assert terminal.end() == 0
    terminal.process.communicate()


def test_a_rehearsal_and_a_controller_share_no_state(tmp_path: Path) -> None:
    """A journal with made-up times in it would tell the next start what never was."""
    (tmp_path / "plan.toml").write_text(PLAN.replace("0.1s", "1h"))
    rehearsed, lived = tmp_path / "rehearsed", tmp_path / "lived"
    places = ("--mock", "--socket", str(tmp_path / "r" / "c.sock"), "--state")
    elsewhere = ("--mock", "--socket", str(tmp_path / "x" / "c.sock"), "--state")
    plan = str(tmp_path / "plan.toml")
    speed = ("--speed", "100000", "--from", "2026-07-01")

    def rootclock(*words: str, until: str = "") -> tuple[int, str]:
        process = subprocess.Popen(  # noqa: S603 - our own program
            [sys.executable, "-m", "controller", *words],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert process.stdout is not None
        while until and until not in process.stdout.readline():
            pass
        if until:
            process.send_signal(signal.SIGINT)
        _, words_of_it = process.communicate(timeout=30)
        return process.returncode, words_of_it

    assert rootclock("start", plan, "--no-page", *places, str(lived), until="fan")[0] == 0
    code, words = rootclock("rehearse", plan, *speed, *places, str(lived))
    assert (code, "is a controller's" in words) == (1, True)
    for _ in range(2):
        assert rootclock("rehearse", plan, *speed, *elsewhere, str(rehearsed))[0] == 0
    code, words = rootclock("start", plan, "--no-page", *places, str(rehearsed))
    assert (code, "is a rehearsal's" in words) == (1, True)
    assert (tmp_path / "r" / "alive").exists()
    assert not (tmp_path / "x" / "alive").exists()  # its clock is not this board's
