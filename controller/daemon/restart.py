"""What the controller was doing before: its state as written down, laid on the present plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.observation import Observation
from controller.core.snapshot import restored_boot, restored_memory
from controller.daemon.world import Outage

if TYPE_CHECKING:
    from controller.core.memory import Memory
    from controller.core.orders import Notice
    from controller.core.schedule import Schedule
    from controller.daemon.ports import Clock
    from controller.shell.alive_mark import LastAlive


class Restart(NamedTuple):
    """What a start begins with: a memory if there is one, what is known of the time between,
    what to note of it, and why an earlier state was of no use, if it was not."""

    memory: Memory | None
    outage: Outage
    notices: tuple[Notice, ...] = ()
    refused: str = ""


def restart(
    schedule: Schedule,
    state: str | None,
    *,
    alive: LastAlive | None,
    clock: Clock,
    kernel_boot: str,
) -> Restart:
    """The controller's state, ready for the first decision of this start.

    `state` is what the journal has of the last decision that it was told of, `alive` when the
    process before was last seen alive in this boot of the kernel.
    """
    if state is None:
        return Restart(None, Outage(boot=0, kernel_boot=kernel_boot))
    now, tick = clock.read()
    boot = restored_boot(state) + 1
    seen = Observation(now, tick, boot, clock.is_trusted, {})
    restored = restored_memory(schedule, state, seen, kernel_boot=kernel_boot)
    down_ms = restored.down_ms_max
    if down_ms is not None and alive is not None:
        down_ms = min(down_ms, max(0, tick - alive.tick))
    outage = Outage(
        boot=boot,
        kernel_boot=kernel_boot,
        since=None if alive is None else alive.now,
        length_ms=down_ms,
    )
    return Restart(restored.memory, outage, restored.notices, restored.refused)
