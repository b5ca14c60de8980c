"""The board's disk with rootclock on it, as systemd/install leaves it, after one boot."""

from __future__ import annotations

import shutil
import sys
from configparser import ConfigParser
from typing import TYPE_CHECKING, NamedTuple

from tests.board.base_disk import (
    ACCOUNTS,
    CHECKOUT,
    ENVIRONMENT,
    HERE,
    SITE_PACKAGES,
    base_folder,
    compile_python,
    unpack_wheels,
)
from tests.board.boot_parts import BootParts, boot_parts
from tests.board.cache import built, key_of
from tests.board.host import call
from tests.board.machine import Machine, Setup

if TYPE_CHECKING:
    from pathlib import Path

# What the installed board is made of.
_SOURCES = ("controller", "web", "systemd", "pyproject.toml", "README.md")
STATE = "var/lib/rootclock"

_SCRIPT = """\
#!/{environment}/bin/python
import sys
from {module} import {function}
sys.exit({function}())
"""


class Installed(NamedTuple):
    """A disk to copy, and what to boot it with."""

    disk: Path
    parts: BootParts


def installed() -> Installed:
    """The disk; made anew, in half a minute, when the project's files have changed."""
    base = base_folder()
    made_of = [CHECKOUT / name for name in _SOURCES]
    own = [HERE / "installed_disk.py", HERE / "machine.py", HERE / "on_board"]
    folder = built("installed", key_of(base.name, *made_of, *own), lambda to: _install(base, to))
    return Installed(folder / "disk.img", boot_parts(base))


def copy_disk(disk: Path, to: Path) -> Path:
    """A copy that takes only the room of what is in use."""
    call("cp", "--sparse=always", "--reflink=auto", disk, to)
    return to


def _install(base: Path, folder: Path) -> None:
    files = folder / "files"
    _lay_out(base, files, folder / "scratch")
    disk = copy_disk(base / "disk.img", folder / "disk.img")
    with Machine(disk, boot_parts(base), Setup(files=files), folder / "run") as machine:
        machine.wait_booted()
        machine.shell.run(
            "systemctl is-system-running --wait; systemctl enable rootclock.service", within_s=60
        )
        machine.power_off()
    for name in ("files", "run", "scratch"):
        shutil.rmtree(folder / name)


def _lay_out(base: Path, files: Path, scratch: Path) -> None:
    """Every file of rootclock and of the tests, where it stands on the board."""
    (files / "etc/systemd/system").mkdir(parents=True)
    for name in ACCOUNTS:
        shutil.copy(base / name, files / "etc")
    call("bash", CHECKOUT / "systemd" / "install", "--root", files, "--cautions-read")
    call(
        sys.executable, "-m", "pip", "wheel", "--quiet", "--disable-pip-version-check",
        "--no-deps", "--wheel-dir", scratch, CHECKOUT,
    )  # fmt: skip
    (wheel,) = scratch.glob("rootclock-*.whl")
    site_packages = files / SITE_PACKAGES
    unpack_wheels([wheel], site_packages)
    compile_python(files, SITE_PACKAGES)
    _write_scripts(site_packages, files / ENVIRONMENT / "bin")
    for name, to in (
        ("outside-shell", "usr/local/lib"),
        ("outside-shell.service", "etc/systemd/system"),
    ):
        (files / to).mkdir(parents=True, exist_ok=True)
        shutil.copy(HERE / "on_board" / name, files / to)
    wants = files / "etc/systemd/system/sysinit.target.wants"
    wants.mkdir(exist_ok=True)
    (wants / "outside-shell.service").symlink_to("../outside-shell.service")


def _write_scripts(site_packages: Path, to: Path) -> None:
    """The wheel's commands, as pip makes them of its entry points."""
    (entry_points,) = site_packages.glob("rootclock-*.dist-info/entry_points.txt")
    stated = ConfigParser()
    stated.read(entry_points, "utf-8")
    to.mkdir(parents=True)
    for name, where in stated["console_scripts"].items():
        module, _, function = where.partition(":")
        text = _SCRIPT.format(environment=ENVIRONMENT, module=module, function=function)
        (to / name).write_text(text, "utf-8")
        (to / name).chmod(0o755)
