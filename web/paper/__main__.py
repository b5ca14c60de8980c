"""The worker: takes one job after the other from standard input, and answers on standard
output. Started by `web.paper.desk` and by nobody else.

A strange plan costs this process and nothing more: it runs after everything else on the
machine, within a limit of memory, and is ended when it takes too long.
"""

from __future__ import annotations

import os
import resource
import sys
from contextlib import suppress

_NICE = 10


def main(words: list[str]) -> int:
    """Works until nobody asks any more; `words` has the bytes of memory that it may take."""
    with suppress(OSError):  # where the service manager forbids it, it has its own ways
        os.setpriority(os.PRIO_PROCESS, 0, max(_NICE, os.getpriority(os.PRIO_PROCESS, 0)))
    with suppress(OSError, ValueError):
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_AS, (int(words[0]), int(words[0])))
    from web.paper.frames import frame_of, read_frame
    from web.paper.jobs import answer

    questions, answers = sys.stdin.buffer, sys.stdout.buffer
    while (message := read_frame(questions)) is not None:
        answers.write(frame_of(answer(message)))
        answers.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
