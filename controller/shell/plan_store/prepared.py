"""A plan's bytes made ready for the daemon: the plan, and its schedule."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, NamedTuple

from controller.core.plan_text.reading import read_plan
from controller.core.schedule import make_schedule

if TYPE_CHECKING:
    from controller.core.findings import Finding
    from controller.core.plan import Plan
    from controller.core.schedule import Schedule


class Prepared(NamedTuple):
    """A plan that can be run as it stands, with the warnings and notes that need no dry run."""

    plan: Plan
    schedule: Schedule
    findings: tuple[Finding, ...]


def prepare(data: bytes, source: str) -> Prepared:
    """The plan in these bytes, ready to run.

    Raises:
        PlanRefusedError: it has errors.
    """
    read = read_plan(data, source)
    return Prepared(read.plan, make_schedule(read.plan), read.findings)


async def ready(data: bytes, source: str) -> Prepared:
    """The same, in a thread: a plan of 54 loads takes 20 ms of a desktop's processor, and ten
    times that on a small board. The loop goes on switching between slices of it.

    Raises:
        PlanRefusedError: it has errors.
    """
    return await asyncio.to_thread(prepare, data, source)
