"""Whatever is in the note of the safe lines, the way out neither crashes nor hangs."""

from __future__ import annotations

import errno
import os
import socket
import struct
import sys
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from controller.shell.board import emergency

WORDS = st.text(max_size=20)
# Entries that are right, nearly right, and nothing of the kind.
ENTRIES = st.one_of(
    WORDS,
    st.builds("chip {}".format, st.sampled_from(["/dev/gpiochip9999", "/dev/null", ""]) | WORDS),
    st.builds("label {}".format, WORDS),
    st.builds(
        "line {} {} {}".format,
        st.integers(-2, 100_000) | WORDS,
        st.sampled_from(["low", "high", "", "1"]) | WORDS,
        WORDS,
    ),
    st.just("end"),
)
NOTES = st.lists(ENTRIES, max_size=8).map(
    lambda entries: "\n".join(["rootclock safe lines 1", *entries])
)


def told(path: Path, content: bytes) -> tuple[int, list[str]]:
    """What the program makes of a note with that content."""
    path.write_bytes(content)
    return emergency.main([str(path)])


@given(content=st.binary(max_size=200))
@example(content=b"")
@example(content=b"rootclock safe lines 1")
@example(content=b"\xff" * 60_000)
@example(content=b"\0" * 60_000)
def test_what_is_no_note_is_told(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    """Exit code 1, and one line that a terminal can show."""
    code, words = told(tmp_path_factory.getbasetemp() / "note", content)
    assert code == 1
    assert len(words) == 1


@given(note=NOTES)
def test_what_is_nearly_a_note_is_told(tmp_path_factory: pytest.TempPathFactory, note: str) -> None:
    """The chip that could be meant does not exist, so only a note without lines ends well."""
    data = note.encode("utf-8", "replace")
    code, words = told(tmp_path_factory.getbasetemp() / "note", data)
    assert words
    assert all(word.isprintable() for word in words)
    assert (code == 0) == (words == ["0 at their safe level"])
    emergency._say(words)


def test_what_is_no_ordinary_file_is_told(tmp_path: Path) -> None:
    """A FIFO would wait for ever, /dev/zero has no end, a link could lead anywhere."""
    fifo = tmp_path / "fifo"
    os.mkfifo(fifo)
    link = tmp_path / "link"
    link.symlink_to("/dev/zero")
    assert emergency.main([str(fifo)]) == (1, [f"{fifo}: it is not an ordinary file"])
    assert emergency.main(["/dev/zero"]) == (1, ["/dev/zero: it is not an ordinary file"])
    assert emergency.main([str(tmp_path)]) == (1, [f"{tmp_path}: it is not an ordinary file"])
    assert emergency.main([str(link)])[0] == 1
    assert emergency.main(["a\0b"])[0] == 1
    large = tmp_path / "large"
    large.write_bytes(b" " * 65_537)
    assert emergency.main([str(large)]) == (1, [f"{large}: it is longer than 65536 bytes"])


@given(
    answers=st.lists(
        st.sampled_from([0, errno.EBUSY, errno.EPERM, errno.ENODEV, errno.EINVAL, errno.EIO]),
        max_size=60,
    ),
    levels=st.lists(st.integers(0, 3), max_size=20),
)
def test_no_answer_of_the_kernel_is_a_crash(answers: list[int], levels: list[int]) -> None:
    """Any request may fail with any error; what is not told of is at its safe level."""
    left = iter(answers)
    read = iter(levels)
    seen: dict[int, int] = {}

    def ioctl(handle: int, number: int, data: bytearray) -> int:
        if (error := next(left, 0)) != 0:
            raise OSError(error, os.strerror(error))
        if number == emergency.GET_LINE:
            line = int.from_bytes(data[:4], sys.byteorder)
            struct.pack_into("=i", data, len(data) - 4, line)
        elif number == emergency.GET_VALUES:
            seen[handle] = next(read, 1)
            data[:] = emergency.LINE_VALUES.pack(seen[handle], 1)
        return 0

    lines = ((4, True, "a"), (5, False, "b"), (6, True, "c"))
    chip, far_end = socket.socketpair()
    with chip, far_end, pytest.MonkeyPatch.context() as patch:
        patch.setattr(emergency, "PATIENCE_S", 0.0)
        troubles = emergency.make_safe(lines, chip.fileno(), ioctl)
    told_of = {int(trouble.split()[1]) for trouble in troubles}
    assert len(troubles) == len(told_of)
    assert {number for number, level, _ in lines if seen.get(number, 2) & 1 != level} <= told_of
