"""The kernel's GPIO chips: which one has the header's lines, found out without gpiozero."""

from __future__ import annotations

import errno
import grp
import os
import re
from pathlib import Path
from typing import NamedTuple

from controller.core.errors import UnusableBoardError
from controller.shell.board import emergency
from controller.shell.board.gpio_device import Kernel

_NUMBERED = re.compile(r"gpiochip([0-9]+)")
# The labels that the kernel's drivers give to the chip of a 40-pin header, whose lines have the
# BCM numbers. Linux 6.1's image holds those of the second and third; the first from memory.
_HEADER_LABELS = ("pinctrl-rp1", "pinctrl-bcm2711", "pinctrl-bcm2835")
# Where gpiozero looks for the board's revision, in this order (gpiozero/pins/local.py, 2.0.1).
# Linux on 32-bit ARM tells a revision of 0000 where it knows none.
_REVISION_FILES = (Path("/proc/device-tree/system/linux,revision"), Path("/proc/cpuinfo"))
_REVISION_LINE = re.compile(rb"^Revision\s*:\s*0*[1-9A-Fa-f][0-9A-Fa-f]*\s*$", re.MULTILINE)
_KERNEL = Kernel()


class Chip(NamedTuple):
    """One GPIO chip: its device file, the label that the kernel gives it, its number of lines."""

    device: str
    label: str
    lines: int


def find_chip(devices: Path = Path("/dev"), kernel: Kernel = _KERNEL) -> Chip:
    """The chip whose lines are on the board's header.

    That is the one with a label which is known for it; else the only one that there is, on a
    board that tells its revision. No other is guessed: its lines could switch anything.
    Opening and closing chips changes no line.

    Raises:
        UnusableBoardError: there is none that we may use; says why, and what to do.
    """
    chips: list[Chip] = []
    complaints: list[str] = []
    for device in _devices(devices):
        try:
            chips.append(_look_at(device, kernel))
        except UnusableBoardError as error:
            complaints.append(str(error))
    for label in _HEADER_LABELS:
        for chip in chips:
            if chip.label == label:
                return chip
    if complaints:
        raise UnusableBoardError(complaints[0])
    labels = ", ".join(repr(chip.label) for chip in chips)
    if not _tells_revision():
        raise UnusableBoardError(
            f"this computer has GPIO lines ({labels}), but is not a board whose header is known "
            "here (neither its device tree nor /proc/cpuinfo tells a revision)"
        )
    if len(chips) > 1:
        raise UnusableBoardError(
            f"this board has several GPIO chips ({labels}), and of none is it known here that "
            "its lines are the header's"
        )
    return chips[0]


def why_no_gpio(devices: Path = Path("/dev"), kernel: Kernel = _KERNEL) -> str | None:
    """Why relays cannot be switched on this computer, in words; None where they can."""
    try:
        find_chip(devices, kernel)
    except UnusableBoardError as error:
        return str(error)
    return None


def _devices(folder: Path) -> list[Path]:
    """The chips' devices in the order of their numbers.

    Raises:
        UnusableBoardError: there are none.
    """
    found = {
        int(number[1]): device
        for device in folder.iterdir()
        if (number := _NUMBERED.fullmatch(device.name)) and not device.is_symlink()
    }
    if not found:  # links are older numbers of chips that are there as well
        raise UnusableBoardError(
            f"this computer has no GPIO lines (there is no {folder}/gpiochip0)"
        )
    return [found[number] for number in sorted(found)]


def _tells_revision() -> bool:
    try:
        return bool(_REVISION_FILES[0].read_bytes().strip(b"\0"))
    except OSError:
        try:
            return _REVISION_LINE.search(_REVISION_FILES[1].read_bytes()) is not None
        except OSError:
            return False


def _look_at(device: Path, kernel: Kernel) -> Chip:
    """What one chip tells of itself.

    Raises:
        UnusableBoardError: it cannot be opened, or is none that we can speak to.
    """
    try:
        handle = kernel.open(str(device))
    except OSError as error:
        if error.errno in {errno.EACCES, errno.EPERM}:
            raise UnusableBoardError(_forbidden(device)) from error
        raise UnusableBoardError(f"{device} cannot be opened: {error.strerror}") from error
    try:
        label, lines = emergency.chip_info(handle, kernel.ioctl)
        kernel.ioctl(handle, emergency.GET_LINE_INFO, emergency.line_info(0))
    except OSError as error:
        raise UnusableBoardError(
            f"{device} cannot be asked about its lines ({error.strerror}): "
            "that needs Linux 5.10 or later"
        ) from error
    finally:
        kernel.close(handle)
    return Chip(str(device), label, lines)


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
