"""The way out after the daemon's death: drives every relay line to its safe level.

    python3 -I -S emergency.py FILE

Stands alone on purpose: it works whatever state the rest of the installation is in, and it
starts in a blink, for a pump may be running meanwhile. So it imports only what Python loads at
once; json, re and typing alone would double the time of its start, and the note is plain lines
for that reason. FILE is that note, which the daemon has left (`safe_lines`). The kernel is
spoken to by the GPIO character device's second version; structures and numbers are those of
<linux/gpio.h> (Linux 5.10 and later), which a test compares with the header.

Exit code: 0 every line is at its safe level, or there is none; 1 something is wrong, which
standard error tells; what can be done is done all the same.
"""

from __future__ import annotations

import errno
import fcntl
import os
import select
import stat
import struct
import sys
import time

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from typing import TypeAlias

    Ioctl: TypeAlias = Callable[[int, int, bytearray], int]
    # A line's number, the level (True: high) that is safe, and the load that hangs on it.
    Line: TypeAlias = tuple[int, bool, str]
    # The chip's device, its label, and its lines.
    Note: TypeAlias = tuple[str, str, tuple[Line, ...]]

# <linux/gpio.h>, structure by structure; `=` because every field there is aligned by hand.
CHIP_INFO = struct.Struct("=32s32sI")  # name, label, lines
LINE_CONFIG = struct.Struct("=QI20x240s")  # flags, number of attributes, attributes
LINE_ATTRIBUTE = struct.Struct("=II Q Q")  # id, padding, value, mask of the lines
LINE_REQUEST = struct.Struct(f"=256s32s{LINE_CONFIG.size}sII20xi")
#   offsets, consumer, configuration, number of lines, event buffer, file descriptor
LINE_INFO = struct.Struct("=32s32sIIQ160s16x")  # name, consumer, line, attributes, flags, …
LINE_VALUES = struct.Struct("=QQ")  # bits, mask


def ioctl_number(number: int, size: int, *, writes: bool) -> int:
    """The request number of <asm-generic/ioctl.h> that reads, and perhaps writes, `size` bytes."""
    return (3 if writes else 2) << 30 | size << 16 | 0xB4 << 8 | number


GET_CHIP_INFO = ioctl_number(0x01, CHIP_INFO.size, writes=False)
WATCH_LINE = ioctl_number(0x06, LINE_INFO.size, writes=True)
GET_LINE_INFO = ioctl_number(0x05, LINE_INFO.size, writes=True)
GET_LINE = ioctl_number(0x07, LINE_REQUEST.size, writes=True)
GET_VALUES = ioctl_number(0x0E, LINE_VALUES.size, writes=True)

FLAG_OUTPUT = 1 << 3
ATTRIBUTE_OUTPUT_VALUES = 2

CONSUMER = b"rootclock"
FIRST_LINE = "rootclock safe lines 1"
LAST_LINE = "end"
LEVELS = {"low": False, "high": True}
NOTE_BYTES_MAX = 65_536  # far more than 54 loads need
LINES_MAX = 1_024
DEVICE = "/dev/gpiochip"
PATIENCE_S = 2.0  # for a line that the dying daemon still holds
LOOK_AGAIN_S = 0.1  # where the kernel does not tell that a line has become free


def line_request(line: int, flags: int, attribute: bytes, *, event_buffer: int = 0) -> bytearray:
    """The bytes that ask the kernel for one line, with one attribute of it, or none."""
    config = LINE_CONFIG.pack(flags, 1 if attribute else 0, attribute)
    offsets = struct.pack("=I", line)
    return bytearray(LINE_REQUEST.pack(offsets, CONSUMER, config, 1, event_buffer, 0))


def output_request(line: int, *, level: bool) -> bytearray:
    """The bytes that ask for one line as an output of a level, in one step."""
    attribute = LINE_ATTRIBUTE.pack(ATTRIBUTE_OUTPUT_VALUES, 0, int(level), 1)
    return line_request(line, FLAG_OUTPUT, attribute)


def line_info(line: int) -> bytearray:
    """The bytes that ask the kernel what it knows of a line."""
    return bytearray(LINE_INFO.pack(b"", b"", line, 0, 0, b""))


def chip_info(chip: int, ioctl: Ioctl) -> tuple[str, int]:
    """The label of an opened chip, or its name where it has none; and how many lines it has."""
    info = bytearray(CHIP_INFO.size)
    ioctl(chip, GET_CHIP_INFO, info)
    name, label, lines = CHIP_INFO.unpack(info)
    return _text(label) or _text(name), lines


def read_note(data: bytes) -> tuple[Note, list[str]]:
    """What a note says, and what is wrong with it; the lines that are right are kept.

    Raises:
        ValueError: it says nothing that could be used; its text tells why.
    """
    first, *entries = data.decode("ascii", "replace").split("\n")
    if first != FIRST_LINE:
        raise ValueError(f"it does not begin with {FIRST_LINE!r}")
    device = label = ""
    lines: dict[int, Line] = {}
    complaints: list[str] = []
    is_whole = False
    for entry in entries:
        kind, _, rest = entry.partition(" ")
        line = _line(rest) if kind == "line" else None
        if kind == "chip" and rest.startswith(DEVICE) and _is_number(rest.removeprefix(DEVICE)):
            device = rest
        elif kind == "label":
            label = rest
        elif line is not None and line[0] not in lines and len(lines) < LINES_MAX:
            lines[line[0]] = line
        elif entry == LAST_LINE:
            is_whole = True
        elif entry:
            complaints.append(f"this cannot be used: {entry[:60]!r}")
    if not device or not label:
        raise ValueError("it does not tell which chip the lines are on")
    if not is_whole:
        complaints.append("its end is missing")
    return (device, label, tuple(lines.values())), complaints


def _line(text: str) -> Line | None:
    number, _, rest = text.partition(" ")
    level, _, load = rest.partition(" ")
    if not _is_number(number) or level not in LEVELS:
        return None
    return int(number), LEVELS[level], load or "unnamed"


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= 5


def make_safe(lines: Sequence[Line], chip: int, ioctl: Ioctl) -> list[str]:
    """Drives each line to its safe level; what is wrong with those that are not there.

    Every line is tried at once; those that are in use are tried again for `PATIENCE_S`.
    """
    troubles: list[str] = []
    waiting = lines
    deadline = time.monotonic() + PATIENCE_S
    while True:
        busy: list[Line] = []
        for line in waiting:
            trouble = _drive(chip, line, ioctl)
            if trouble == errno.EBUSY:
                busy.append(line)
            elif trouble:
                troubles.append(f"{_about(line)}: {os.strerror(trouble)}")
        patience_s = deadline - time.monotonic()
        if not busy or patience_s <= 0:
            break
        _await_release(chip, busy, ioctl, min(patience_s, LOOK_AGAIN_S))
        waiting = busy
    for line in busy:
        user = user_of(chip, line[0], ioctl)
        troubles.append(f"{_about(line)}: still in use by {user}")
    return troubles


def _drive(chip: int, line: Line, ioctl: Ioctl) -> int:
    """Claims a line as an output of its safe level, in one step; 0, or the error's number.

    The line's descriptor stays open until the process ends: where the kernel makes a free
    line an input, it is driven for as long as we live.
    """
    number, level, _ = line
    try:
        request = output_request(number, level=level)
        ioctl(chip, GET_LINE, request)
        values = bytearray(LINE_VALUES.pack(0, 1))
        ioctl(LINE_REQUEST.unpack(request)[-1], GET_VALUES, values)
    except OSError as error:
        return error.errno or errno.EIO
    return 0 if LINE_VALUES.unpack(values)[0] & 1 == level else errno.EIO


def _await_release(chip: int, busy: Iterable[Line], ioctl: Ioctl, patience_s: float) -> None:
    """Returns when a line that is in use may have become free, or after the time.

    The kernel tells of it once it is asked to watch the line; asking a second time is
    refused, and so it is on a kernel that cannot.
    """
    for number, _, _ in busy:
        try:
            ioctl(chip, WATCH_LINE, line_info(number))
        except OSError as error:
            if error.errno != errno.EBUSY:
                time.sleep(patience_s)
                return
    poll = select.poll()
    poll.register(chip, select.POLLIN)
    try:
        is_gone = bool(poll.poll(patience_s * 1000)) and not os.read(chip, 65_536)
    except OSError:
        is_gone = True
    if is_gone:
        time.sleep(patience_s)


def user_of(chip: int, line: int, ioctl: Ioctl) -> str:
    """Who has a line, by the name that the kernel knows."""
    info = line_info(line)
    try:
        ioctl(chip, GET_LINE_INFO, info)
    except OSError:
        return "another program"
    name = _text(LINE_INFO.unpack(info)[1])
    return f"another program, which calls itself {name!r}" if name else "another program"


def _about(line: Line) -> str:
    number, level, load = line
    return f"line {number} ({load[:60]}, safe is {'high' if level else 'low'})"


def _text(name: bytes) -> str:
    return name.split(b"\0", 1)[0].decode("utf-8", "backslashreplace")


def kernel_ioctl(handle: int, number: int, data: bytearray) -> int:
    """Asks the kernel; what it answers is in `data` afterwards."""
    return int(fcntl.ioctl(handle, number, data, True))


def _read_file(path: str) -> bytes:
    """The note's bytes; refuses what is no ordinary file, which could make us wait for ever."""
    handle = os.open(path, os.O_RDONLY | os.O_CLOEXEC | os.O_NONBLOCK | os.O_NOFOLLOW)
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise ValueError("it is not an ordinary file")
        text = os.read(handle, NOTE_BYTES_MAX + 1)
    finally:
        os.close(handle)
    if len(text) > NOTE_BYTES_MAX:
        raise ValueError(f"it is longer than {NOTE_BYTES_MAX} bytes")
    return text


def _say(words: list[str]) -> None:
    """Tells on standard error, once everything is done: telling could fail or take its time."""
    text = "".join(f"relay lines: {line}\n" for line in words)
    try:
        os.write(2, text.encode("ascii", "backslashreplace"))
    except OSError:
        return


def main(arguments: list[str], ioctl: Ioctl = kernel_ioctl) -> tuple[int, list[str]]:
    """Reads the note that is named and makes its lines safe; the exit code, and what to tell."""
    if len(arguments) != 1:
        return 2, ["say which file: python3 -I -S emergency.py FILE"]
    path = arguments[0]
    try:
        note, complaints = read_note(_read_file(path))
    except FileNotFoundError:
        return 0, [f"{path} does not exist: no relay was in use"]
    except OSError as error:
        return 1, [f"{path}: {error.strerror}"]
    except ValueError as error:
        return 1, [f"{path}: {error}"]
    troubles = [f"{path}: {complaint}" for complaint in complaints]
    if note[2]:
        troubles += _at_chip(note, ioctl)
    return (1, troubles) if troubles else (0, [f"{len(note[2])} at their safe level"])


def _at_chip(note: Note, ioctl: Ioctl) -> list[str]:
    """Opens the note's chip, unless it is another one by now, and makes its lines safe."""
    device, label, lines = note
    try:
        chip = os.open(device, os.O_RDWR | os.O_CLOEXEC | os.O_NONBLOCK)
        found = ascii(chip_info(chip, ioctl)[0])
    except OSError as error:
        return [f"{device}: {error.strerror}"]
    if found != label:
        return [f"{device} is {found}, but the lines are those of {label[:60]}"]
    return make_safe(lines, chip, ioctl)


if __name__ == "__main__":
    code, told = main(sys.argv[1:])
    _say(told)
    sys.exit(code)
