"""Which chip has the header's lines, and why there is none, in words that tell what to do."""

from __future__ import annotations

import errno
import grp
import os
from pathlib import Path

import pytest

from controller.core.errors import UnusableBoardError
from controller.shell.board import chips, emergency
from controller.shell.board.chips import Chip, find_chip, why_no_gpio
from controller.shell.board.gpio_device import Kernel

UNTOLD = (
    "is not a board whose header is known here "
    "(neither its device tree nor /proc/cpuinfo tells a revision)"
)


class Chips(Kernel):
    """The kernel's calls over chips of pretence."""

    def __init__(self) -> None:
        self.labels: dict[str, str] = {}  # by device
        self.broken: dict[str, int] = {}  # how opening a device fails
        self.refused: dict[int, int] = {}  # how a request fails
        self.opened: list[str | None] = []  # None: closed again

    def open(self, device: str) -> int:
        """Opens one, or fails."""
        if (number := self.broken.get(device, 0)) != 0:
            raise OSError(number, os.strerror(number))
        self.opened.append(device)
        return len(self.opened) - 1

    def close(self, handle: int) -> None:
        """Closes one."""
        assert self.opened[handle] is not None
        self.opened[handle] = None

    def ioctl(self, handle: int, number: int, data: bytearray) -> int:
        """Tells of an open chip, and knows nothing else."""
        device = self.opened[handle]
        assert device is not None
        if (error := self.refused.get(number, 0)) != 0:
            raise OSError(error, os.strerror(error))
        if number == emergency.GET_CHIP_INFO:
            name, label = Path(device).name.encode(), self.labels[device].encode()
            data[:] = emergency.CHIP_INFO.pack(name, label, 54)
        else:
            assert number == emergency.GET_LINE_INFO
        return 0


@pytest.fixture
def kernel() -> Chips:
    """A kernel that has no chips yet."""
    return Chips()


@pytest.fixture
def devices(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for chips, on a board that tells its revision."""
    revision = tmp_path / "revision"
    revision.write_bytes(bytes.fromhex("00c03111"))
    monkeypatch.setattr(chips, "_REVISION_FILES", (revision, tmp_path / "cpuinfo"))
    return tmp_path


def add(kernel: Chips, devices: Path, **labels: str) -> None:
    """Adds chips by their devices' names."""
    for name, label in labels.items():
        (devices / name).touch()
        kernel.labels[str(devices / name)] = label


def forget_revision(devices: Path) -> None:
    """Makes the board one that tells no revision."""
    (devices / "revision").unlink()


def forbidden(kernel: Chips, devices: Path, number: int) -> Path:
    """A chip that cannot be opened; permissions alone would not stop a test that root runs."""
    add(kernel, devices, gpiochip0="pinctrl-bcm2711")
    kernel.broken = {str(devices / "gpiochip0"): number}
    return devices / "gpiochip0"


def give_to_group(device: Path) -> None:
    """Gives the device to a group that is not root's."""
    if os.geteuid() == 0:
        os.chown(device, -1, next(group.gr_gid for group in grp.getgrall() if group.gr_gid))
    device.chmod(0o660)


def test_without_a_chip(devices: Path, kernel: Chips) -> None:
    """An ordinary computer."""
    (devices / "gpiochip").touch()  # no number: nothing of the kernel's
    told = f"this computer has no GPIO lines (there is no {devices}/gpiochip0)"
    assert why_no_gpio(devices, kernel) == told
    with pytest.raises(UnusableBoardError) as refused:
        find_chip(devices, kernel)
    assert str(refused.value) == told


# Labels as these boards' kernels have them, from memory; that the chip with the header's lines
# is pinctrl-* is told by the drivers themselves (Linux: pinctrl-bcm2835.c, pinctrl-rp1.c).
@pytest.mark.parametrize(
    ("labels", "number"),
    [
        # A board of the first to the third generation.
        (["pinctrl-bcm2835", "raspberrypi-exp-gpio"], 0),
        # The fourth; the chip of its own lamps and power comes second.
        (["pinctrl-bcm2711", "raspberrypi-exp-gpio"], 0),
        # The fifth, as its first kernels numbered the chips.
        (
            [*(f"gpio-brcmstb@107d5{n}" for n in ("08500", "08520", "17c00", "17c20")),
             "pinctrl-rp1"],
            4,
        ),
        # The same, as later ones do.
        (["pinctrl-rp1", "gpio-brcmstb@107d508500"], 0),
        # An expander has been plugged in, and was seen first.
        (["mcp23017", "pinctrl-bcm2711"], 1),
    ],
)  # fmt: skip
@pytest.mark.parametrize("is_told", [True, False])
def test_the_header_s_chip_is_known_by_its_label(
    devices: Path, kernel: Chips, labels: list[str], number: int, is_told: bool
) -> None:
    """Whatever its number, and whether or not the board tells its revision."""
    if not is_told:
        forget_revision(devices)
    add(kernel, devices, **{f"gpiochip{n}": label for n, label in enumerate(labels)})
    chip = Chip(str(devices / f"gpiochip{number}"), labels[number], 54)
    assert find_chip(devices, kernel) == chip
    assert why_no_gpio(devices, kernel) is None
    assert set(kernel.opened) == {None}


def test_chips_are_counted_and_not_spelled(devices: Path, kernel: Chips) -> None:
    """10 comes after 9; of two that have the label, the first has the header."""
    add(kernel, devices, gpiochip10="pinctrl-rp1", gpiochip9="pinctrl-rp1")
    assert find_chip(devices, kernel).device == str(devices / "gpiochip9")


def test_an_older_number_of_a_chip_is_no_second_one(devices: Path, kernel: Chips) -> None:
    """Some systems link gpiochip4 to gpiochip0, for programs that look for the header there."""
    add(kernel, devices, gpiochip0="9030000.gpio")
    (devices / "gpiochip4").symlink_to(devices / "gpiochip0")
    assert find_chip(devices, kernel) == (str(devices / "gpiochip0"), "9030000.gpio", 54)


def test_the_only_chip_of_a_board_is_taken(devices: Path, kernel: Chips) -> None:
    """As the virtual board's, which tells a revision and has a chip of another kind."""
    add(kernel, devices, gpiochip0="9030000.pl061")
    assert find_chip(devices, kernel) == (str(devices / "gpiochip0"), "9030000.pl061", 54)


def test_among_several_unknown_chips_none_is_guessed(devices: Path, kernel: Chips) -> None:
    """Their lines could switch anything."""
    add(kernel, devices, gpiochip0="one", gpiochip1="two")
    assert why_no_gpio(devices, kernel) == (
        "this board has several GPIO chips ('one', 'two'), and of none is it known here that "
        "its lines are the header's"
    )


@pytest.mark.parametrize(
    "cpuinfo",
    [
        None,  # on some computers there is no such file
        "processor : 0\nmodel name : something\n",
        "Hardware\t: Generic\nRevision\t: 0000\n",  # Linux on 32-bit ARM, where it knows none
    ],
)
def test_a_chip_of_a_computer_that_is_no_board(
    devices: Path, kernel: Chips, cpuinfo: str | None
) -> None:
    """Laptops have GPIO chips too, and nothing of ours hangs on them."""
    forget_revision(devices)
    add(kernel, devices, gpiochip0="AMDI0030:00")
    if cpuinfo is not None:
        (devices / "cpuinfo").write_text(cpuinfo)
    assert why_no_gpio(devices, kernel) == (
        f"this computer has GPIO lines ('AMDI0030:00'), but {UNTOLD}"
    )


@pytest.mark.parametrize("content", [b"", b"\0\0\0\0"])
def test_a_revision_of_nothing_is_none(devices: Path, kernel: Chips, content: bytes) -> None:
    """As firmware may leave it."""
    (devices / "revision").write_bytes(content)
    add(kernel, devices, gpiochip0="a")
    assert UNTOLD in str(why_no_gpio(devices, kernel))


def test_a_revision_is_told_by_the_processor_too(devices: Path, kernel: Chips) -> None:
    """Where there is no device tree."""
    forget_revision(devices)
    add(kernel, devices, gpiochip0="a")
    (devices / "cpuinfo").write_text("Hardware\t: BCM2835\nRevision\t: a02082\n")
    assert why_no_gpio(devices, kernel) is None


def test_a_chip_that_does_not_matter_may_stay_closed(devices: Path, kernel: Chips) -> None:
    """The header's is open to us."""
    add(kernel, devices, gpiochip0="other", gpiochip1="pinctrl-bcm2711")
    kernel.broken = {str(devices / "gpiochip0"): errno.EACCES}
    assert find_chip(devices, kernel).label == "pinctrl-bcm2711"


def test_a_chip_that_may_matter_is_told(devices: Path, kernel: Chips) -> None:
    """The only open one is not taken for the header's while another is closed."""
    add(kernel, devices, gpiochip0="other", gpiochip1="?")
    kernel.broken = {str(devices / "gpiochip1"): errno.ENODEV}
    assert why_no_gpio(devices, kernel) == f"{devices}/gpiochip1 cannot be opened: No such device"


def test_a_group_to_join_is_named(
    devices: Path, kernel: Chips, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the command that does it."""
    chip = forbidden(kernel, devices, errno.EACCES)
    give_to_group(chip)
    name = grp.getgrgid(chip.stat().st_gid).gr_name
    monkeypatch.setattr(os, "getgroups", list)
    monkeypatch.setattr(os, "getegid", lambda: 65_000)
    assert why_no_gpio(devices, kernel) == (
        f"you may not open {chip}: its group is {name}. Join it with "
        f"sudo usermod -aG {name} NAME (NAME is yours), then log out and in again"
    )

    def nameless(number: int) -> grp.struct_group:
        raise KeyError(number)

    monkeypatch.setattr(grp, "getgrgid", nameless)
    assert f"its group is {chip.stat().st_gid}." in str(why_no_gpio(devices, kernel))


def test_a_group_that_does_not_help(
    devices: Path, kernel: Chips, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A service may be kept from devices whatever its groups."""
    chip = forbidden(kernel, devices, errno.EPERM)
    give_to_group(chip)
    name = grp.getgrgid(chip.stat().st_gid).gr_name
    monkeypatch.setattr(os, "getgroups", lambda: [chip.stat().st_gid])
    assert why_no_gpio(devices, kernel) == (
        f"{chip} is kept from this service, although it is in the group {name}"
    )


def test_a_chip_that_only_its_owner_may_open(devices: Path, kernel: Chips) -> None:
    """Joining a group would not help."""
    chip = forbidden(kernel, devices, errno.EACCES)
    words = f"you may not open {chip}: only root may, until a udev rule gives it to a group"
    give_to_group(chip)
    chip.chmod(0o600)
    assert why_no_gpio(devices, kernel) == words
    if os.geteuid() == 0:
        os.chown(chip, -1, 0)
        chip.chmod(0o660)
        assert why_no_gpio(devices, kernel) == words


def test_a_chip_that_has_just_gone_is_told(devices: Path, kernel: Chips) -> None:
    """Between being refused and being looked at."""
    chip = forbidden(kernel, devices, errno.EACCES)

    class Going(Chips):
        def open(self, device: str) -> int:
            Path(device).unlink()
            return kernel.open(device)

    assert why_no_gpio(devices, Going()) == f"you may not open {chip}"


@pytest.mark.parametrize("request_", [emergency.GET_CHIP_INFO, emergency.GET_LINE_INFO])
def test_a_kernel_that_cannot_be_asked_is_told(devices: Path, kernel: Chips, request_: int) -> None:
    """Linux before 5.10 knows the first request and not the second; and the chip is closed."""
    add(kernel, devices, gpiochip0="pinctrl-bcm2711")
    kernel.refused = {request_: errno.EINVAL}
    assert why_no_gpio(devices, kernel) == (
        f"{devices}/gpiochip0 cannot be asked about its lines (Invalid argument): "
        "that needs Linux 5.10 or later"
    )
    assert kernel.opened == [None]


def test_what_is_no_chip_is_told_by_the_real_kernel(devices: Path) -> None:
    """An ordinary file, which opens and cannot be asked."""
    (devices / "gpiochip0").touch()
    assert why_no_gpio(devices) == (
        f"{devices}/gpiochip0 cannot be asked about its lines "
        "(Inappropriate ioctl for device): that needs Linux 5.10 or later"
    )
