"""A wish: what a load would do if no guard objected, by a timeline or by a cycle alone."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.orders import Reason, Why
from controller.core.tuples import made

if TYPE_CHECKING:
    from controller.core.cycle import Cycle
    from controller.core.observation import Observation, Tick
    from controller.core.timeline import Timeline

# A wish without an end is asked for again after this long; nothing depends on it.
_NO_CHANGE_MS = 86_400_000


class Wish(NamedTuple):
    """A wanted state, why, and the tick at which the wish must be asked for again; where plants
    ask for a rest, when that is over."""

    is_on: bool
    reason: Reason
    look: Tick
    rests_until: Tick | None = None


def by_timeline(timeline: Timeline, seen: Observation, why: Why, detail: str) -> Wish:
    """What a timeline says, its spans on demand by their fixed cycles, on a trusted clock."""
    piece, is_on, until, is_change = timeline.glance(seen.now)
    if piece.span < 0:
        why = Why.NO_SPAN
    reason = made(Reason, (why, piece, detail, until if is_change else None))
    # At a border of spans the reason changes even where the state does not.
    look = min(until, piece.end)
    return made(Wish, (is_on, reason, seen.tick + look - seen.now, None))


def by_ticks(cycle: Cycle, began: Tick, reason: Reason, seen: Observation) -> Wish:
    """What a cycle says that runs on the monotonic clock since a tick."""
    elapsed_ms = seen.tick - began
    is_on, change_ms = cycle.look_ms(elapsed_ms)
    if change_ms is None:
        return Wish(is_on, reason, seen.tick + _NO_CHANGE_MS)
    look = began + change_ms
    return Wish(is_on, reason._replace(until=seen.now + look - seen.tick), look)
