"""The worker: takes one job after the other from standard input, and answers on standard
output. Started by `web.paper.desk` and by nobody else.

A strange plan costs this process and nothing more: it runs after everything else on the
machine, within a limit of memory, and is ended when it takes too long.
"""

from __future__ import annotations

import gc
import os
import resource
import sys
import traceback
from contextlib import suppress
from queue import Empty, SimpleQueue
from threading import Thread
from typing import IO, TYPE_CHECKING, Any, NoReturn

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

_NICE = 10
_PAUSE_S = 1.0  # after which nobody is in the middle of an edit
_LITTERED_MAX = 500
_OUT_OF_MEMORY = 3  # any exit code but that of a mistake, 1


def main(words: list[str]) -> NoReturn:
    """Works until nobody asks any more; `words` has the bytes of memory that it may take."""
    with suppress(OSError):  # where the service manager forbids it, it has its own ways
        os.setpriority(os.PRIO_PROCESS, 0, max(_NICE, os.getpriority(os.PRIO_PROCESS, 0)))
    with suppress(OSError, ValueError):
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_AS, (int(words[0]), int(words[0])))
    from web.paper.frames import frames_of
    from web.paper.jobs import answer

    jobs: SimpleQueue[Any] = SimpleQueue()
    Thread(target=_listen, args=(sys.stdin.buffer, jobs), daemon=True).start()

    def tell(message: Mapping[str, Any]) -> None:
        sys.stdout.buffer.write(frames_of(message))
        sys.stdout.buffer.flush()

    _work(jobs, lambda job: tell(answer(job, tell)))


def _work(jobs: SimpleQueue[Any], do: Callable[[Mapping[str, Any]], None]) -> NoReturn:
    """Does jobs as they come. Looking for garbage takes longer than drawing a plan anew, so that
    it waits until nobody asks, though not for ever; a dry run, which nobody drags, may pause for
    it."""
    gc.freeze()
    littered = 0  # jobs since the last look
    while True:
        try:
            job = jobs.get(timeout=_PAUSE_S if littered else None)
        except Empty:
            gc.collect()
            littered = 0
            continue
        if job["job"] == "dry-run":
            gc.enable()
        else:
            gc.disable()
        do(job)
        littered += 1
        if littered >= _LITTERED_MAX:
            gc.collect()
            littered = 0


def _listen(questions: IO[bytes], jobs: SimpleQueue[Any]) -> None:
    """Hands on what is asked. When nobody can ask any more, nobody waits for an answer: the
    process ends, in the middle of a job too, so that none outlives the page."""
    from web.paper.frames import read_frame

    while (message := read_frame(questions)) is not None:
        jobs.put(message)
    os._exit(0)


if __name__ == "__main__":
    try:
        main(sys.argv[1:])
    except MemoryError:  # outside of a job, which tells of it in words
        os._exit(_OUT_OF_MEMORY)
    except Exception:  # noqa: BLE001 - the outermost: a mistake of ours, in full on standard error
        traceback.print_exc()
        # Python's own end would trip over the thread that listens, and abort instead.
        os._exit(1)
