"""The board's disk before rootclock: Debian, and the Python packages that rootclock needs."""

from __future__ import annotations

import os
import shutil
import sys
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

from tests.board.boot_parts import make_boot_parts
from tests.board.cache import built, key_of
from tests.board.debian import fetch, unpack
from tests.board.host import call, require_packages

if TYPE_CHECKING:
    from collections.abc import Iterable

HERE = Path(__file__).parent
CHECKOUT = HERE.parents[1]

# Newest first, as pip wants them: what wheels for 64-bit ARM are tagged with, up to the
# glibc 2.36 of Debian 12.
_PLATFORMS = ("manylinux_2_34_aarch64", "manylinux_2_28_aarch64", "manylinux2014_aarch64")

DISK_MIB = 700
ACCOUNTS = ("group", "passwd")

# Where systemd/install makes an environment; ours is laid out by hand, since pip would take
# minutes in the emulator.
ENVIRONMENT = "opt/rootclock/version.board"
SITE_PACKAGES = f"{ENVIRONMENT}/lib/python3.11/site-packages"

_FILES = {
    "etc/hostname": "board\n",
    "etc/machine-id": "7c2f1c6f0d1b4f0f8a55d4f0c0b0a4d1\n",
    # All that systemd and the services say can be read from outside, even when it hangs.
    "etc/systemd/journald.conf.d/outside.conf": (
        "[Journal]\nStorage=volatile\nForwardToConsole=yes\nMaxLevelConsole=info\n"
    ),
    # Coldplug of what a grower's rules can be about, and not of a server's hundred devices.
    "etc/systemd/system/systemd-udev-trigger.service.d/fewer.conf": (
        "[Service]\nExecStart=\n"
        "ExecStart=udevadm trigger --action=add --subsystem-match=gpio --subsystem-match=tty "
        "--subsystem-match=block --subsystem-match=rtc\n"
    ),
}
# Made by maintainer scripts elsewhere.
_GROUPS = ("input", "kvm", "render", "sgx", "systemd-journal")
_LINKS = {"var/lock": "/run/lock", "var/run": "/run"}

# Nobody logs in here, the first stage has loaded and mounted what there is, and what the
# others keep up is made anew for every test.
_NOT_STARTED = (
    "console-getty.service", "dev-hugepages.mount", "dev-mqueue.mount", "e2scrub_all.timer",
    "e2scrub_reap.service", "fstrim.timer", "getty.target", "kmod-static-nodes.service",
    "ldconfig.service", "modprobe@configfs.service", "modprobe@dm_mod.service",
    "modprobe@drm.service", "modprobe@efi_pstore.service", "modprobe@fuse.service",
    "modprobe@loop.service", "serial-getty@ttyAMA0.service", "sys-fs-fuse-connections.mount",
    "sys-kernel-config.mount", "sys-kernel-debug.mount", "sys-kernel-tracing.mount",
    "systemd-firstboot.service", "systemd-hwdb-update.service",
    "systemd-journal-catalog-update.service", "systemd-journal-flush.service",
    "systemd-logind.service", "systemd-modules-load.service", "systemd-remount-fs.service",
    "systemd-update-utmp-runlevel.service", "systemd-update-utmp.service",
    "systemd-user-sessions.service",
)  # fmt: skip


def base_folder() -> Path:
    """The folder with disk.img and the parts to boot it with; built once, in a minute or two."""
    require_packages()
    recipe = [HERE / name for name in ("base_disk.py", "boot_parts.py", "debian.py")]
    return built("base", key_of(*recipe, *dependencies()), _build)


def dependencies() -> list[str]:
    """What rootclock needs at run time, as its pyproject.toml states it."""
    stated = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))
    found: list[str] = stated["project"]["dependencies"]
    return found


def _build(folder: Path) -> None:
    scratch = folder / "making"
    scratch.mkdir()
    archives = fetch(scratch)
    make_boot_parts(archives, folder)
    tree = scratch / "tree"
    unpack(archives.root, tree)
    _settle(tree)
    _make_environment(scratch, tree)
    compile_python(tree, "usr/lib/python3", "usr/lib/python3.11", SITE_PACKAGES)
    for name in ACCOUNTS:
        shutil.copy(tree / "etc" / name, folder)
    _make_disk(tree, folder / "disk.img")
    shutil.rmtree(scratch)


def _settle(tree: Path) -> None:
    """Does what maintainer scripts and an installer's questions would."""
    for name in ACCOUNTS:
        shutil.copyfile(tree / f"usr/share/base-passwd/{name}.master", tree / "etc" / name)
    for name, text in _FILES.items():
        path = tree / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    with (tree / "etc/group").open("a", encoding="utf-8") as groups:
        groups.writelines(f"{name}:x:{900 + i}:\n" for i, name in enumerate(_GROUPS))
    for name, target in _LINKS.items():
        (tree / name).rmdir()
        (tree / name).symlink_to(target)
    for name in _NOT_STARTED:
        (tree / "etc/systemd/system" / name).symlink_to("/dev/null")


def _make_environment(scratch: Path, tree: Path) -> None:
    """A virtual environment with everything in it but rootclock."""
    wheels = scratch / "wheels"
    platforms = [word for name in _PLATFORMS for word in ("--platform", name)]
    call(
        sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check",
        "--only-binary=:all:", "--python-version", "3.11", *platforms,
        "--dest", wheels, *dependencies(),
    )  # fmt: skip
    unpack_wheels(wheels.glob("*.whl"), tree / SITE_PACKAGES)
    environment = tree / ENVIRONMENT
    (environment / "pyvenv.cfg").write_text(
        "home = /usr/bin\ninclude-system-site-packages = false\nversion = 3.11.2\n", "utf-8"
    )
    (environment / "bin").mkdir()
    for name in ("python", "python3"):
        (environment / "bin" / name).symlink_to("/usr/bin/python3")
    (environment.parent / "current").symlink_to(f"/{ENVIRONMENT}")


def unpack_wheels(wheels: Iterable[Path], to: Path) -> None:
    """Lays the wheels' modules side by side, as pip does where no script needs making."""
    for wheel in wheels:
        shutil.unpack_archive(wheel, to, "zip")


def compile_python(tree: Path, *folders: str) -> None:
    """Compiles to what the board's Python reads, which is the same on every processor."""
    call(
        "python3.11", "-m", "compileall", "-q", "-j", str(os.cpu_count() or 1),
        "-s", tree, "-p", "/", "--invalidation-mode", "unchecked-hash",
        "-x", r"/(?:lib2to3/tests|test)/", *(tree / name for name in folders),
        codes=(0, 1),  # 1: a file of another Python's grammar, kept as an example
    )  # fmt: skip


def _make_disk(tree: Path, disk: Path) -> None:
    # Files that are ours become root's.
    as_root = () if os.geteuid() == 0 else ("unshare", "--map-root-user")
    call(
        *as_root, "mke2fs", "-q", "-t", "ext4", "-E", "root_owner=0:0",
        "-d", tree, disk, f"{DISK_MIB}M",
    )  # fmt: skip
