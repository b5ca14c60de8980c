"""The way out after the daemon's death: its logic, and that it runs on its own."""

from __future__ import annotations

import errno
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
from controller.shell.board.safe_lines import SafeLine, write_safe_lines

PROGRAM = Path(emergency.__file__)
LINES = ((17, True, "'pump'"), (18, False, "'fan'"))


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
