"""Kill -9 of the process that takes plans: nothing that was taken is lost, nothing is torn.

Real processes on a real disk. The takers are forked from one that has imported everything, so
that hundreds of kills take seconds. What a power cut does besides is tested on the board.
"""

from __future__ import annotations

import asyncio
import os
import random
import select
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import IO

import pytest

from controller.shell.examples import example_text
from controller.shell.plan_store.store import PlanStore

ROOT = Path(__file__).resolve().parents[2]
NOW = 1_782_900_000_000

# Reads "FOLDER VERSION CALL" and forks a taker, which takes that version of the plan and the
# ones after it without end, each told by its number when it is in force. CALL is the number of
# the system call at which it kills itself, 0 for none.
TAKER = """
import asyncio, itertools, os, signal, sys
from pathlib import Path
from controller.shell import files
from controller.shell.examples import example_text
from controller.shell.plan_store.examination import Examination
from controller.shell.plan_store.store import PlanStore

NOW = 1_782_900_000_000
COUNTED = {"open", "write", "fchown", "fchmod", "fsync", "close", "replace", "unlink"}
PLAN = example_text("porch")

class DeadlyOs:
    def __init__(self, call):
        self.left = call
    def __getattr__(self, name):
        real = getattr(os, name)
        if name not in COUNTED:
            return real
        def counted(*words, **more):
            self.left -= 1
            if self.left == 0:
                os.kill(os.getpid(), signal.SIGKILL)
            return real(*words, **more)
        return counted

async def examine(data, *, source, now):
    return Examination(())

async def take(folder, version, call):
    store = PlanStore(folder / "plan.toml", folder / "state", examiner=examine)
    store.start(NOW)
    await store.keep()
    os.write(1, b"begun\\n")
    files.os = DeadlyOs(call)
    for number in itertools.count(version):
        await store.take(f"{PLAN}# version {number}\\n".encode(), now=NOW + number)
        os.write(1, b"%d\\n" % number)

for line in sys.stdin:
    folder, version, call = line.split()
    child = os.fork()
    if child == 0:
        asyncio.run(take(Path(folder), int(version), int(call)))
    os.write(1, b"pid %d\\n" % child)
    os.waitpid(child, 0)
    os.write(1, b"dead\\n")
"""


class Takers:
    """The process that forks takers, and one taker after another."""

    def __init__(self, process: subprocess.Popen[bytes], folder: Path) -> None:
        self._process = process
        self._folder = folder
        assert process.stdin is not None
        assert process.stdout is not None
        self._told: IO[bytes] = process.stdout
        self._orders: IO[bytes] = process.stdin

    def run(self, version: int, *, call: int = 0, kill_after_s: float | None = None) -> int:
        """Lets a taker take plans from this version on until it dies; the last that it took."""
        self._orders.write(f"{self._folder} {version} {call}\n".encode())
        self._orders.flush()
        taken, pid, has_begun = version - 1, 0, False
        while (line := self._told.readline().strip()) != b"dead":
            assert line, "the process that forks takers has ended"
            if line.startswith(b"pid"):
                pid = int(line.split()[1])
            elif line == b"begun":
                has_begun = True
            else:
                taken = int(line)
            if has_begun and pid and kill_after_s is not None:
                select.select([], [], [], kill_after_s)  # the moment is what is tried out
                os.kill(pid, signal.SIGKILL)
                kill_after_s = None
        return taken


@pytest.fixture
def takers(tmp_path: Path) -> Iterator[Takers]:
    """Takers of plans in a folder of their own, which holds version 0."""
    (tmp_path / "plan.toml").write_text(f"{example_text('porch')}# version 0\n")
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(  # noqa: S603 - our own text
        [sys.executable, "-c", TAKER],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=environment,
    ) as process:  # fmt: skip
        yield Takers(process, tmp_path)
        process.kill()


def version_of(text: str) -> int:
    """Which version a plan is; the text must be all of it."""
    number = int(text.rpartition("# version ")[2])
    assert text == f"{example_text('porch')}# version {number}\n"
    return number


async def texts_of(store: PlanStore) -> list[str]:
    """The texts of all revisions, in order."""
    return [await store.text_of(revision.number) for revision in store.revisions()]


def assert_intact(folder: Path, *, taken: int) -> int:
    """File and store are whole, nothing that was told as taken is lost, and the next start runs
    the newest plan that is anywhere; its version."""
    in_file = version_of((folder / "plan.toml").read_text())
    store = PlanStore(folder / "plan.toml", folder / "state")
    begun = store.start(NOW)
    assert (begun.refused, begun.remarks) == (None, ())
    versions = [version_of(text) for text in asyncio.run(texts_of(store))]
    assert versions == sorted(set(versions))
    assert versions[-1] == in_file
    assert in_file in {taken, taken + 1}
    return in_file


def test_a_kill_at_any_system_call_leaves_all_intact(takers: Takers, tmp_path: Path) -> None:
    """Each call of a take in turn. Slow (4 s): a process each, and six waits for the disk."""
    newest = 0
    died_within = []
    for call in range(1, 41):
        taken = takers.run(newest + 1, call=call)
        died_within.append(taken - newest)
        newest = assert_intact(tmp_path, taken=taken)
    assert died_within[0] == 0
    assert died_within[-1] >= 1  # so that all calls of the first take have been tried


def test_kills_at_random_moments_lose_nothing(takers: Takers, tmp_path: Path) -> None:
    """Thirty, or as many as ROOTCLOCK_KILLS says. Slow (3 s): a process each, and the disk."""
    kills = int(os.environ.get("ROOTCLOCK_KILLS", "30"))
    moment = random.Random(2026)
    newest = 0
    between = 0
    for _ in range(kills):
        taken = takers.run(newest + 1, kill_after_s=moment.uniform(0.0, 0.05))
        newest = assert_intact(tmp_path, taken=taken)
        between += newest - taken
    print(f"\n{kills} kills: {newest} plans taken, {between} of them told by a start")  # noqa: T201
    assert newest > kills / 2
