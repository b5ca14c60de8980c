"""How long a load may water and rest: what the plan states, and what is good practice else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from controller.core.plan_parts.spans import SHORTEST_WATERING_MS
from controller.core.units import HOUR_MS, MINUTE_MS, SECOND_MS, duration_text

if TYPE_CHECKING:
    from controller.core.plan import Load

# Waterings that growers set, of mist and of columns, s. Common practice, no source.
_LADDER_S = (10, 20, 30, 60, 120, 180, 300, 480, 600, 900, 1200, 1800, 2700, 3600)
# Where the plan states no longest dry gap: no rest above an hour, since a pump that has failed
# is found late then. Common practice, no source.
LONGEST_REST_MS = HOUR_MS
_LONGEST_WATERING_MS = HOUR_MS


@dataclass(frozen=True, slots=True, kw_only=True)
class Lengths:
    """The waterings to be tried, shortest first, and between what the rests lie, in whole
    minutes; ms all. The words say for each edge whence it comes."""

    waterings_ms: tuple[int, ...]
    shortest_rest_ms: int
    longest_rest_ms: int
    watering_words: str
    shortest_rest_words: str
    longest_rest_words: str


def lengths_of(load: Load) -> Lengths:
    """The lengths that a load of a plan may have.

    A watering shorter than three minutes is tried only where the plan has such ones, or the load
    may run no longer: the water must first reach the lowest roots, which models do not know of.
    """
    longest_ms = _LONGEST_WATERING_MS if load.longest_on is None else load.longest_on
    cycles = [span.cycle for span in load.spans]
    present = [cycle.watering_ms for cycle in cycles if cycle.watering_ms]
    usual_ms = min([SHORTEST_WATERING_MS, *present])
    shortest_ms = min(longest_ms, max(usual_ms, load.shortest_on))
    wanted = {shortest_ms, *(n * SECOND_MS for n in _LADDER_S), *present}
    within = sorted(ms for ms in wanted if shortest_ms <= ms <= longest_ms)
    gap_ms = load.limits.longest_dry_gap
    shortest_rest_ms = max(MINUTE_MS, _up(load.shortest_off))
    if gap_ms is None:
        rests = [cycle.dry_gap_ms for cycle in cycles if cycle.dry_gap_ms is not None]
        longest_rest_ms = max([LONGEST_REST_MS, shortest_rest_ms, *map(_down, rests)])
        longest_words = f"{duration_text(longest_rest_ms)}, as the plan states no longest_dry_gap"
    else:
        longest_rest_ms = _down(gap_ms)
        longest_words = f"limits.longest_dry_gap = {duration_text(gap_ms)}"
    return Lengths(
        waterings_ms=tuple(within),
        shortest_rest_ms=shortest_rest_ms,
        longest_rest_ms=longest_rest_ms,
        watering_words="an hour, as the plan states no longest_on"
        if load.longest_on is None
        else f"longest_on = {duration_text(load.longest_on)}",
        shortest_rest_words=f"shortest_off = {duration_text(load.shortest_off)}"
        if load.shortest_off > MINUTE_MS
        else "a minute, the shortest rest that is looked at",
        longest_rest_words=longest_words,
    )


def _up(length_ms: int) -> int:
    return -(-length_ms // MINUTE_MS) * MINUTE_MS


def _down(length_ms: int) -> int:
    return length_ms // MINUTE_MS * MINUTE_MS
