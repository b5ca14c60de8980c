"""Programs of the machine that the tests run on, and how they are called."""

from __future__ import annotations

import os
import shutil
import subprocess
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

# What is called by name, and the Debian package that has it.
_PACKAGE_OF = {
    "apt-get": "apt",
    "bash": "bash",
    "cp": "coreutils",
    "cpio": "cpio",
    "debugfs": "e2fsprogs",
    "dpkg-deb": "dpkg",
    "e2fsck": "e2fsprogs",
    "fdtput": "device-tree-compiler",
    "mke2fs": "e2fsprogs",
    "python3.11": "python3",
    "qemu-system-aarch64": "qemu-system-arm",
    "setpriv": "util-linux",
    "systemctl": "systemd",
    "systemd-sysusers": "systemd",
    "tar": "tar",
    "unshare": "util-linux",
}
# File system programs stand where an ordinary user's shell does not look.
_PATH = f"{os.environ.get('PATH', os.defpath)}:/usr/sbin:/sbin"


class HostError(Exception):
    """The machine that the tests run on lacks something, or a program on it failed."""


def missing_packages() -> list[str]:
    """Debian packages without which no board can be built here, by name."""
    return sorted({_PACKAGE_OF[name] for name in _PACKAGE_OF if not shutil.which(name, path=_PATH)})


def require_packages() -> None:
    """Returns when everything is there.

    Raises:
        HostError: something is missing; says what to install.
    """
    missing = missing_packages()
    if missing:
        raise HostError(
            f"the virtual board needs packages that this machine lacks: {', '.join(missing)}. "
            f"Run bash tests/board/setup, or apt-get install {' '.join(missing)}"
        )


def call(
    *words: str | Path,
    folder: Path | None = None,
    text_in: str | None = None,
    extra: Mapping[str, str] | None = None,
    codes: tuple[int, ...] = (0,),
) -> str:
    """What the program prints.

    Args:
        words: the program and its arguments.
        folder: where it runs.
        text_in: its standard input; nothing if None.
        extra: environment variables besides our own.
        codes: exit codes that mean success.

    Raises:
        HostError: it is missing, or ended with another code; has the end of what it said.
    """
    program = shutil.which(str(words[0]), path=_PATH)
    if program is None:
        raise HostError(f"{words[0]} is not on this machine: run bash tests/board/setup")
    done = subprocess.run(  # noqa: S603 - our own words
        [program, *map(str, words[1:])],
        cwd=folder,
        input=text_in or "",
        capture_output=True,
        check=False,
        text=True,
        env={**os.environ, "PATH": _PATH, "LC_ALL": "C", **(extra or {})},
    )
    if done.returncode not in codes:
        said = (done.stdout + done.stderr).strip()[-3000:]
        raise HostError(f"{' '.join(map(str, words))} ended with {done.returncode}:\n{said}")
    return done.stdout
