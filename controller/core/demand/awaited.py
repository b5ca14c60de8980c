"""The pace of a pump on demand whose sensors have not spoken yet: after a start, or under a plan
with other settings for them, their readings are on their way.

Meanwhile it goes by the lengths of the fixed cycle and not by the clock, and a rest or watering
that runs goes on as it was told: nothing switches for a reading that is late by a moment.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import length_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.cycle import Cycle
    from controller.core.demand.drinker import Drinker
    from controller.core.demand.signs import Signs
    from controller.core.memory import LoadMemory
    from controller.core.plan_parts.spans import DemandBounds
    from controller.core.units import Instant


class AwaitedPace(NamedTuple):
    """How long to rest and to water meanwhile, within the plan's bounds; `sensors` are those that
    are awaited."""

    rest_ms: int
    wet_ms: int
    bounds: DemandBounds
    sensors: Sequence[str]

    def watering_ms(self, rested_ms: int) -> int:
        """How long a watering lasts, after whatever rest."""
        del rested_ms
        return self.wet_ms

    def rest_words(
        self, length_ms: int | None, *, usual_ms: int | None, is_of_next_span: bool = False
    ) -> str:
        """Why it rests for so long; takes what `Pace` takes."""
        del usual_ms
        return self._words("rest", length_ms, is_of_next_span=is_of_next_span)

    def watering_words(
        self, length_ms: int | None, *, rested_ms: int | None, is_of_next_span: bool = False
    ) -> str:
        """Why it waters for so long; takes what `Pace` takes."""
        del rested_ms
        return self._words("watering", length_ms, is_of_next_span=is_of_next_span)

    def _words(self, what: str, length_ms: int | None, *, is_of_next_span: bool) -> str:
        of = "without an end in sight" if length_ms is None else f"of {length_words(length_ms)}"
        because = ", as the next span has it" if is_of_next_span else ""
        have = "has" if len(self.sensors) == 1 else "have"
        return f"{what} {of}{because}: {' and '.join(self.sensors)} {have} not spoken yet"


def awaited_pace(
    drinkers: Sequence[Drinker],
    bounds: DemandBounds,
    cycle: Cycle,
    memory: LoadMemory,
    *,
    instant: Instant,
    signs: Signs,
) -> AwaitedPace | None:
    """What a load does until the sensors of its stands have spoken; None where that would tell
    nothing, because one of them is silent or nothing is sown.

    Args:
        drinkers: the stands.
        bounds: of the plan; what was told before keeps to them too.
        cycle: the fixed one.
        memory: the load's.
        instant: now.
        signs: what the stands are asked by.
    """
    names = frozenset[str]().union(*(one.sensors for one in drinkers))
    unheard = sorted(name for name in names if name not in signs.known)
    if not unheard or not all(name in signs.awaited for name in unheard):
        return None
    if not any(one.is_sown(instant) for one in drinkers):
        return None
    rest_ms, wet_ms = cycle.dry_gap_ms, cycle.watering_ms
    if rest_ms is None or wet_ms is None:
        return None
    piece = memory.reason.piece
    if memory.is_on and piece is not None and piece.watering_ms is not None:
        wet_ms = piece.watering_ms
    elif not memory.is_on and memory.rests_until is not None and memory.watered is not None:
        rest_ms = memory.rests_until - memory.watered
    return AwaitedPace(
        max(bounds.shortest_rest_ms, min(rest_ms, bounds.longest_rest_ms)),
        max(bounds.shortest_watering_ms, min(wet_ms, bounds.longest_watering_ms)),
        bounds,
        unheard,
    )
