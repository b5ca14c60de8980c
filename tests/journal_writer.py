"""A process that writes a journal and is killed while it does: `python -m tests.journal_writer`,
with a number of bytes as its bound if one is given.

It reads a folder a line from standard input and forks, so that a death costs milliseconds and
not the start of an interpreter. The child goes on where the journal's state says that the last
one was, and tells on standard output what the journal has acknowledged:

    pid 1234           the child that writes
    acknowledged 17 840032    entry 17 is on the disk for good; the log had so many bytes
    dead               the child is gone
"""

from __future__ import annotations

import asyncio
import ctypes
import os
import random
import signal
import sys
from pathlib import Path

from controller.shell.journal.limits import Limits
from tests.journals import QUICK, Told, opened, switching


def _say(text: str) -> None:
    os.write(1, f"{text}\n".encode())


async def _write_for_ever(folder: Path, limits: Limits) -> None:
    """Each entry with the state that belongs to it; now and then a question."""
    journal = opened(folder, limits, Told())
    state = journal.last_state()
    number = -1 if state is None else int(state)
    dice = random.Random(number)
    while True:
        for _ in range(dice.randrange(1, 12)):
            number += 1
            detail = "x" * dice.choice([0, 10, 100, 1_900])
            journal.note([switching(number, detail=detail)], state=str(number))
        if dice.random() < 0.5 and await journal.written():
            _say(f"acknowledged {number} {(folder / 'journal.db-wal').stat().st_size}")


def _die_with_parent() -> None:
    """A child must not outlive a test that has failed and killed the process that forks.

    Source: prctl(2), PR_SET_PDEATHSIG; its number, 1, from linux/prctl.h.
    """
    ctypes.CDLL(None).prctl(1, signal.SIGKILL)


def main() -> None:
    """Forks a writer for each folder, and waits for its death."""
    limits = QUICK._replace(bytes_max=int(sys.argv[1])) if len(sys.argv) > 1 else QUICK
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            _die_with_parent()
            _say(f"pid {os.getpid()}")
            asyncio.run(_write_for_ever(Path(line.rstrip("\n")), limits))
        os.waitpid(child, 0)
        _say("dead")


if __name__ == "__main__":
    main()
