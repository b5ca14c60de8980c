"""Where a load did not do what its plan ordered, and which rule was why."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.orders import Why
from controller.core.units import MINUTE_MS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from controller.core.journal_history import State, Stretch
    from controller.core.timeline import Timeline
    from controller.core.units import Instant

AWAY = "controller away"
# Starts kept apart, and a border between spans, move a switching by less, every day.
NOTABLE_MS = MINUTE_MS
# A variant is the plan's own will.
_AS_PLANNED = frozenset(
    {Why.VARIANT.value, Why.DEMAND.value, Why.SHORTEST_ON.value, Why.SHORTEST_OFF.value}
)


class Difference(NamedTuple):
    """The plan ordered one state and the load was in the other, or nobody knows in which. `why`
    is the rule that decided (`orders.Why` as text), `AWAY`, or "" where entries do not say."""

    start: Instant
    end: Instant
    is_ordered_on: bool
    why: str


class _Piece(NamedTuple):
    """A state that is known (on or off), or not."""

    start: Instant
    end: Instant
    is_on: bool | None
    why: str


def differences(
    states: Sequence[State],
    away: Iterable[Stretch],
    timeline: Timeline,
    *,
    since: Instant,
    until: Instant,
) -> list[Difference]:
    """The notable differences within [since, until), in time order."""
    if since >= until:
        return []
    pieces = [_Piece(*state) for state in states]
    pieces += [_Piece(start, end, None, AWAY) for start, end in away]
    found: list[Difference] = []
    ordered = _ordered(timeline, since, until)
    place = 0
    for piece in sorted(pieces, key=lambda one: (one.start, one.end)):
        start, end = max(piece.start, since), min(piece.end, until)
        while place < len(ordered) and ordered[place][1] <= start:
            place += 1
        for begin, finish, is_on in ordered[place:]:
            if begin >= end:
                break
            if _differs(piece, is_ordered_on=is_on) and not _is_by_demand(piece, timeline, begin):
                why = "" if piece.why == Why.PLAN.value else piece.why
                _add(found, Difference(max(start, begin), min(end, finish), is_on, why))
    return [one for one in found if one.end - one.start >= NOTABLE_MS]


def _ordered(
    timeline: Timeline, since: Instant, until: Instant
) -> list[tuple[Instant, Instant, bool]]:
    """What the plan orders, stretch by stretch."""
    found = []
    begin, is_on = since, timeline.state_at(since)
    for at, following in timeline.changes(since, until):
        found.append((begin, at, is_on))
        begin, is_on = at, following
    found.append((begin, until, is_on))
    return found


def _differs(piece: _Piece, *, is_ordered_on: bool) -> bool:
    if piece.is_on is None:  # what did not run is missed only where it was to run
        return is_ordered_on
    return piece.is_on is not is_ordered_on and piece.why not in _AS_PLANNED


def _is_by_demand(piece: _Piece, timeline: Timeline, instant: Instant) -> bool:
    """Whether the plan itself decided in a span on demand: an entry tells the reason of its
    switching only, and a demand may have taken over what the fixed cycle began."""
    if not timeline.demands or piece.is_on is None or piece.why not in ("", Why.PLAN.value):
        return False
    return timeline.demand_of(timeline.piece_at(instant)) is not None


def _add(found: list[Difference], one: Difference) -> None:
    if one.start >= one.end:
        return
    last = found[-1] if found else None
    if last and (last.end, last.is_ordered_on, last.why) == (one.start, *one[2:]):
        found[-1] = last._replace(end=one.end)
    else:
        found.append(one)
