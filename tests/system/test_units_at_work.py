"""The daemon's unit at work: the real systemd runs the installed daemon under its restrictions.

Everything is real but the relays, for which a container has no lines. The watchdog's time is
shortened from ten seconds (`test_units` holds that) to two. Booting and installing takes ten
seconds, so these tests share one machine; each starts the daemon if it does not run.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator

import pytest

from tests.machine import Booted, Following, why_no_machine

pytestmark = pytest.mark.skipif(why_no_machine() is not None, reason=why_no_machine() or "")

_DAEMON = "rootclock.service"
_PLAN = """\
format = 1
[site]
latitude = 47.1
longitude = 8.3
timezone = "Europe/Zurich"
[loads.pump]
kind = "pump"
line = 17
active = "low"
watts = 22
[[loads.pump.spans]]
from = "06:00"
cycle = "15m on, 15m off"
"""
_HERE = """\
[Service]
ExecStart=
ExecStart={start} --mock
WatchdogSec=2s
"""


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Booted]:
    """A running machine with the daemon installed, and fern, who grows on it."""
    machine = Booted(tmp_path_factory.mktemp("board"))
    try:
        machine.run("useradd", "fern")
        machine.install("--cautions-read", SUDO_USER="fern")
        (machine.root / "var/lib/rootclock/plan.toml").write_text(_PLAN, "utf-8")
        unit = (machine.root / "usr/local/lib/systemd/system" / _DAEMON).read_text("utf-8")
        (start,) = [line for line in unit.splitlines() if line.startswith("ExecStart=")]
        folder = machine.root / "etc/systemd/system/rootclock.service.d"
        folder.mkdir()
        text = _HERE.format(start=start.removeprefix("ExecStart="))
        (folder / "here.conf").write_text(text, "utf-8")
        machine.run("systemctl", "daemon-reload")
        yield machine
    finally:
        machine.close()


@pytest.fixture
def log(board: Booted) -> Iterator[Following]:
    """What systemd and the daemon say from now on; the daemon runs."""
    board.run("systemctl", "start", _DAEMON)
    words = ("journalctl", "--follow", "--lines=1", "--output=cat", f"--unit={_DAEMON}")
    following = Following(board.words(*words))
    following.until("", within_s=10)
    yield following
    following.close()


def _as(user: str) -> tuple[str, ...]:
    return ("setpriv", f"--reuid={user}", f"--regid={user}", "--init-groups")


def _shown(board: Booted, *properties: str, unit: str = _DAEMON) -> list[str]:
    words = ("systemctl", "show", "--value", f"--property={','.join(properties)}", unit)
    return board.run(*words)[0].split("\n\n")[0].splitlines()


@pytest.mark.usefixtures("log")
def test_the_group_may_ask_and_hold_and_nobody_else(board: Booted) -> None:
    """Fern was added by the installer; the journal knows who held the pump."""
    status = json.loads(board.run(*_as("fern"), "rootclock", "status", "--json")[0])
    assert "pump" in json.dumps(status)
    board.run(*_as("fern"), "rootclock", "hold", "pump", "off", "--for", "5m")
    board.run(*_as("fern"), "rootclock", "release", "pump")
    held = board.run(*_as("fern"), "rootclock", "log", "--only", "holds", "--jsonl")[0]
    assert "by fern" in held
    stranger = ("setpriv", "--reuid=nobody", "--regid=nogroup", "--clear-groups")
    _, err = board.run(*stranger, "rootclock", "status", expected=1)
    assert "group rootclock" in err


@pytest.mark.usefixtures("log")
def test_a_plan_edited_on_disk_is_examined_and_taken(board: Booted) -> None:
    """The daemon may notice the change, start an examiner with bounds, and write a revision."""
    following = Following(board.words(*_as("fern"), "rootclock", "status", "--follow"))
    try:
        following.until("up for", within_s=10)
        plan = board.root / "var/lib/rootclock/plan.toml"
        plan.write_text(_PLAN.replace("watts = 22", "watts = 23"), "utf-8")
        following.until("of the plan is in force", within_s=30)
    finally:
        following.close()


def test_a_killed_daemon_is_back_at_once(board: Booted, log: Following) -> None:
    """Its relays are seen to before it starts again, and it is back within seconds.

    The unit's half second of waiting, the program that makes relays safe and a start; five
    seconds leave room for a busy machine, and one or two are usual.
    """
    begin = time.monotonic()
    board.run("systemctl", "kill", "--kill-whom=main", "--signal=KILL", _DAEMON)
    lines = log.until(f"Started {_DAEMON}", within_s=30)
    took_s = time.monotonic() - begin
    places = [
        next(number for number, line in enumerate(lines) if text in line)
        for text in ("code=killed, status=9/KILL", "relay lines:", f"Starting {_DAEMON}")
    ]
    assert places == sorted(places)
    assert took_s < 5


def test_a_daemon_that_hangs_is_ended_and_started_again(board: Booted, log: Following) -> None:
    """Stopped as a debugger stops it, it feeds no watchdog; its relays are seen to as well."""
    board.run("systemctl", "kill", "--kill-whom=main", "--signal=STOP", _DAEMON)
    lines = log.until(f"Started {_DAEMON}", within_s=60)
    text = "\n".join(lines)
    assert "Watchdog timeout" in text
    assert "Failed with result 'watchdog'" in text
    assert "relay lines:" in text


def test_an_ordered_stop_is_an_orderly_end(board: Booted, log: Following) -> None:
    """It ends by itself, within its time, and systemd has nothing to complain of."""
    board.run("systemctl", "stop", _DAEMON)
    log.until("Deactivated successfully", within_s=10)
    assert _shown(board, "Result") == ["success"]
    ends = board.run("rootclock", "log", "--only", "starts", "--last", "1")[0]
    assert "left as the plan says for a stop" in " ".join(ends.split())


@pytest.mark.usefixtures("log")
def test_the_page_comes_and_goes_without_the_daemon_noticing(board: Booted) -> None:
    """However the page starts, fails or dies, the daemon is the same process."""
    before = _shown(board, "MainPID", "NRestarts")
    board.run("systemctl", "start", "--no-block", "rootclock-page.service")
    board.run("systemctl", "kill", "--signal=KILL", "rootclock-page.service")
    board.run("systemctl", "stop", "rootclock-page.service")
    assert _shown(board, "MainPID", "NRestarts", "ActiveState") == [*before, "active"]


@pytest.mark.usefixtures("log")
def test_the_daemon_has_no_rights_and_comes_before_the_rest(board: Booted) -> None:
    """As the kernel sees it (proc(5)): no capabilities, no new ones, filtered system calls."""
    pid = _shown(board, "MainPID")[0]
    status = board.run("cat", f"/proc/{pid}/status")[0]
    facts = dict(line.split(":\t", 1) for line in status.splitlines() if ":\t" in line)
    assert {facts[name] for name in ("CapPrm", "CapEff", "CapBnd", "CapAmb")} == {"0" * 16}
    assert (facts["NoNewPrivs"], facts["Seccomp"]) == ("1", "2")
    assert facts["Uid"].split()[0] != "0"
