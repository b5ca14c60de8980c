"""The way out after the daemon's death: its layout, its logic, and that it runs on its own."""

from __future__ import annotations

import errno
import shutil
import socket
import struct
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from controller.shell.board import emergency
from controller.shell.board.chips import Chip
from controller.shell.board.gpio_device import SET_VALUES
from controller.shell.board.kernel_lines import EVENT
from controller.shell.board.safe_lines import SafeLine, write_safe_lines

PROGRAM = Path(emergency.__file__)
LINES = ((17, True, "'pump'"), (18, False, "'fan'"))

# <linux/gpio.h> of Linux 6.1 (Debian 12's linux-libc-dev), compiled on x86-64: sizes, places
# of fields, and request numbers.
SIZES = {
    "struct gpiochip_info": 68,
    "struct gpio_v2_line_config": 272,
    "struct gpio_v2_line_config_attribute": 24,
    "struct gpio_v2_line_request": 592,
    "struct gpio_v2_line_info": 256,
    "struct gpio_v2_line_values": 16,
    "struct gpio_v2_line_event": 48,
}
PLACES = {
    "struct gpio_v2_line_request, consumer": 256,
    "struct gpio_v2_line_request, config": 288,
    "struct gpio_v2_line_request, num_lines": 560,
    "struct gpio_v2_line_request, event_buffer_size": 564,
    "struct gpio_v2_line_request, fd": 588,
    "struct gpio_v2_line_config, num_attrs": 8,
    "struct gpio_v2_line_config, attrs": 32,
    "struct gpio_v2_line_config_attribute, mask": 16,
    "struct gpio_v2_line_info, consumer": 32,
    "struct gpio_v2_line_info, offset": 64,
    "struct gpio_v2_line_event, line_seqno": 20,
}
NUMBERS = {
    "GPIO_GET_CHIPINFO_IOCTL": 0x8044B401,
    "GPIO_V2_GET_LINEINFO_IOCTL": 0xC100B405,
    "GPIO_V2_GET_LINEINFO_WATCH_IOCTL": 0xC100B406,
    "GPIO_V2_GET_LINE_IOCTL": 0xC250B407,
    "GPIO_V2_LINE_GET_VALUES_IOCTL": 0xC010B40E,
    "GPIO_V2_LINE_SET_VALUES_IOCTL": 0xC010B40F,
    "GPIO_V2_LINE_FLAG_INPUT": 1 << 2,
    "GPIO_V2_LINE_FLAG_OUTPUT": 1 << 3,
    "GPIO_V2_LINE_FLAG_EDGE_RISING": 1 << 4,
    "GPIO_V2_LINE_FLAG_EDGE_FALLING": 1 << 5,
    "GPIO_V2_LINE_FLAG_BIAS_PULL_UP": 1 << 8,
    "GPIO_V2_LINE_FLAG_BIAS_PULL_DOWN": 1 << 9,
    "GPIO_V2_LINE_FLAG_BIAS_DISABLED": 1 << 10,
    "GPIO_V2_LINE_ATTR_ID_OUTPUT_VALUES": 2,
    "GPIO_V2_LINE_ATTR_ID_DEBOUNCE": 3,
    "GPIO_V2_LINE_EVENT_RISING_EDGE": 1,
    "GPIO_V2_LINE_EVENT_FALLING_EDGE": 2,
}


def test_the_layout_is_the_kernel_s(tmp_path: Path) -> None:
    """The figures above are those that a C compiler finds in <linux/gpio.h> here."""
    compiler = shutil.which("gcc")
    if compiler is None or not Path("/usr/include/linux/gpio.h").exists():
        pytest.skip("there is no C compiler, or no <linux/gpio.h>")
    expressions = {
        **{name: f"sizeof({name})" for name in SIZES},
        **{name: f"offsetof({name})" for name in PLACES},
        **{name: name for name in NUMBERS},
    }
    source = tmp_path / "layout.c"
    lines = "".join(
        f'printf("%llu\\n", (unsigned long long)({one}));' for one in expressions.values()
    )
    source.write_text(
        "#include <stddef.h>\n#include <stdio.h>\n#include <linux/gpio.h>\n"
        f"int main(void) {{ {lines} return 0; }}\n"
    )
    program = tmp_path / "layout"
    subprocess.run([compiler, "-o", program, source], check=True)  # noqa: S603 - our own text
    told = subprocess.run([program], check=True, capture_output=True, text=True).stdout  # noqa: S603
    figures = [int(line) for line in told.split()]
    assert dict(zip(expressions, figures, strict=True)) == {**SIZES, **PLACES, **NUMBERS}


def test_the_program_has_that_layout() -> None:
    """Its structures have those sizes, its requests those numbers, its bytes those places.

    The daemon's pins and inputs take them from it, so there is no second set to keep equal.
    """
    assert {
        "struct gpiochip_info": emergency.CHIP_INFO.size,
        "struct gpio_v2_line_config": emergency.LINE_CONFIG.size,
        "struct gpio_v2_line_config_attribute": emergency.LINE_ATTRIBUTE.size,
        "struct gpio_v2_line_request": emergency.LINE_REQUEST.size,
        "struct gpio_v2_line_info": emergency.LINE_INFO.size,
        "struct gpio_v2_line_values": emergency.LINE_VALUES.size,
        "struct gpio_v2_line_event": EVENT.size,
    } == SIZES
    assert NUMBERS["GPIO_GET_CHIPINFO_IOCTL"] == emergency.GET_CHIP_INFO
    assert NUMBERS["GPIO_V2_GET_LINEINFO_IOCTL"] == emergency.GET_LINE_INFO
    assert NUMBERS["GPIO_V2_GET_LINEINFO_WATCH_IOCTL"] == emergency.WATCH_LINE
    assert NUMBERS["GPIO_V2_GET_LINE_IOCTL"] == emergency.GET_LINE
    assert NUMBERS["GPIO_V2_LINE_GET_VALUES_IOCTL"] == emergency.GET_VALUES
    assert NUMBERS["GPIO_V2_LINE_SET_VALUES_IOCTL"] == SET_VALUES
    request = bytes(emergency.line_request(17, emergency.FLAG_OUTPUT, b"\xaa" * 24))
    config = PLACES["struct gpio_v2_line_request, config"]
    attributes = config + PLACES["struct gpio_v2_line_config, attrs"]
    assert request[:4] == struct.pack("=I", 17)
    assert request[256:266] == b"rootclock\0"
    assert request[config : config + 8] == struct.pack("=Q", 8)
    assert request[config + 8 : config + 12] == struct.pack("=I", 1)
    assert request[attributes : attributes + 24] == b"\xaa" * 24
    assert request[560:564] == struct.pack("=I", 1)


class Kernel:
    """A chip of pretence: answers the requests that the program makes, and remembers them."""

    def __init__(self) -> None:
        self.asked: list[tuple[object, ...]] = []
        self.busy: dict[int, int] = {}  # line: how often it will still be refused
        self.broken: dict[int, int] = {}  # line: with which error
        self.stuck: dict[int, int] = {}
        self.can_watch = True
        self.chip, self.far_end = socket.socketpair()
        self.levels: dict[int, int] = {}

    def __call__(self, handle: int, number: int, data: bytearray) -> int:
        """An ioctl."""
        if number == emergency.GET_CHIP_INFO:
            data[:] = emergency.CHIP_INFO.pack(b"gpiochip0", b"pinctrl-bcm2711", 58)
        elif number == emergency.GET_LINE:
            self._claim(data)
        elif number == emergency.GET_VALUES:
            assert emergency.LINE_VALUES.unpack(data) == (0, 1)
            data[:] = emergency.LINE_VALUES.pack(self.levels[handle - 1000], 1)
        elif number == emergency.WATCH_LINE:
            self.asked.append(("watch", self._line_of(data)))
            if not self.can_watch:
                raise OSError(errno.EINVAL, "")
        elif number == emergency.GET_LINE_INFO:
            line = self._line_of(data)
            data[:] = emergency.LINE_INFO.pack(b"", b"lg", line, 0, 0, b"")
        return 0

    def _line_of(self, data: bytearray) -> int:
        return int(emergency.LINE_INFO.unpack(data)[2])

    def _claim(self, data: bytearray) -> None:
        offsets, consumer, config, count, events, _ = emergency.LINE_REQUEST.unpack(data)
        line = int.from_bytes(offsets[:4], sys.byteorder)
        flags, attributes, attribute = emergency.LINE_CONFIG.unpack(config)
        kind, _, level, mask = emergency.LINE_ATTRIBUTE.unpack(attribute[:24])
        self.asked.append(("claim", line, level))
        assert (flags, attributes, kind, mask, count, events) == (1 << 3, 1, 2, 1, 1, 0)
        assert consumer.rstrip(b"\0") == b"rootclock"
        if line in self.broken:
            raise OSError(self.broken[line], "")
        if self.busy.get(line, 0) > 0:
            self.busy[line] -= 1
            raise OSError(errno.EBUSY, "")
        self.levels[line] = self.stuck.get(line, level)
        struct.pack_into("=i", data, len(data) - 4, 1000 + line)


@pytest.fixture
def kernel() -> Iterator[Kernel]:
    """A chip whose lines are all free."""
    one = Kernel()
    yield one
    one.chip.close()
    one.far_end.close()


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Gives a busy line a tenth of a second."""
    monkeypatch.setattr(emergency, "PATIENCE_S", 0.1)
    monkeypatch.setattr(emergency, "LOOK_AGAIN_S", 0.02)


def make_safe(kernel: Kernel) -> list[str]:
    """Makes the lines safe at that kernel."""
    return emergency.make_safe(LINES, kernel.chip.fileno(), kernel)


def test_each_line_is_claimed_once_at_its_safe_level(kernel: Kernel) -> None:
    """One request a line carries the level; nothing else is asked of the line before."""
    assert make_safe(kernel) == []
    assert kernel.asked == [("claim", 17, 1), ("claim", 18, 0)]
    assert kernel.levels == {17: 1, 18: 0}


def test_a_busy_line_does_not_keep_the_next_waiting(kernel: Kernel) -> None:
    """The kernel is asked to tell when the line is free, and tells."""
    kernel.busy = {17: 1}
    kernel.far_end.sendall(b"the line has been released")
    assert make_safe(kernel) == []
    assert kernel.asked == [("claim", 17, 1), ("claim", 18, 0), ("watch", 17), ("claim", 17, 1)]


def test_a_release_ends_the_wait_at_once(kernel: Kernel, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is looked at again before the kernel says so."""
    monkeypatch.setattr(emergency, "LOOK_AGAIN_S", 30.0)
    monkeypatch.setattr(emergency, "PATIENCE_S", 30.0)
    kernel.busy = {17: 1}
    teller = threading.Timer(0.02, kernel.far_end.sendall, [b"released"])
    teller.start()
    assert make_safe(kernel) == []
    teller.join()
    assert [what for what, *_ in kernel.asked].count("claim") == 3


@pytest.mark.usefixtures("impatient")
def test_a_kernel_that_does_not_tell_is_asked_again(kernel: Kernel) -> None:
    """After a while, and again."""
    kernel.can_watch = False
    kernel.busy = {17: 2}
    assert make_safe(kernel) == []
    assert kernel.levels == {17: 1, 18: 0}


@pytest.mark.usefixtures("impatient")
def test_patience_ends(kernel: Kernel) -> None:
    """The line is told with its user; the other line is safe."""
    kernel.busy = {17: 10**9}
    assert make_safe(kernel) == [
        "line 17 ('pump', safe is high): still in use by another program, which calls itself 'lg'"
    ]
    assert kernel.levels == {18: 0}


@pytest.mark.usefixtures("impatient")
def test_a_chip_that_is_gone_ends_the_wait(kernel: Kernel) -> None:
    """What is to be read from it is its end; that is no reason to crash."""
    kernel.busy = {17: 10**9}
    kernel.far_end.close()
    assert len(make_safe(kernel)) == 1


def test_one_line_s_trouble_is_not_the_next_one_s(kernel: Kernel) -> None:
    """Each is told by number, load and level."""
    kernel.broken = {17: errno.EPERM}
    kernel.stuck = {18: 1}
    assert make_safe(kernel) == [
        "line 17 ('pump', safe is high): Operation not permitted",
        "line 18 ('fan', safe is low): Input/output error",
    ]


def test_the_daemon_s_note_is_read_as_it_was_meant(tmp_path: Path) -> None:
    """Names of any letters included; written whole, over an earlier one."""
    path = tmp_path / "safe-lines"
    path.write_text("something else")
    lines = [SafeLine(17, True, "pump"), SafeLine(0, False, "Lüfter „2“\n")]
    assert write_safe_lines(path, Chip("/dev/gpiochip4", "a b", 54), lines) == ""
    assert path.read_text("ascii") == (
        "rootclock safe lines 1\nchip /dev/gpiochip4\nlabel 'a b'\n"
        "line 17 high 'pump'\nline 0 low 'L\\xfcfter \\u201e2\\u201c\\n'\nend\n"
    )
    expected = (
        "/dev/gpiochip4",
        "'a b'",
        ((17, True, "'pump'"), (0, False, "'L\\xfcfter \\u201e2\\u201c\\n'")),
    )
    assert emergency.read_note(path.read_bytes()) == (expected, [])
    assert [one.name for one in tmp_path.iterdir()] == ["safe-lines"]


def test_a_note_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """As words, not as an error: switching goes on."""
    path = tmp_path / "nowhere" / "safe-lines"
    words = write_safe_lines(path, Chip("/dev/gpiochip0", "", 8), [])
    assert words == f"safe lines {path}: no such file or directory"


@pytest.mark.parametrize(
    ("entries", "lines", "complaints"),
    [
        (["line 4 high 'a'", "end"], ((4, True, "'a'"),), []),
        # A name is only told; its lack must not leave a pump on.
        (["line 4 high", "end"], ((4, True, "unnamed"),), []),
        (["line four high 'a'", "end"], (), ["this cannot be used: \"line four high 'a'\""]),
        (["line -4 high 'a'", "end"], (), ["this cannot be used: \"line -4 high 'a'\""]),
        (["line 123456 high 'a'", "end"], (), ["this cannot be used: \"line 123456 high 'a'\""]),
        (["line 4", "end"], (), ["this cannot be used: 'line 4'"]),
        (["line 4 1 'a'", "end"], (), ["this cannot be used: \"line 4 1 'a'\""]),
        (["?", "line 4 low 'a'", "end"], ((4, False, "'a'"),), ["this cannot be used: '?'"]),
        # Two loads on a line: nobody knows which is right.
        (
            ["line 4 low 'a'", "line 4 high 'b'", "end"],
            ((4, False, "'a'"),),
            ["this cannot be used: \"line 4 high 'b'\""],
        ),
        # Cut off: the lines before the cut are there.
        (
            ["line 4 low 'a'", "line 5 hi"],
            ((4, False, "'a'"),),
            [
                "this cannot be used: 'line 5 hi'",
                "its end is missing",
            ],
        ),
    ],
)
def test_what_is_right_in_a_note_is_kept(
    entries: list[str], lines: tuple[object, ...], complaints: list[str]
) -> None:
    """And what is wrong is told."""
    head = ["rootclock safe lines 1", "chip /dev/gpiochip0", "label 'x'"]
    data = "\n".join([*head, *entries]).encode()
    assert emergency.read_note(data) == (("/dev/gpiochip0", "'x'", lines), complaints)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "it does not begin with 'rootclock safe lines 1'"),
        ("rootclock safe lines 2\n", "it does not begin with 'rootclock safe lines 1'"),
        ("rootclock safe lines 1\nlabel 'x'\nend", "it does not tell which chip the lines are on"),
        (
            "rootclock safe lines 1\nchip /dev/gpiochip0\nend",
            "it does not tell which chip the lines are on",
        ),
        # Nothing but a GPIO chip may be opened, whatever the note says.
        (
            "rootclock safe lines 1\nchip /dev/gpiochip/../sda\nlabel 'x'\nend",
            "it does not tell which chip the lines are on",
        ),
        (
            "rootclock safe lines 1\nchip 0\nlabel 'x'\nend",
            "it does not tell which chip the lines are on",
        ),
    ],
)
def test_a_note_without_a_head_is_refused(text: str, words: str) -> None:
    """Which chip is meant must be certain."""
    with pytest.raises(ValueError, match=f"^{words}$"):
        emergency.read_note(text.encode())


def test_a_note_of_more_lines_than_any_chip_has_is_cut() -> None:
    """A bound, so that nothing that is in a file takes for ever."""
    entries = "".join(f"line {number} low 'a'\n" for number in range(1_026))
    text = f"rootclock safe lines 1\nchip /dev/gpiochip0\nlabel 'x'\n{entries}end\n"
    note, complaints = emergency.read_note(text.encode())
    assert len(note[2]) == 1_024
    assert complaints == [
        "this cannot be used: \"line 1024 low 'a'\"",
        "this cannot be used: \"line 1025 low 'a'\"",
    ]


def run(*arguments: str | Path) -> tuple[int, str]:
    """Runs the program as systemd does; its exit code and what it told."""
    done = subprocess.run(  # noqa: S603 - our own program
        [sys.executable, "-I", "-S", PROGRAM, *arguments],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout == ""
    return done.returncode, done.stderr


def test_it_runs_alone(tmp_path: Path) -> None:
    """Without the rest of the package and without any installed library."""
    missing = tmp_path / "none"
    assert run(missing) == (0, f"relay lines: {missing} does not exist: no relay was in use\n")
    assert run() == (2, "relay lines: say which file: python3 -I -S emergency.py FILE\n")


def test_it_asks_the_kernel_and_tells_its_answer(tmp_path: Path) -> None:
    """A chip that this computer does not have; its number is beyond any board's."""
    path = tmp_path / "safe-lines"
    write_safe_lines(path, Chip("/dev/gpiochip9999", "x", 8), [SafeLine(4, True, "pump")])
    assert run(path) == (1, "relay lines: /dev/gpiochip9999: No such file or directory\n")
    write_safe_lines(path, Chip("/dev/gpiochip9999", "x", 8), [])
    assert run(path) == (0, "relay lines: 0 at their safe level\n")


def test_it_imports_next_to_nothing() -> None:
    """It must start when the installation is broken, and in a blink."""
    code = (
        f"import sys; text = open({str(PROGRAM)!r}).read(); before = set(sys.modules)\n"
        "exec(compile(text, 'emergency', 'exec'), {'__name__': 'emergency'})\n"
        "print(*sorted(set(sys.modules) - before))"
    )
    told = subprocess.run(  # noqa: S603 - our own text
        [sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True, check=True
    ).stdout.split()
    assert "fcntl" in told
    assert {name.partition(".")[0] for name in told} <= {*sys.stdlib_module_names}
    assert {*told}.isdisjoint({"collections", "enum", "functools", "json", "re", "typing"})
