"""The journal: what noting costs the loop, what writing costs the card."""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path

from controller.core.journal_entry import Entry, Summary
from controller.core.memory import first_memory
from controller.core.observation import Observation
from controller.core.schedule import make_schedule
from controller.core.snapshot import snapshot_text
from controller.core.units import HOUR_MS
from controller.shell.journal.backlog import Batch
from controller.shell.journal.journal import open_journal
from controller.shell.journal.journal_file import JournalFile
from controller.shell.journal.limits import Limits
from controller.shell.journal.read_log import Query, read_log
from tests.bench.measure import Result
from tests.bench.plans import eighteen_pumps, one_pump

_START = 1_782_900_000_000
_SENTENCE = (
    "Watering until 05:20, 15 min more. Cycle 15m on, 15m off, since 30 min before sunrise at "
    "05:05:16."
)
_KERNEL_BOOT = "0b1c2d3e-4f50-6172-8394-a5b6c7d8e9f0"
_SENSORS = 4
_DAYS = 3  # measured, after a first one in which the file is made


def _switching(number: int, loads: int, at: int) -> Entry:
    return Entry(
        at, at - _START, True, ("on", "off")[number // loads % 2], f"pump_{number % loads}", "plan",
        _SENTENCE, 1.25,
    )  # fmt: skip


class _States:
    """What the controller would write down after each switching, by its own hand."""

    def __init__(self, loads: int) -> None:
        self._schedule = make_schedule(one_pump() if loads == 1 else eighteen_pumps())
        self._memory = first_memory(
            self._schedule, Observation(_START, 0, boot=1, is_clock_trusted=True, readings={})
        )

    def after(self, number: int, at: int) -> str:
        """The state as text, after so many switchings."""
        loads = [*self._memory.loads]
        place = number % len(loads)
        loads[place] = loads[place]._replace(
            is_on=not loads[place].is_on, since=at - _START, watered=at - _START
        )
        self._memory = self._memory._replace(now=at, tick=at - _START, loads=tuple(loads))
        return snapshot_text(self._schedule, self._memory, kernel_boot=_KERNEL_BOOT)


def _written_bytes() -> tuple[int, int]:
    """By write calls, and in blocks of the page cache that became dirty; see proc(5)."""
    lines = Path("/proc/self/io").read_text(encoding="ascii").splitlines()
    counts = dict(line.split(": ") for line in lines)
    return int(counts["wchar"]), int(counts["write_bytes"])


def _settle(log: Path) -> None:
    """What half a minute of the kernel does: dirty pages reach the disk. Without this, many
    switchings would share one write of a block."""
    handle = os.open(log, os.O_RDWR)
    os.fdatasync(handle)
    os.close(handle)


def _bytes_a_day(loads: int) -> tuple[float, float]:
    """For so many loads at 15/15, each starting at its own time, and four sensors: by write
    calls, and in blocks."""
    changes = 96 * loads
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "journal.db"
        file = JournalFile(path, Limits())
        before = (0, 0)
        states = _States(loads)
        for number in range(changes * (_DAYS + 1)):
            if number == changes:
                before = _written_bytes()
            at = _START + number * 900_000 // loads
            hour = Summary("air", at, at + HOUR_MS, 60, 19.5, 20.3, 21.1)
            hours = [hour] * _SENSORS if number % (4 * loads) == 0 else []
            batch = Batch([_switching(number, loads, at)], hours, states.after(number, at))
            file.write(batch, begun_because="the benchmark began", lost_because="")
            file.tidy(batch)
            _settle(path.with_name("journal.db-wal"))
        after = _written_bytes()
        file.close()
    calls, blocks = ((end - start) / _DAYS for start, end in zip(before, after, strict=True))
    return calls, blocks


def _percentile(ordered: list[float], percent: int) -> float:
    return ordered[-(-len(ordered) * percent // 100) - 1]


def _noting() -> list[Result]:
    """What the loop's thread spends on `note`, with 18 loads, while the writer is at work."""
    times_us = []
    count = 3_000
    with tempfile.TemporaryDirectory() as name:
        journal = open_journal(Path(name) / "journal.db", on_trouble=print)
        state = _States(18).after(1, _START)
        for number in range(count):
            entry = _switching(number, 18, _START + number)
            begun = time.perf_counter_ns()
            journal.note([entry], state=state)
            times_us.append((time.perf_counter_ns() - begun) / 1e3)
            time.sleep(0.0005)  # a loop that switches sleeps between two switchings
        journal.close()
    times_us.sort()
    note = f"{count} notes, 2,000 a second, writer beside it"
    return [
        Result("journal, note(), p50", _percentile(times_us, 50), "µs", note, None, 100.0),
        Result("journal, note(), p99", _percentile(times_us, 99), "µs", note, None, 1_000.0),
        Result("journal, note(), max", times_us[-1], "µs", note),
    ]


def _throughput() -> list[Result]:
    """How fast a backlog is written, and a year of it read."""
    count = 35_040  # a year of one load at 15/15
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "journal.db"
        file = JournalFile(path, Limits())
        state = _States(1).after(1, _START)
        begun = time.perf_counter()
        for number in range(1_000):
            batch = Batch([_switching(number, 1, _START + number)], state=state)
            file.write(batch, begun_because="the benchmark began", lost_because="")
        singly_s = (time.perf_counter() - begun) / 1_000
        entries = [_switching(number, 1, _START + number * 900_000) for number in range(count)]
        begun = time.perf_counter()
        file.write(Batch(entries), begun_because="", lost_because="")
        together_s = (time.perf_counter() - begun) / count
        file.close()
        size = path.stat().st_size / count
        begun = time.perf_counter()
        read_log(path, Query(limit=50, is_newest_first=True))
        newest_s = time.perf_counter() - begun
        begun = time.perf_counter()
        day = _START + 200 * 86_400_000
        read_log(path, Query(since=day, until=day + 86_400_000))
        a_day_s = time.perf_counter() - begun
        begun = time.perf_counter()
        read_log(path, Query(find="nowhere to be found"))
        search_s = time.perf_counter() - begun
    return [
        Result("journal, entries a second, each with its state", 1 / singly_s, "1/s"),
        Result("journal, entries a second, in one transaction", 1 / together_s, "1/s"),
        Result("journal, bytes of file an entry", size, "B"),
        Result("journal, the newest 50 of a year", newest_s * 1e3, "ms"),
        Result("journal, one day of a year", a_day_s * 1e3, "ms"),
        Result("journal, a text search through a year", search_s * 1e3, "ms"),
    ]


def journal() -> list[Result]:
    """Microseconds for the loop, bytes for the card."""
    results = [*_noting(), *_throughput()]
    for loads, aim in ((1, 1.0), (18, 15.0)):
        calls, blocks = _bytes_a_day(loads)
        words = "1 load" if loads == 1 else f"{loads} loads"
        results += [
            Result(f"journal, written a day, {words}, by calls", calls / 1e6, "MB"),
            Result(
                f"journal, written a day, {words}, in blocks",
                blocks / 1e6,
                "MB",
                "of 4 kB, synchronised after each switching; 0 where the folder is memory",
                None,
                aim,
            ),
        ]
    return results
