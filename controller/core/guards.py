"""Guards: what overrides plan and people to protect people, plants, pumps and the supply.

Each answers one question about one load from the world as observed, and trusts nothing
that the decision worked out. They come in three groups: what forbids a load to be on,
what keeps it from starting just now, and what keeps it from stopping just now.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.orders import Why

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from controller.core.memory import LoadMemory
    from controller.core.observation import Reading, Tick
    from controller.core.plan import Guards
    from controller.core.schedule import LoadSchedule

# A pump that saw no flow tries again with the first watering after this time, or at its end
# where the plan waters without a break. Ours: short against a root's hour, long for a motor.
FLOW_RETRY_MS = 900_000


# The least rest of a load that has been on for as long as it may, where the plan states a
# shorter one: off must be a state, not a flicker.
_LEAST_REST_MS = 1_000

# A load that waits for longer than this for its turn or for watts is told as kept waiting. Ours:
# longer than the turns that loads give one another at the trade's quarters and half hours,
# short enough that a fan or a lamp which never gets its watts is not found by chance.
WAIT_MS_MAX = 3_600_000

# Watts are sums of decimal fractions (0.1 + 0.2 is not 0.3): what exceeds a limit by less
# than a microwatt does not.
_WATTS_ROUNDING = 1e-6


_NEVER: int = 10**15  # a tick that does not come


class Verdict(NamedTuple):
    """A guard's objection: which, by which sensor or neighbour, and when to ask again.

    `ask_again` is None where only another event can lift it.
    """

    why: Why
    detail: str = ""
    ask_again: Tick | None = None


def forbids_on(
    load: LoadSchedule,
    memory: LoadMemory,
    known: Mapping[str, float],
    *,
    readings: Mapping[str, Reading] | None,
    is_leak_latched: bool,
    tick: Tick,
) -> Verdict | None:
    """Whether water or its want forbids the load to be on at all.

    A level or flow that is not known forbids nothing: a silent sensor raises its alarm,
    and the roots are wetted all the same.
    """
    if load.leak is not None and (is_leak_latched or known.get(load.leak, 0.0) >= 1.0):
        return Verdict(Why.LEAK, load.leak)
    if load.level is not None and known.get(load.level, 1.0) < 1.0:
        return Verdict(Why.LEVEL_LOW, load.level)
    if load.flow is None:
        return None
    if memory.flow_retry is not None and tick < memory.flow_retry:
        return Verdict(Why.NO_FLOW, load.flow, memory.flow_retry)
    meter = None if readings is None else readings.get(load.flow)
    if meter is not None and load.flow in known and sees_no_flow(load, memory, meter, tick):
        return Verdict(Why.NO_FLOW, load.flow)
    return None


def sees_no_flow(load: LoadSchedule, memory: LoadMemory, meter: Reading, tick: Tick) -> bool:
    """Whether a pump has run for as long as water needs to arrive, and none has since: a
    meter read before that tells nothing of this watering."""
    arrived = memory.since + load.flow_within_ms
    return memory.is_on and arrived <= tick and arrived <= meter.taken and meter.value <= 0.0


def ends_on(load: LoadSchedule, memory: LoadMemory, tick: Tick) -> Verdict | None:
    """Whether the load has been on for as long as it ever may."""
    if load.longest_on_ms is None or tick - memory.since < load.longest_on_ms:
        return None
    return Verdict(Why.LONGEST_ON)


def rest_ms(load: LoadSchedule, why: Why) -> int:
    """How long a load that is off for that reason must stay off, for its own sake."""
    if why is Why.LONGEST_ON:
        return max(load.shortest_off_ms, _LEAST_REST_MS)
    return load.shortest_off_ms


def delays_start(
    load: LoadSchedule,
    memory: LoadMemory,
    guards: Guards,
    *,
    starts: Sequence[Tick],
    watts_on: float,
    tick: Tick,
) -> Verdict | None:
    """Whether the load must wait before it starts: for its own rest, for others' inrush,
    for watts to be free."""
    rested = memory.since + rest_ms(load, memory.reason.why)
    if tick < rested:
        return Verdict(Why.SHORTEST_OFF, "", rested)
    if guards.starts_apart and len(starts) >= guards.starts_together:
        free = starts[-guards.starts_together] + guards.starts_apart
        if tick < free:
            return Verdict(Why.STARTS_APART, "", free)
    if guards.watts_at_once is not None and exceeds(watts_on + load.watts, guards.watts_at_once):
        return Verdict(Why.WATTS_AT_ONCE)
    return None


def exceeds(watts: float, watts_max: float) -> bool:
    """Whether a sum of watts is more than may be at once."""
    return watts > watts_max + _WATTS_ROUNDING


def overloads(
    loads: Sequence[LoadSchedule], memories: Sequence[LoadMemory], watts_max: float
) -> list[int]:
    """The places of the loads that are on and for which there are not watts enough, those
    of the first in the plan taken off."""
    carried = 0.0
    over = []
    for place, (load, memory) in enumerate(zip(loads, memories, strict=True)):
        if not memory.is_on:
            continue
        if exceeds(carried + load.watts, watts_max):
            over.append(place)
        else:
            carried += load.watts
    return over


def is_kept_waiting(memory: LoadMemory, tick: Tick) -> bool:
    """Whether a load has waited for its turn or for watts for too long."""
    return memory.waits_since is not None and tick - memory.waits_since >= WAIT_MS_MAX


def delays_stop(load: LoadSchedule, memory: LoadMemory, tick: Tick) -> Verdict | None:
    """Whether the load must stay on a moment longer for its own sake."""
    done = memory.since + load.shortest_on_ms
    return Verdict(Why.SHORTEST_ON, "", done) if tick < done else None


def next_check(load: LoadSchedule, *, since: Tick, tick: Tick) -> Tick:
    """When a load that is on since then must be looked at for its own sake: when water must
    have arrived, when it has been on for long enough."""
    check = _NEVER if load.longest_on_ms is None else since + load.longest_on_ms
    if load.flow is not None and tick < since + load.flow_within_ms:
        return min(check, since + load.flow_within_ms)
    return check
