"""The systemd units: well formed, least privilege, and at one with what is installed.

`systemd-analyze` is systemd's own judge of units (Debian package systemd); both of its
commands work without a running systemd.
"""

from __future__ import annotations

import configparser
import os
import subprocess
from pathlib import Path

import pytest

from tests.readme import ROOT

_UNITS = ("rootclock.service", "rootclock-page.service")
_Sections = dict[str, dict[str, list[str]]]


def _run(*words: str | Path, expected: int = 0) -> str:
    done = subprocess.run(  # noqa: S603 - our own words
        [str(word) for word in words],
        env={**os.environ, "LC_ALL": "C.UTF-8", "SYSTEMD_COLORS": "0"},
        capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    assert done.returncode == expected, done.stdout + done.stderr
    return done.stdout + done.stderr


@pytest.fixture(scope="module")
def system(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A system's folder in which our files are installed."""
    root = tmp_path_factory.mktemp("system")
    (root / "etc").mkdir()
    _run("bash", ROOT / "systemd" / "install", "--root", root)
    return root


def _unit(system: Path, name: str) -> Path:
    return system / "usr" / "local" / "lib" / "systemd" / "system" / name


def _read(path: Path) -> _Sections:
    """A unit's settings in their order; a key may occur more than once (systemd.syntax(7))."""
    sections: _Sections = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            section = sections.setdefault(line.strip("[]"), {})
        elif line and not line.startswith("#"):
            key, _, value = line.partition("=")
            section.setdefault(key, []).append(value)
    return sections


def _with_programs(system: Path, unit: Path, folder: Path, *, more: str = "") -> Path:
    """The unit as it would be if our folder stood where it was installed for this test."""
    program = system / "opt" / "rootclock" / "current" / "bin" / "rootclock"
    program.parent.mkdir(parents=True, exist_ok=True)
    program.write_text("#!/bin/sh\n", "utf-8")
    program.chmod(0o755)
    copy = folder / unit.name
    text = unit.read_text("utf-8").replace("/opt/rootclock/", f"{system}/opt/rootclock/")
    copy.write_text(text + more, "utf-8")
    return copy


@pytest.mark.parametrize("name", _UNITS)
def test_systemd_finds_nothing_wrong_with_a_unit(system: Path, tmp_path: Path, name: str) -> None:
    """Every setting is one that systemd knows, and every program is there."""
    unit = _with_programs(system, _unit(system, name), tmp_path)
    assert _run("systemd-analyze", "verify", "--man=no", unit) == ""


def test_systemd_would_find_a_slip(system: Path, tmp_path: Path) -> None:
    """The check above can fail: a setting that does not exist is told."""
    more = "\n[Service]\nWatchdogSeconds=10\n"
    unit = _with_programs(system, _unit(system, _UNITS[0]), tmp_path, more=more)
    assert "WatchdogSeconds" in _run("systemd-analyze", "verify", "--man=no", unit)


@pytest.mark.parametrize(
    ("name", "exposure_max"),
    [
        pytest.param("rootclock.service", 1.0, id="the daemon, which needs the GPIO device"),
        pytest.param("rootclock-page.service", 1.5, id="the page, which needs the network"),
    ],
)
def test_a_unit_may_do_little_besides_its_job(system: Path, name: str, exposure_max: float) -> None:
    """By systemd's measure of exposure: 0 is none, 10 all (systemd-analyze(1), security)."""
    threshold = f"--threshold={exposure_max * 10:.0f}"
    unit = _unit(system, name)
    said = _run("systemd-analyze", "security", "--no-pager", "--offline=true", threshold, unit)
    assert f"Overall exposure level for {name}" in said


def test_a_unit_that_may_do_everything_would_be_told(tmp_path: Path) -> None:
    """The measure above can fail: without any restriction it is 9 and more."""
    bare = tmp_path / "bare.service"
    bare.write_text("[Service]\nExecStart=/bin/true\n", "utf-8")
    _run("systemd-analyze", "security", "--no-pager", "--offline=true", "--threshold=90", bare,
         expected=1)  # fmt: skip


def test_the_daemon_is_started_for_ever_and_watched(system: Path) -> None:
    """What outlives crashes and hangs, with the limits that the daemon is built for."""
    unit = _read(_unit(system, "rootclock.service"))
    assert unit["Unit"]["StartLimitIntervalSec"] == ["0"]
    service = unit["Service"]
    assert service["Type"] == ["notify"]
    assert service["WatchdogSec"] == ["10s"]
    assert service["Restart"] == ["always"]
    assert service["RestartSec"] == ["500ms"]
    assert service["OOMPolicy"] == ["continue"]
    assert unit["Install"]["WantedBy"] == ["multi-user.target"]


@pytest.mark.parametrize("name", _UNITS)
def test_no_unit_waits_for_the_network_or_the_time(system: Path, name: str) -> None:
    """Roots do not wait: nothing is pulled in or waited for that can take long."""
    unit = _read(_unit(system, name))["Unit"]
    waited = {word for key in ("After", "Requires", "Wants", "BindsTo", "Requisite", "PartOf")
              for value in unit.get(key, []) for word in value.split()}  # fmt: skip
    assert waited <= {"rootclock.service", "network.target"}


def test_the_page_never_starts_stops_or_outranks_the_daemon(system: Path) -> None:
    """It is ordered after the daemon, and that is all; in everything it comes second."""
    daemon = _read(_unit(system, "rootclock.service"))
    page = _read(_unit(system, "rootclock-page.service"))
    assert [key for key, values in page["Unit"].items() if "rootclock.service" in values[0]] == [
        "After"
    ]
    assert "rootclock-page" not in _unit(system, "rootclock.service").read_text("utf-8")
    assert page["Service"]["User"] == ["rootclock-page"]
    assert daemon["Service"]["User"] == ["rootclock"]
    assert page["Service"]["SupplementaryGroups"] == daemon["Service"]["Group"]
    for key in ("CPUWeight", "IOWeight"):
        assert int(page["Service"][key][0]) < int(daemon["Service"][key][0])
    assert int(page["Service"]["Nice"][0]) > int(daemon["Service"]["Nice"][0])
    assert int(page["Service"]["OOMScoreAdjust"][0]) > int(daemon["Service"]["OOMScoreAdjust"][0])


def test_the_way_out_after_death_is_installed_and_needs_nothing_else(
    system: Path, tmp_path: Path
) -> None:
    """ExecStopPost names an installed program that runs alone, on the daemon's own note."""
    service = _read(_unit(system, "rootclock.service"))["Service"]
    python, *options, program, note = service["ExecStopPost"][0].split()
    assert (python, options) == ("/usr/bin/python3", ["-I", "-S"])
    installed = system / program.lstrip("/")
    ours = ROOT / "controller" / "shell" / "board" / "emergency.py"
    assert installed.read_bytes() == ours.read_bytes()
    assert note == "/run/rootclock/safe-lines"
    _run(python, *options, installed, tmp_path / "no-note")


def test_daemon_page_and_command_line_meet_at_one_socket(system: Path) -> None:
    """The socket stands in the daemon's runtime folder, which its group may enter."""
    daemon = _read(_unit(system, "rootclock.service"))["Service"]
    page = _read(_unit(system, "rootclock-page.service"))["Service"]
    for service in (daemon, page):
        words = service["ExecStart"][0].split()
        assert words[words.index("--socket") + 1] == "/run/rootclock/control.sock"
    assert daemon["RuntimeDirectory"] == ["rootclock"]
    assert daemon["RuntimeDirectoryMode"] == ["0750"]
    # Not "no": systemd would remove the note of safe lines before the next start could fail.
    assert daemon["RuntimeDirectoryPreserve"] == ["yes"]
    words = daemon["ExecStart"][0].split()
    assert words[1:3] == ["run", "/var/lib/rootclock/plan.toml"]
    assert words[words.index("--state") + 1] == "/var/lib/rootclock"
    assert daemon["StateDirectory"] == ["rootclock"]


def test_the_page_listens_to_this_machine_alone(system: Path) -> None:
    """Others in the house are let in by somebody who decides it; the world never is."""
    page = _read(_unit(system, "rootclock-page.service"))["Service"]
    words = page["ExecStart"][0].split()
    assert words[words.index("--host") + 1] == "${HOST}"
    assert page["Environment"][0].split() == ["HOST=127.0.0.1", "PORT=8080", "OPTIONS="]
    assert page["IPAddressDeny"] == ["any"]


def test_users_and_groups_of_the_units_are_made(system: Path) -> None:
    """Whoever a unit runs as, sysusers.d(5) makes; neither may log in."""
    wanted = {value for name in _UNITS for key in ("User", "Group", "SupplementaryGroups")
              for value in _read(_unit(system, name))["Service"][key]}  # fmt: skip
    passwd = [line.split(":") for line in (system / "etc" / "passwd").read_text().splitlines()]
    group = [line.split(":") for line in (system / "etc" / "group").read_text().splitlines()]
    assert {entry[0] for entry in group} == wanted
    assert {entry[0]: entry[6] for entry in passwd} == {
        "rootclock": "/usr/sbin/nologin",
        "rootclock-page": "/usr/sbin/nologin",
    }
    assert {entry[0]: entry[3] for entry in group if entry[3]} == {"gpio": "rootclock"}


def test_the_kernel_may_be_asked_whether_the_clock_is_right(system: Path) -> None:
    """What the daemon needs of the groups that are denied is allowed by name, after them.

    Later settings win (systemd.exec(5), SystemCallFilter=). ProtectClock= and ProcSubset=
    would take away what the clock's trust and the GPIO library read.
    """
    service = _read(_unit(system, "rootclock.service"))["Service"]
    filters = service["SystemCallFilter"]
    denied = next(place for place, value in enumerate(filters) if value.startswith("~"))
    allowed = {word for value in filters[denied + 1 :] for word in value.split()}
    assert {"adjtimex", "clock_adjtime"} <= allowed
    assert service["SystemCallErrorNumber"] == ["EPERM"]
    assert service["CapabilityBoundingSet"] == [""]
    assert {"ProtectClock", "ProcSubset", "PrivateUsers", "PrivateDevices"}.isdisjoint(service)


def test_the_gpio_rule_and_the_unit_name_one_group(system: Path) -> None:
    """udev(7) hands the lines to the group that the daemon belongs to."""
    rule = (system / "usr/local/lib/udev/rules.d/60-rootclock.rules").read_text("utf-8")
    service = _read(_unit(system, "rootclock.service"))["Service"]
    assert 'GROUP="gpio"' in rule
    assert service["SupplementaryGroups"] == ["gpio"]
    assert service["DeviceAllow"] == ["char-gpiochip rw"]


def test_each_setting_is_written_once(system: Path) -> None:
    """Lists excepted; a setting that stands twice is a slip, since only the last counts."""
    for name in _UNITS:
        reader = configparser.RawConfigParser(strict=True, interpolation=None)
        text = _unit(system, name).read_text("utf-8")
        reader.read_string("\n".join(line for line in text.splitlines()
                                     if not line.startswith("SystemCallFilter=")))  # fmt: skip
        assert reader.sections() == ["Unit", "Service", "Install"]
