"""The units at work: the real systemd runs the installed daemon and page as they are restricted.

Everything is real but the relays, for which a container has no lines, and the page's port,
which is any. The watchdog's time is shortened from ten seconds (`test_units` holds that) to two.
Booting and installing takes ten seconds, so these tests share one machine; each starts what it
is about if that does not run.
"""

from __future__ import annotations

import json
import re
import time
from collections.abc import Iterator

import httpx
import pytest

from tests.machine import Booted, Following, why_no_machine

pytestmark = pytest.mark.skipif(why_no_machine() is not None, reason=why_no_machine() or "")

_DAEMON = "rootclock.service"
_PAGE = "rootclock-page.service"
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
# Tried by the unit itself, so under all of its restrictions, before it is ready: files of the
# daemon, of the system and of the page's own are written to, and the relays' lines looked for.
_HERE_PAGE = """\
[Service]
Environment=PORT=0
ExecStartPost=-/bin/sh -c 'for file in {files}; do \
    if echo spoilt >>$$file; then echo "wrote $$file"; else echo "kept $$file"; fi; done'
ExecStartPost=-/bin/sh -c 'rm -f {daemon_files} && echo removed || echo "not removed"'
ExecStartPost=-/bin/sh -c 'ls /dev/gpiochip* && echo "has lines" || echo "has no lines"'
"""
_DAEMON_FILES = (
    "/var/lib/rootclock/plan.toml",
    "/var/lib/rootclock/journal.db",
    "/run/rootclock/alive",
    "/run/rootclock/safe-lines",  # on a mock board not there: it cannot be made either
)
_OTHER_FILES = ("/opt/rootclock/emergency.py", "/etc/rootclock-was-here")
_OWN_FILE = "/var/lib/rootclock-page/notes"


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
        folder = machine.root / f"etc/systemd/system/{_PAGE}.d"
        folder.mkdir()
        files = (*_DAEMON_FILES, *_OTHER_FILES, _OWN_FILE)
        text = _HERE_PAGE.format(files=" ".join(files), daemon_files=" ".join(_DAEMON_FILES))
        (folder / "here.conf").write_text(text, "utf-8")
        machine.run("systemctl", "daemon-reload")
        yield machine
    finally:
        machine.close()


@pytest.fixture
def log(board: Booted) -> Iterator[Following]:
    """What systemd and the daemon say from now on; the daemon runs."""
    board.run("systemctl", "start", _DAEMON)
    following = _following(board, _DAEMON)
    yield following
    following.close()


@pytest.fixture
def page_log(board: Booted, log: Following) -> Iterator[Following]:
    """What systemd and the page say from now on; both run, the page since now."""
    del log
    board.run("systemctl", "stop", _PAGE)
    following = _following(board, _PAGE)
    board.run("systemctl", "start", "--no-block", _PAGE)
    yield following
    following.close()


def _following(board: Booted, unit: str) -> Following:
    """What a unit's log will hold from now on."""
    told, _ = board.run("journalctl", "--lines=1", "--show-cursor")
    cursor = told.strip().rpartition("-- cursor: ")[2]
    words = ("journalctl", "--follow", f"--after-cursor={cursor}", "--output=cat")
    return Following(board.words(*words, f"--unit={unit}"))


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
    board.run("systemctl", "start", "--no-block", _PAGE)
    board.run("systemctl", "kill", "--signal=KILL", _PAGE)
    board.run("systemctl", "stop", _PAGE)
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


def _page_url(page_log: Following) -> str:
    """Where the page says that it is; this machine's network is the container's too."""
    line = page_log.until("The page is at", within_s=30)[-1]
    found = re.search(r"http://localhost:\d+", line)
    assert found is not None
    return found[0]


def test_the_page_shows_the_daemon(board: Booted, page_log: Following) -> None:
    """It reaches the control socket by its group, and orders what its owner orders."""
    url = _page_url(page_log)
    assert httpx.get(f"{url}/health").json()["is_alive"] is True
    status = httpx.get(f"{url}/api/v1/status").json()["status"]
    assert [load["name"] for load in status["loads"]] == ["pump"]
    hold = {"load": "pump", "order": "off", "for": "1m"}
    answer = httpx.post(f"{url}/api/v1/hold", json=hold, headers={"Origin": url})
    assert answer.json()["loads"][0]["held"]["order"] == "off"
    told = board.run("rootclock", "log", "--only", "holds", "--last", "1")[0]
    assert "by rootclock-page" in " ".join(told.split())
    board.run("rootclock", "release", "pump")


def test_the_page_owns_no_relay_and_cannot_write_the_daemon_s_files(
    board: Booted, page_log: Following
) -> None:
    """Tried from within the unit; of all files it can write its own alone."""
    plan = board.root / _DAEMON_FILES[0][1:]
    before = plan.read_bytes()
    lines = page_log.until(" lines", within_s=30)
    tried = [line for line in lines if line.startswith(("kept ", "wrote ", "removed", "not removed",
                                                        "has "))]  # fmt: skip
    assert tried == [
        *(f"kept {name}" for name in (*_DAEMON_FILES, *_OTHER_FILES)),
        f"wrote {_OWN_FILE}",
        "not removed",
        "has no lines",
    ]
    assert plan.read_bytes() == before
    assert (board.root / "dev/gpiochip0").exists()


def test_a_killed_page_is_back_and_the_daemon_has_not_noticed(
    board: Booted, page_log: Following
) -> None:
    """Two seconds later (RestartSec), with the same daemon behind it."""
    daemon = _shown(board, "MainPID", "NRestarts")
    _page_url(page_log)
    board.run("systemctl", "kill", "--kill-whom=main", "--signal=KILL", _PAGE)
    page_log.until("code=killed, status=9/KILL", within_s=10)
    assert httpx.get(f"{_page_url(page_log)}/health").status_code == 200
    assert _shown(board, "MainPID", "NRestarts") == daemon


def test_an_ordered_stop_of_the_page_does_not_wait_for_who_watches(
    board: Booted, page_log: Following
) -> None:
    """A phone that has it open is told, and systemd has nothing to complain of."""
    url = _page_url(page_log)
    with httpx.stream("GET", f"{url}/api/v1/events") as stream:
        begin = time.monotonic()
        board.run("systemctl", "stop", _PAGE)
        took_s = time.monotonic() - begin
        assert "event: picture" in stream.read().decode()
    assert took_s < 4
    assert _shown(board, "Result", unit=_PAGE) == ["success"]


def test_root_sets_the_page_s_passcode_and_lets_the_house_in(
    board: Booted, page_log: Following
) -> None:
    """By README's words: the file is the page's own, and the page asks for the passcode then."""
    _page_url(page_log)
    house = board.root / f"etc/systemd/system/{_PAGE}.d/house.conf"
    house.write_text("[Service]\nEnvironment=HOST=0.0.0.0 OPTIONS=--guests\n", "utf-8")
    kept = board.root / "var/lib/rootclock-page/page-passcode"
    try:
        board.run("systemctl", "daemon-reload")
        board.run("systemctl", "restart", "--no-block", _PAGE)
        page_log.until("--set-passcode", within_s=30)
        set_it = "echo wet roots hang low | rootclock web --set-passcode"
        assert "The passcode is set" in board.run("sh", "-c", set_it)[0]
        assert kept.stat().st_uid == kept.parent.stat().st_uid != 0
        url = _page_url(page_log)
        session = httpx.get(f"{url}/api/v1/session").json()
        assert session == {"role": "guest", "needs_passcode": True, "guests_may_read": True}
        stop = httpx.post(f"{url}/api/v1/stop", headers={"Origin": url})
        assert stop.status_code == 403
    finally:
        kept.unlink(missing_ok=True)
        house.unlink()
        board.run("systemctl", "daemon-reload")


def test_the_page_has_no_rights(board: Booted, page_log: Following) -> None:
    """As the kernel sees it (proc(5)), and it comes after everything else."""
    _page_url(page_log)
    pid = _shown(board, "MainPID", unit=_PAGE)[0]
    status = board.run("cat", f"/proc/{pid}/status")[0]
    facts = dict(line.split(":\t", 1) for line in status.splitlines() if ":\t" in line)
    assert {facts[name] for name in ("CapPrm", "CapEff", "CapBnd", "CapAmb")} == {"0" * 16}
    assert (facts["NoNewPrivs"], facts["Seccomp"]) == ("1", "2")
    assert facts["Uid"].split()[0] != "0"
    assert int(board.run("cat", f"/proc/{pid}/oom_score_adj")[0]) > 0
