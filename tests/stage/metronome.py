"""A process of a controller's rank that only wakes at its time: how late the machine, busy with
whatever else, lets such a one be. `python -m tests.stage.metronome` beats until its input ends."""

from __future__ import annotations

import select
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

from tests.stage.priorities import before_all_others

_BEAT_S = 1 / 15


class Metronome:
    """What it has found, once it has ended."""

    p99_ms = 0.0


@contextmanager
def metronome() -> Iterator[Metronome]:
    """Beats meanwhile."""
    found = Metronome()
    with subprocess.Popen(
        [sys.executable, "-m", "tests.stage.metronome"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as process:
        before_all_others(process.pid)
        yield found
        said, _ = process.communicate()
        found.p99_ms = float(said)


def _beat() -> float:
    late_ms: list[float] = []
    due = time.monotonic()
    while not select.select([sys.stdin], [], [], max(0.0, due - time.monotonic()))[0]:
        late_ms.append((time.monotonic() - due) * 1e3)
        due = max(due + _BEAT_S, time.monotonic())
    late_ms.sort()
    return late_ms[-1 - len(late_ms) // 100] if late_ms else 0.0


if __name__ == "__main__":
    sys.stdout.write(f"{_beat():.3f}\n")
