"""A controller at work, as those see it who answer for it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from controller.core.observation import Tick
    from controller.daemon.loop import ControlLoop
    from controller.daemon.options import Options
    from controller.daemon.parts import Parts
    from controller.daemon.plan_changes import PlanChanges
    from controller.daemon.steps import Steps
    from controller.daemon.world import ControllerWorld


class Running(NamedTuple):
    """What a controller was told to be, what it is made of, and since which tick it runs."""

    options: Options
    parts: Parts
    started: Tick
    loop: ControlLoop
    world: ControllerWorld
    plans: PlanChanges
    steps: Steps
