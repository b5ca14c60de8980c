"""What the emulated machine starts with: kernel, first stage and device tree."""

from __future__ import annotations

import gzip
import shutil
from typing import TYPE_CHECKING, NamedTuple

from tests.board.debian import unpack_member
from tests.board.host import call

if TYPE_CHECKING:
    from pathlib import Path

    from tests.board.debian import Archives

# The same words describe the machine when it runs, so that the device tree fits.
MACHINE = ("-M", "virt", "-cpu", "cortex-a72", "-smp", "2", "-m", "512", "-nic", "none")

# Built as modules in Debian's kernel, in the order in which they build on each other.
_MODULES = (
    "virtio_mmio", "virtio_blk", "virtio_console", "crc16", "crc32c_generic", "libcrc32c",
    "mbcache", "jbd2", "ext4",
)  # fmt: skip

_FIRST_STAGE = """\
#!/bin/busybox sh
# Loads what the disk needs, lays a test's files over it, and hands over to systemd.
/bin/busybox mount -t devtmpfs dev /dev
for module in {modules}; do /bin/busybox insmod "/modules/$module.ko" || exit 1; done
/bin/busybox mount -t ext4 /dev/vda /disk || exit 1
if [ -d /files ]; then /bin/busybox cp -af /files/. /disk/ && /bin/busybox sync || exit 1; fi
exec /bin/busybox switch_root /disk /sbin/init
"""

# Board revision of a Raspberry Pi 4B with 4 GB, as its firmware writes it into the device
# tree; gpiozero looks the header's pins up by it (gpiozero/pins/pi.py, data.py).
_REVISION = "c03111"


class BootParts(NamedTuple):
    """Files in one folder."""

    kernel: Path
    first_stage: Path
    device_tree: Path
    device_tree_without_clock: Path


def boot_parts(folder: Path) -> BootParts:
    """The parts that `make_boot_parts` left in the folder."""
    return BootParts(
        folder / "vmlinuz", folder / "first-stage.gz", folder / "board.dtb", folder / "no-clock.dtb"
    )


def make_boot_parts(archives: Archives, folder: Path) -> None:
    """Makes all of them."""
    parts = boot_parts(folder)
    scratch = folder / "scratch"
    scratch.mkdir()
    unpack_member(archives.kernel, "./boot/vmlinuz-*", scratch)[0].rename(parts.kernel)
    _make_first_stage(archives, scratch, parts.first_stage)
    _make_device_trees(parts)
    shutil.rmtree(scratch)


def _make_first_stage(archives: Archives, scratch: Path, to: Path) -> None:
    stage = scratch / "stage"
    for name in ("bin", "dev", "disk", "modules"):
        (stage / name).mkdir(parents=True)
    busybox = unpack_member(archives.busybox, "./bin/busybox", scratch)[0]
    busybox.rename(stage / "bin" / "busybox")
    for name in _MODULES:
        module = unpack_member(archives.kernel, f"./lib/modules/*/{name}.ko", scratch)[0]
        module.rename(stage / "modules" / module.name)
    init = stage / "init"
    init.write_text(_FIRST_STAGE.format(modules=" ".join(_MODULES)), encoding="ascii")
    init.chmod(0o755)
    to.write_bytes(packed(stage))


def packed(folder: Path) -> bytes:
    """The folder as an archive that the kernel unpacks at boot; it takes several in a row."""
    archive = folder.parent / f"{folder.name}.cpio"
    make = 'find . | LC_ALL=C sort | cpio --quiet -o -H newc -R 0:0 >"$1"'
    call("bash", "-c", f"set -o pipefail; {make}", "pack", archive, folder=folder)
    data = gzip.compress(archive.read_bytes(), 1)
    archive.unlink()
    return data


def _make_device_trees(parts: BootParts) -> None:
    tree = parts.device_tree
    call("qemu-system-aarch64", *MACHINE, "-M", f"dumpdtb={tree}", "-display", "none")
    call("fdtput", "-c", tree, "/system")
    call("fdtput", "-t", "x", tree, "/system", "linux,revision", _REVISION)
    # The machine's power key sits on line 3, which is a pin like any other here.
    call("fdtput", "-r", tree, "/gpio-keys")
    shutil.copyfile(tree, parts.device_tree_without_clock)
    call("fdtput", "-r", parts.device_tree_without_clock, "/pl031@9010000")
