"""Why there is no GPIO here, in words that tell what to do."""

from __future__ import annotations

import grp
import importlib.util
import os
from pathlib import Path

import pytest

from controller.shell.board import chips
from controller.shell.board.chips import why_no_gpio


@pytest.fixture
def devices(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for chips, on a board that is known."""
    revision = tmp_path / "revision"
    revision.write_bytes(bytes.fromhex("00c03111"))
    monkeypatch.setattr(chips, "_REVISION_FILES", (revision, tmp_path / "cpuinfo"))
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: True)
    return tmp_path


def forbid(monkeypatch: pytest.MonkeyPatch, device: Path, number: int) -> None:
    """Makes opening that device fail; this test may run as root, who may all."""
    real = os.open

    def opened(path: str | os.PathLike[str], flags: int, mode: int = 0o777) -> int:
        if Path(path) == device:
            raise OSError(number, os.strerror(number))
        return real(path, flags, mode)

    monkeypatch.setattr(os, "open", opened)


def give_to_group(device: Path) -> None:
    """Gives the device to a group that is not root's."""
    if os.geteuid() == 0:
        os.chown(device, -1, next(group.gr_gid for group in grp.getgrall() if group.gr_gid))
    device.chmod(0o660)


def test_without_a_chip(devices: Path) -> None:
    """An ordinary computer."""
    assert why_no_gpio(devices) == (
        f"this computer has no GPIO lines (there is no {devices}/gpiochip0)"
    )


def test_a_chip_that_may_be_opened(devices: Path) -> None:
    """Nothing stands in the way; of several, one is enough."""
    (devices / "gpiochip0").touch()
    assert why_no_gpio(devices) is None


def test_a_chip_of_a_computer_that_is_no_board(
    devices: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Laptops have GPIO chips too, and nothing of ours hangs on them."""
    (devices / "gpiochip0").touch()
    cpuinfo = devices / "cpuinfo"
    monkeypatch.setattr(chips, "_REVISION_FILES", (devices / "none", cpuinfo))
    told = (
        "this computer has GPIO lines, but is not a board whose header is known here "
        "(neither its device tree nor /proc/cpuinfo tells a revision)"
    )
    assert why_no_gpio(devices) == told  # on some, there is no such file
    cpuinfo.write_text("processor : 0\nmodel name : something\n")
    assert why_no_gpio(devices) == told
    cpuinfo.write_text("Hardware\t: BCM2835\nRevision\t: a02082\n")
    assert why_no_gpio(devices) is None


def test_a_group_to_join_is_named(devices: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the command that does it."""
    chip = devices / "gpiochip0"
    chip.touch()
    give_to_group(chip)
    forbid(monkeypatch, chip, 13)
    name = grp.getgrgid(chip.stat().st_gid).gr_name
    monkeypatch.setattr(os, "getgroups", list)
    monkeypatch.setattr(os, "getegid", lambda: 65_000)
    assert why_no_gpio(devices) == (
        f"you may not open {chip}: its group is {name}. Join it with "
        f"sudo usermod -aG {name} NAME (NAME is yours), then log out and in again"
    )

    def nameless(number: int) -> grp.struct_group:
        raise KeyError(number)

    monkeypatch.setattr(grp, "getgrgid", nameless)
    assert f"its group is {chip.stat().st_gid}." in str(why_no_gpio(devices))
    monkeypatch.undo()


def test_a_group_that_does_not_help(devices: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A service may be kept from devices whatever its groups."""
    chip = devices / "gpiochip0"
    chip.touch()
    give_to_group(chip)
    forbid(monkeypatch, chip, 1)
    name = grp.getgrgid(chip.stat().st_gid).gr_name
    monkeypatch.setattr(os, "getgroups", lambda: [chip.stat().st_gid])
    assert why_no_gpio(devices) == (
        f"{chip} is kept from this service, although it is in the group {name}"
    )


def test_a_chip_that_only_its_owner_may_open(
    devices: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Joining a group would not help."""
    chip = devices / "gpiochip0"
    chip.touch()
    forbid(monkeypatch, chip, 13)
    words = f"you may not open {chip}: only root may, until a udev rule gives it to a group"
    give_to_group(chip)
    chip.chmod(0o600)
    assert why_no_gpio(devices) == words
    if os.geteuid() == 0:
        os.chown(chip, -1, 0)
        chip.chmod(0o660)
        assert why_no_gpio(devices) == words


def test_a_chip_that_fails(devices: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The kernel's own words."""
    chip = devices / "gpiochip0"
    chip.touch()
    forbid(monkeypatch, chip, 19)
    assert why_no_gpio(devices) == f"{chip} cannot be opened: No such device"


def test_without_the_driver(devices: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not every Python and every board has a wheel of it."""
    (devices / "gpiochip0").touch()
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    assert why_no_gpio(devices) == (
        "the GPIO driver is not installed: install lgpio 0.2.2 or later"
    )
