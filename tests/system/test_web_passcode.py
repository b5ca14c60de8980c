"""The page beyond this machine: passcode, sessions, guests, and the command that sets it up."""

from __future__ import annotations

import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests.stage.page_process import PageProcess
from web.security.passcode import stored, write_passcode

PASSCODE = "wet roots hang low"


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A passcode that is set."""
    path = tmp_path_factory.mktemp("page") / "passcode"
    write_passcode(path, stored(PASSCODE))
    return path


@pytest.fixture(scope="module")
def page(kept: Path) -> Iterator[PageProcess]:
    """A page for the whole house."""
    settings = {"passcode_path": str(kept), "host": "0.0.0.0"}  # noqa: S104 - that is tested
    with PageProcess(kept.parent / "nowhere.sock", **settings) as process:
        yield process


def _log_in(browser: httpx.Client, passcode: str = PASSCODE) -> httpx.Response:
    return browser.post("/api/v1/session", json={"passcode": passcode})


def test_strangers_see_nothing(page: PageProcess) -> None:
    """Neither status nor metrics; that there is a passcode, and whether all is well."""
    with page.client() as browser:
        for path in ("/api/v1/status", "/api/v1/events", "/api/v1/plan", "/metrics", "/api/v2/x"):
            answer = browser.get(path)
            assert answer.status_code == 401, path
            assert answer.json()["type"].endswith("/not-logged-in")
        assert browser.post("/api/v1/stop").status_code == 401
        assert browser.post("/api/v1/plan/preview", json={"text": ""}).status_code == 401
        session = browser.get("/api/v1/session").json()
        assert session == {"role": "nobody", "needs_passcode": True, "guests_may_read": False}
        assert browser.get("/health").status_code == 503  # answered: there is no controller


def test_the_passcode_opens_and_logging_out_closes(page: PageProcess) -> None:
    """The cookie is out of scripts' and other sites' reach (RFC 6265bis)."""
    with page.client() as browser:
        answer = _log_in(browser)
        assert answer.json()["role"] == "owner"
        cookie = answer.headers["set-cookie"].lower()
        assert "httponly" in cookie
        assert "samesite=strict" in cookie
        assert browser.get("/api/v1/status").status_code == 200
        kept = dict(browser.cookies)
        assert browser.delete("/api/v1/session").json()["role"] == "nobody"
        assert browser.get("/api/v1/status").status_code == 401
        stolen = {"Cookie": f"rootclock={kept['rootclock']}"}
        assert browser.get("/api/v1/status", headers=stolen).status_code == 401


@pytest.mark.parametrize(
    "cookie",
    [
        "rootclock=",
        "rootclock=9999999999.aa.bb",
        "rootclock=x",
        "rootclock=9999999999.aa.é",
        "rootclock=" + "1" * 5000,
        '=;"; rootclock',
    ],
)
def test_made_up_cookies_open_nothing(page: PageProcess, cookie: str) -> None:
    """They are signed."""
    with page.client() as browser:
        headers = {b"Cookie": cookie.encode("latin-1")}
        assert browser.get("/api/v1/status", headers=headers).status_code == 401


def test_tries_are_counted(kept: Path) -> None:
    """Five at once, then one each half minute; the right one within them is let in.

    Slow, since each try is: that is what keeps guessers off.
    """
    settings = {"passcode_path": str(kept)}
    with PageProcess(kept.parent / "nowhere.sock", **settings) as page, page.client() as browser:
        codes = [_log_in(browser, "not the passcode").status_code for _ in range(6)]
        assert codes == [403] * 5 + [429]
        late = _log_in(browser)
        assert late.status_code == 429
        assert 0 < int(late.headers["retry-after"]) <= 30


def test_a_restart_logs_nobody_out_and_a_new_passcode_everybody(tmp_path: Path) -> None:
    """Sessions are signed with what is kept beside the passcode."""
    path = tmp_path / "passcode"
    write_passcode(path, stored(PASSCODE))
    socket_path, settings = tmp_path / "nowhere.sock", {"passcode_path": str(path)}
    with PageProcess(socket_path, **settings) as page, page.client() as browser:
        _log_in(browser)
        cookies = {"Cookie": f"rootclock={browser.cookies['rootclock']}"}
    with PageProcess(socket_path, **settings) as page, page.client() as browser:
        assert browser.get("/api/v1/status", headers=cookies).status_code == 200
        _log_in(browser)
        left = {"Cookie": f"rootclock={browser.cookies['rootclock']}"}
        assert browser.delete("/api/v1/session").status_code == 200
    with PageProcess(socket_path, **settings) as page, page.client() as browser:
        assert browser.get("/api/v1/status", headers=cookies).status_code == 200
        assert browser.get("/api/v1/status", headers=left).status_code == 401
    write_passcode(path, stored("another passcode"))
    with PageProcess(socket_path, **settings) as page, page.client() as browser:
        assert browser.get("/api/v1/status", headers=cookies).status_code == 401


def test_guests_look_and_order_nothing(kept: Path) -> None:
    """Where they are let in."""
    settings = {"passcode_path": str(kept), "guests_may_read": True}
    with PageProcess(kept.parent / "nowhere.sock", **settings) as page, page.client() as browser:
        assert browser.get("/api/v1/session").json()["role"] == "guest"
        assert browser.get("/api/v1/status").status_code == 200
        for path in ("/stop", "/plan", "/plan/restore", "/dry-run", "/hold"):
            answer = browser.post(f"/api/v1{path}", json={})
            assert answer.status_code == 403, path
            assert answer.json()["type"].endswith("/not-allowed")


def _command(*words: str, given: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603 - our own program
        [sys.executable, "-c", _PROGRAM, *words],
        input=given,
        capture_output=True,
        text=True,
        check=False,
    )


_PROGRAM = """
import argparse, sys
from controller.cli import web_command
parser = argparse.ArgumentParser(prog="rootclock")
web_command.add_to(parser.add_subparsers(required=True))
arguments = parser.parse_args(sys.argv[1:])
sys.exit(arguments.run(arguments))
"""


def test_nobody_is_let_in_without_a_passcode(tmp_path: Path) -> None:
    """Beyond this machine the command refuses, and says how to go on."""
    path = tmp_path / "passcode"
    done = _command("web", "--host", "0.0.0.0", "--passcode-file", str(path))  # noqa: S104
    assert done.returncode == 1
    assert "--set-passcode" in done.stderr


def test_the_command_sets_a_passcode(tmp_path: Path) -> None:
    """Its hash is the owner's alone; a short one is refused and keeps the old one."""
    path = tmp_path / "state" / "passcode"
    words = ("web", "--set-passcode", "--passcode-file", str(path))
    done = _command(*words, given=f"{PASSCODE}\n")
    assert (done.returncode, done.stderr) == (0, "")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert PASSCODE not in path.read_text()
    before = path.read_bytes()
    short = _command(*words, given="short\n")
    assert short.returncode == 1
    assert "8" in short.stderr
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--port", "99999"), "port"),  # no such port
        (("--port", "-1"), "port"),
        (("--host", "no.such.host.invalid"), "no.such.host.invalid"),  # RFC 6761: never resolves
    ],
)
def test_wrong_addresses_are_told(words: tuple[str, str], told: str, tmp_path: Path) -> None:
    """Before anything runs."""
    path = tmp_path / "passcode"
    write_passcode(path, stored(PASSCODE))
    done = _command("web", "--passcode-file", str(path), *words)
    assert done.returncode in {1, 2}
    assert told in done.stderr
    assert "Traceback" not in done.stderr


def test_a_taken_port_is_told(page: PageProcess) -> None:
    """With what to do."""
    done = _command("web", "--port", str(page.port), "--passcode-file", "none")
    assert done.returncode == 1
    assert "--port" in done.stderr
    assert "Traceback" not in done.stderr
