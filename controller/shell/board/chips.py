"""The kernel's GPIO chips: whether there is one that we may use, found out without gpiozero."""

from __future__ import annotations

import errno
import grp
import importlib.util
import os
import re
from pathlib import Path
from typing import NamedTuple

# Where gpiozero looks for the board's revision, in this order (gpiozero/pins/local.py, 2.0.1).
_REVISION_FILES = (Path("/proc/device-tree/system/linux,revision"), Path("/proc/cpuinfo"))
_REVISION_LINE = re.compile(rb"^Revision\s*:\s*[0-9A-Fa-f]+\s*$", re.MULTILINE)


class Chip(NamedTuple):
    """One GPIO chip: its device file, the label that the kernel gives it, its number of lines."""

    device: str
    label: str
    lines: int


def why_no_gpio(devices: Path = Path("/dev")) -> str | None:
    """Why relays cannot be switched on this computer, in words; None where they can.

    Cheap: opens and closes the chips, which changes no line, and imports no driver. What it
    lets pass can still fail in `open_board`, which says why.
    """
    chips = sorted(devices.glob("gpiochip*"))
    if not chips:
        return f"this computer has no GPIO lines (there is no {devices}/gpiochip0)"
    if not _is_known_board():
        return (
            "this computer has GPIO lines, but is not a board whose header is known here "
            "(neither its device tree nor /proc/cpuinfo tells a revision)"
        )
    complaints = [_why_closed(chip) for chip in chips]
    if all(complaints):
        return complaints[0]
    if importlib.util.find_spec("_lgpio") is None:  # its compiled half; version 0.0.0.2 has none
        return "the GPIO driver is not installed: install lgpio 0.2.2 or later"
    return None


def _is_known_board() -> bool:
    try:
        return bool(_REVISION_FILES[0].read_bytes())
    except OSError:
        try:
            return _REVISION_LINE.search(_REVISION_FILES[1].read_bytes()) is not None
        except OSError:
            return False


def _why_closed(device: Path) -> str | None:
    """Why a chip's device cannot be opened; None where it can."""
    try:
        os.close(os.open(device, os.O_RDWR | os.O_CLOEXEC))
    except OSError as error:
        if error.errno in {errno.EACCES, errno.EPERM}:
            return _forbidden(device)
        return f"{device} cannot be opened: {os.strerror(error.errno or 0)}"
    return None


def _forbidden(device: Path) -> str:
    """What to do about a device that one may not open."""
    try:
        stat = device.stat()
    except OSError:
        return f"you may not open {device}"
    if stat.st_gid == 0 or stat.st_mode & 0o060 != 0o060:
        return f"you may not open {device}: only root may, until a udev rule gives it to a group"
    try:
        group = grp.getgrgid(stat.st_gid).gr_name
    except KeyError:
        group = str(stat.st_gid)
    if stat.st_gid in {*os.getgroups(), os.getegid()}:
        return f"{device} is kept from this service, although it is in the group {group}"
    return (
        f"you may not open {device}: its group is {group}. Join it with "
        f"sudo usermod -aG {group} NAME (NAME is yours), then log out and in again"
    )
