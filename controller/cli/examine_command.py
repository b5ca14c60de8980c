"""Judges one plan, in a process that may be ended at any time: text in, JSON out.

Started by the daemon (`shell/plan_store/examiner`) and by nobody else, so it is no command of
`rootclock`. A strange plan costs this process and nothing more: it runs after everything else
on the machine, and within limits of processor time and memory.
"""

from __future__ import annotations

import argparse
import os
import resource
import sys
from contextlib import suppress
from pathlib import Path

OUT_OF_MEMORY = 3  # exit code, understood by `examiner`
_NICE = 10


def main(words: list[str] | None = None) -> int:
    """Reads a plan from standard input and writes its examination to standard output."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--source", required=True)
    parser.add_argument("--now", type=int, required=True, help="ms since 1970, UTC")
    parser.add_argument("--days", type=int, required=True)
    parser.add_argument("--cpu-s", type=int, required=True)
    parser.add_argument("--memory-bytes", type=int, required=True)
    given = parser.parse_args(words)
    _let_others_go_first()
    import json

    from controller.cli.judgement import Task, judge
    from controller.core.plan_text.encoding import SIZE_MAX

    # From here on it is the plan that takes time and memory.
    _bound(resource.RLIMIT_CORE, 0)
    _bound(resource.RLIMIT_CPU, given.cpu_s)
    _bound(resource.RLIMIT_AS, given.memory_bytes)
    try:
        data = sys.stdin.buffer.read(SIZE_MAX + 1)
        found = judge(data, Task(given.source, given.now, given.days))
        sys.stdout.write(json.dumps(found.as_json(), allow_nan=False))
        sys.stdout.flush()
    except MemoryError:
        return OUT_OF_MEMORY
    return 0


def _let_others_go_first() -> None:
    with suppress(OSError):  # a service may not be allowed to; its children begin at the usual
        # As a value and not a step: the daemon may itself run before everything else.
        os.setpriority(os.PRIO_PROCESS, 0, max(_NICE, os.getpriority(os.PRIO_PROCESS, 0)))
    with suppress(OSError):  # a container may forbid it; being nice is enough then
        os.sched_setscheduler(0, os.SCHED_BATCH, os.sched_param(0))
    with suppress(OSError):  # where memory runs out, this process goes, and not the daemon
        Path("/proc/self/oom_score_adj").write_text("1000", encoding="ascii")


def _bound(kind: int, wanted: int) -> None:
    """Sets a limit for good; one that is lower already stays, for only root might raise it."""
    _, hard = resource.getrlimit(kind)
    limit = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
    resource.setrlimit(kind, (limit, limit))


if __name__ == "__main__":
    sys.exit(main())
