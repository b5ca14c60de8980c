"""Processes put into the order in which the units put them: the controller before the page, the
page before what attacks it."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

CONTROLLER_NICE = -10  # as in the units
PAGE_NICE = 5
ATTACKER_NICE = 19


def before_all_others(pid: int) -> None:
    """The controller's place, as far as whoever runs the tests may give it: only root may.

    A session is weighed as a whole where the kernel groups processes by sessions (sched(7),
    autogroup), as the unit is by its CPUWeight.
    """
    with suppress(PermissionError):
        for thread in Path(f"/proc/{pid}/task").iterdir():
            os.setpriority(os.PRIO_PROCESS, int(thread.name), CONTROLLER_NICE)
        group = Path(f"/proc/{pid}/autogroup")
        if group.exists():
            group.write_text(str(CONTROLLER_NICE), encoding="ascii")
