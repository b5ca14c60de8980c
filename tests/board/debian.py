"""Debian packages for the board's processor, fetched and verified by apt, unpacked as they are.

apt runs with folders of its own, so nothing of the host's package state is touched and no
privilege is needed. No maintainer script runs: the board needs none.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import NamedTuple

from tests.board.host import HostError, call

RELEASE = "bookworm"
PACKAGES = ("?essential", "base-passwd", "kmod", "procps", "python3", "systemd-sysv", "udev")

# Read by people only, never by the board.
_LEFT_OUT = ("doc", "doc-base", "info", "locale", "lintian", "man", "i18n")


class Archives(NamedTuple):
    """Package files of one build."""

    root: tuple[Path, ...]
    kernel: Path
    busybox: Path


def fetch(folder: Path) -> Archives:
    """Everything that the root tree and the first stage of booting are made of, in `folder`.

    Raises:
        HostError: the host has no sources of that release, or they cannot be reached.
    """
    options = _options(folder)
    call("apt-get", *options, "update")
    depends = call("apt-cache", *options, "depends", "linux-image-arm64")
    kernel = re.search(r"Depends: (linux-image-\S+)", depends)
    if kernel is None:
        raise HostError(f"apt knows no arm64 kernel of Debian {RELEASE}:\n{depends}")
    call("apt-get", *options, "install", "--yes", "--download-only", *PACKAGES)
    root = tuple(sorted((folder / "archives").glob("*.deb")))
    call("apt-get", *options, "download", kernel[1], "busybox-static", folder=folder)
    return Archives(root, *(next(folder.glob(f"{name}_*.deb")) for name in (kernel[1], "busybox*")))


def _options(folder: Path) -> list[str]:
    """Words that make apt work for another processor, with all that it keeps under `folder`."""
    for name in ("archives/partial", "state/lists/partial"):
        (folder / name).mkdir(parents=True)
    (folder / "status").touch()  # nothing is installed: dependencies are fetched whole
    settings = {
        "APT::Architecture": "arm64",
        "APT::Architectures::": "arm64",
        "APT::Install-Recommends": "false",
        "APT::Sandbox::User": "",
        "Binary::apt-get::APT::Keep-Downloaded-Packages": "true",
        "Dir::Cache": str(folder),
        "Dir::Cache::archives": str(folder / "archives"),
        "Dir::State": str(folder / "state"),
        "Dir::State::status": str(folder / "status"),
        **_sources(),
    }
    return ["-qq", *(word for name in settings for word in ("-o", f"{name}={settings[name]}"))]


def _sources() -> dict[str, str]:
    """The host's own package sources, or those in the file that the environment names."""
    named = os.environ.get("ROOTCLOCK_BOARD_SOURCES")
    if named:
        return {"Dir::Etc::sourcelist": str(Path(named).resolve()), "Dir::Etc::sourceparts": "-"}
    release = Path("/etc/os-release").read_text(encoding="utf-8")
    if f"VERSION_CODENAME={RELEASE}" not in release:
        raise HostError(
            f"the board is made of Debian {RELEASE}, and this machine runs something else: name "
            f"a sources.list of {RELEASE} in ROOTCLOCK_BOARD_SOURCES"
        )
    return {}


def unpack(archives: tuple[Path, ...], tree: Path) -> None:
    """Lays the files of all archives into the tree, as the packages have them."""
    for name in ("bin", "lib", "sbin"):  # where packages of this release still put some files
        (tree / "usr" / name).mkdir(parents=True)
        (tree / name).symlink_to(f"usr/{name}")
    left_out = [f"--exclude=./usr/share/{name}" for name in _LEFT_OUT]
    for archive in archives:
        _untar(archive, tree, "--keep-directory-symlink", *left_out)


def unpack_member(archive: Path, pattern: str, to: Path) -> list[Path]:
    """Unpacks what matches into the folder; gives the files, sorted."""
    _untar(archive, to, "--wildcards", pattern)
    return sorted(path for path in to.rglob(Path(pattern).name) if path.is_file())


def _untar(archive: Path, to: Path, *words: str) -> None:
    with_pipe = (
        'set -o pipefail; archive="$1"; shift; dpkg-deb --fsys-tarfile "$archive" | tar "$@"'
    )
    call("bash", "-c", with_pipe, "untar", archive, "-x", "-C", to, "--no-same-owner", *words)
