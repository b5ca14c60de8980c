"""Decide: the one function that carries a plan out, in life and in the dry run alike.

`(plan, memory, observation) -> (orders, notices, memory, next wake)`, with authority in
the order of rule 6: stop switch, guards, hold, variant, plan. It weighs only the loads
whose look is due or whom something new concerns, so that a wake costs what changed and
not what the plan holds; the outcome is the same as weighing all
(tests/property/test_decide.py).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.intake import brings_news, take_in
from controller.core.memory import first_memory
from controller.core.tuples import made
from controller.core.weighing import Weighing

if TYPE_CHECKING:
    from controller.core.memory import Memory
    from controller.core.observation import Observation, Tick
    from controller.core.orders import Notice, Order
    from controller.core.schedule import Schedule


class Decision(NamedTuple):
    """What to do now, what to tell the journal, what to remember, when to ask again.

    `orders` has the loads whose state changes, or all of them where the controller has
    just been given them; the reason of every load stands in `memory.loads`. `wake` is the
    tick at which `decide` must be asked again at the latest. `weighed` has the places of the
    loads that were weighed, in the plan's order, one perhaps twice; no other's reason has
    changed.
    """

    orders: tuple[Order, ...]
    notices: tuple[Notice, ...]
    memory: Memory
    wake: Tick
    weighed: tuple[int, ...]


def decide(schedule: Schedule, memory: Memory | None, seen: Observation) -> Decision:
    """What to do at this moment; pure.

    Args:
        schedule: the plan made ready.
        memory: what the last decision remembered; None at the very first.
        seen: the world now; within a boot its tick is never before the last decision's.
    """
    has_just_begun = memory is None or memory.boot != seen.boot
    memory = first_memory(schedule, seen) if memory is None else memory
    notices: tuple[Notice, ...] = ()
    concerned: frozenset[int] = frozenset()
    has_news = brings_news(memory, seen)
    if has_news:
        memory, notices, concerned = take_in(schedule, memory, seen)
    tick = seen.tick
    weighing = Weighing(schedule, memory, seen, [*notices])
    due = [place for place, look in enumerate(weighing.looks) if look <= tick]
    weighing.weigh(sorted(concerned.union(due)) if concerned else due)
    if has_news:
        weighing.shed()
    orders = weighing.all_orders() if has_just_begun else tuple(weighing.orders)
    after = weighing.memory_after()
    wake = min(weighing.looks)
    return made(Decision, (
        orders,
        tuple(weighing.notices),
        after,
        min(wake, after.sensor_look),
        tuple(sorted(weighing.weighed)),
    ))  # fmt: skip
