"""The journal under sudden death: of the process by SIGKILL, and of the machine by a power cut.

Twenty deaths in an ordinary run; `ROOTCLOCK_KILLS` asks for more.
"""

from __future__ import annotations

import os
import random
import select
import shutil
import signal
import sqlite3
import struct
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from controller.core.wear import Tally
from controller.shell.journal.figures import read_worn
from tests.journals import NOON, PATIENCE_S, integrity_of, state_of
from tests.readme import ROOT

_KILLS = int(os.environ.get("ROOTCLOCK_KILLS", "20"))
_PAGE = 1024
_FRAME = 24 + _PAGE
_LOG_HEADER = 32


class WriterProcess:
    """The process that forks writers; see tests/journal_writer.py."""

    def __init__(self, *words: str) -> None:
        self._process = subprocess.Popen(  # noqa: S603 - our own program
            [sys.executable, "-m", "tests.journal_writer", *words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            cwd=ROOT,
        )
        self._heard = b""

    def killed(self, folder: Path, *, after: int, spin: int) -> tuple[int, int]:
        """Lets a writer write, kills it a moment after its so many-th acknowledgement; the
        last entry that it acknowledged (-1: none), and the size of the log by then."""
        self._say(f"{folder}\n")
        pid = int(self._hear().removeprefix("pid "))
        number, size = -1, 0
        for _ in range(after):
            _, text, size_text = self._hear().split()
            number, size = int(text), int(size_text)
        for _ in range(spin):  # a moment that is random, and no sleep's whole millisecond
            pass
        os.kill(pid, signal.SIGKILL)
        while (line := self._hear()) != "dead":
            _, text, size_text = line.split()
            number, size = int(text), int(size_text)
        return number, size

    def _say(self, text: str) -> None:
        assert self._process.stdin is not None
        self._process.stdin.write(text.encode())
        self._process.stdin.flush()

    def _hear(self) -> str:
        """The next line; a writer that says nothing for long has failed."""
        assert self._process.stdout is not None
        while b"\n" not in self._heard:
            is_ready, _, _ = select.select([self._process.stdout], [], [], PATIENCE_S)
            assert is_ready, "the writing process says nothing"
            part = os.read(self._process.stdout.fileno(), 4096)
            assert part, "the writing process has ended"
            self._heard += part
        line, _, self._heard = self._heard.partition(b"\n")
        return line.decode()

    def close(self) -> None:
        """Ends it, and the child that it may have."""
        with self._process:
            self._process.kill()


@pytest.fixture(scope="module")
def writer() -> Iterator[WriterProcess]:
    """One process for all deaths."""
    process = WriterProcess()
    yield process
    process.close()


def _numbers_in(path: Path) -> list[int]:
    """The entries by their numbers, in the order in which they were written."""
    with closing(sqlite3.connect(path)) as connection:
        rows = connection.execute(
            "SELECT (at - ?) / 60000 FROM entries WHERE what IN ('on', 'off') ORDER BY id", (NOON,)
        ).fetchall()
    return [number for (number,) in rows]


def _assert_sound(path: Path, *, acknowledged: int) -> int:
    """Sound, without a gap or double, all that was acknowledged there, state and entries of
    one moment; the number of the last."""
    assert integrity_of(path) == "ok"
    numbers = _numbers_in(path)
    assert numbers == [*range(len(numbers))]
    last = len(numbers) - 1
    assert last >= acknowledged
    assert state_of(path) == (str(last) if numbers else None)
    return last


def test_kill_9_at_any_moment_loses_nothing_acknowledged(
    writer: WriterProcess, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One journal lives through many deaths; each writer goes on where the last one died.

    Takes seconds: each death is a real one, with files that have to be recovered.
    """
    dice = random.Random(1)
    entries = 0
    for death in range(_KILLS):
        folder = tmp_path / str(death // 25)  # a fresh one now and then: the checks read it all
        number, _ = writer.killed(
            folder, after=dice.randrange(0, 12), spin=dice.randrange(0, 200_000)
        )
        path = folder / "journal.db"
        if not path.exists():  # dead before it opened anything
            assert number == -1
            continue
        # A copy, so that the next writer is the one who recovers what this one left behind.
        copy = tmp_path / "copy"
        shutil.copytree(folder, copy)
        entries = _assert_sound_or_unmade(copy / "journal.db", acknowledged=number)
        shutil.rmtree(copy)
    with capsys.disabled():
        sys.stdout.write(f"\n{_KILLS} deaths by SIGKILL, nothing lost; {entries + 1} entries\n")


def _assert_sound_or_unmade(path: Path, *, acknowledged: int) -> int:
    """As `_assert_sound`; a writer may also have died before the tables were made."""
    with closing(sqlite3.connect(path)) as connection:
        (tables,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    if tables == 0:
        assert acknowledged == -1
        return -1
    return _assert_sound(path, acknowledged=acknowledged)


def _synchronised_bytes(folder: Path) -> int:
    """How much of the log SQLite had synchronised before it copied pages into the file.

    Source: https://www.sqlite.org/walformat.html, section 2.1: `nBackfillAttempted` stands at
    byte 128 of the index, in native byte order.
    """
    index = (folder / "journal.db-shm").read_bytes()
    (frames,) = struct.unpack_from("=I", index, 128)
    return _LOG_HEADER + int(frames) * _FRAME


def _cut_power(log: Path, *, safe: int, dice: random.Random) -> str:
    """Leaves of a log what a power cut may leave: all that was synchronised, and of the rest
    some sectors, others as they were before or never written, in no order."""
    data = bytearray(log.read_bytes())
    safe = min(safe, len(data))
    kind = dice.choice(["cut short", "sectors lost", "sectors spoilt", "nothing lost", "all lost"])
    if kind == "cut short":
        del data[dice.randint(safe, len(data)) :]
    elif kind == "all lost":
        del data[safe:]
    elif kind != "nothing lost":
        for start in range(safe, len(data), 512):
            if dice.random() < 0.3:
                length = min(512, len(data) - start)
                lost = bytes(length) if kind == "sectors lost" else dice.randbytes(length)
                data[start : start + length] = lost
    log.write_bytes(data)
    return kind


@pytest.mark.parametrize("size", ["before the first copying", "beyond it"])
def test_a_power_cut_takes_no_more_than_the_last_entries(
    writer: WriterProcess, tmp_path: Path, size: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is left is sound, a beginning of what was noted, with the state that belongs to it;
    and what was acknowledged is there, where the log alone tells how much that was.

    Takes seconds: each power cut is a killed process whose files are spoilt.
    """
    dice = random.Random(2)
    kinds: dict[str, int] = {}
    is_small = size == "before the first copying"
    cuts = _KILLS if is_small else -(-_KILLS // 5)  # the large ones take half a second each
    for cut in range(cuts):
        folder = tmp_path / str(cut)
        after = dice.randrange(1, 10) if is_small else dice.randrange(80, 160)
        number, acknowledged_size = writer.killed(
            folder, after=after, spin=dice.randrange(0, 100_000)
        )
        log = folder / "journal.db-wal"
        safe = _synchronised_bytes(folder)
        is_first_log = safe == _LOG_HEADER and log.stat().st_size < 1_000 * _FRAME
        if is_first_log:  # it only grew: its size at the acknowledgement is what was safe then
            safe = max(safe, acknowledged_size)
        assert is_first_log or not is_small
        kind = _cut_power(log, safe=safe, dice=dice)
        kinds[kind] = kinds.get(kind, 0) + 1
        (folder / "journal.db-shm").unlink()  # it is memory
        _assert_sound(folder / "journal.db", acknowledged=number if is_first_log else -1)
        shutil.rmtree(folder)
    with capsys.disabled():
        sys.stdout.write(f"\n{cuts} power cuts with a log {size}: {kinds}\n")


def test_no_death_loses_or_doubles_a_count_of_switchings(tmp_path: Path) -> None:
    """Of a journal at its bound, whose oldest entries go while the writer is killed: what was
    counted of them and what is left are together every switching that there was.

    Takes seconds: each death is a real one.
    """
    writer = WriterProcess("60000")
    dice = random.Random(3)
    path = tmp_path / "journal.db"
    known: Tally | None = None
    try:
        for death in range(_KILLS):
            writer.killed(tmp_path, after=dice.randrange(1, 12), spin=dice.randrange(0, 200_000))
            copy = tmp_path / "copy"
            shutil.copytree(tmp_path, copy)
            last = int(state_of(copy / "journal.db") or -1)
            known = read_worn(copy / "journal.db", known if death % 3 else None)
            shutil.rmtree(copy)
            # Every other switching is on, from the first one, whose number is 0.
            assert known.loads["pump"].operations == last // 2 + 1
    finally:
        writer.close()
    with closing(sqlite3.connect(path)) as connection:
        (first,) = connection.execute("SELECT min(id) FROM entries").fetchone()
    assert first > 64, "nothing went, so nothing was tried"
