"""One step of the loop that switches relays: the same in life and in the dry run.

The worlds differ in how time passes in `sleep_until`, and in nothing that decides.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from controller.core.decide import decide

if TYPE_CHECKING:
    from controller.core.decide import Decision
    from controller.core.memory import Memory
    from controller.core.observation import Observation, Tick
    from controller.core.schedule import Schedule


class World(Protocol):
    """What surrounds the controller."""

    def observe(self) -> Observation:
        """The world as it is now."""

    def carry_out(self, seen: Observation, decision: Decision) -> None:
        """Switches what was ordered and writes down what happened."""


def take_step(schedule: Schedule, memory: Memory | None, world: World) -> tuple[Memory, Tick]:
    """Observes, decides and carries out, once. The new memory, and the tick of the next
    step at the latest."""
    seen = world.observe()
    decision = decide(schedule, memory, seen)
    world.carry_out(seen, decision)
    return decision.memory, decision.wake
