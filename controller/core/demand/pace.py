"""The pace of a pump on demand: how long it rests and waters just now, and why.

The pace is reckoned anew at fixed instants, `REVIEW_MS` apart, and whenever a reading
changes; in between it stands. So what a load does is the same however often it is asked.
"""

from __future__ import annotations

from math import ceil, inf
from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import MINUTE_MS, SECOND_MS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from controller.core.demand.drinker import Drinker, Thirst
    from controller.core.plan_parts.spans import DemandBounds
    from controller.core.units import Instant

# The sun moves by a degree in four minutes, and air no faster: ours.
REVIEW_MS = 5 * MINUTE_MS


class Pace(NamedTuple):
    """How long to rest and to water, ms, within the plan's bounds; `air_words` say in what air,
    and how long roots hold in it."""

    rest_ms: int
    watering_ms: int
    bounds: DemandBounds
    air_words: str

    def words(self, *, is_on: bool, usual_ms: int | None) -> str:
        """Why it waters or rests for so long.

        `rest cut to 9 min: 33 °C, 41 % humidity, roots hold 18 min`; `usual_ms` is the rest of
        the fixed cycle, None where that has none.
        """
        if is_on:
            watering, rest = _length_words(self.watering_ms), _length_words(self.rest_ms)
            limit = ""
            if self.watering_ms == self.bounds.longest_watering_ms:
                limit = ", the longest that the plan allows,"
            return f"watering of {watering}{limit} after rests of {rest}: {self.air_words}"
        change = "of"
        if usual_ms is not None and usual_ms != self.rest_ms:
            change = "cut to" if self.rest_ms < usual_ms else "stretched to"
        limit = ""
        if self.rest_ms == self.bounds.shortest_rest_ms:
            limit = ", the shortest that the plan allows"
        elif self.rest_ms == self.bounds.longest_rest_ms:
            limit = ", the longest that the plan allows"
        return f"rest {change} {_length_words(self.rest_ms)}{limit}: {self.air_words}"


def review_of(instant: Instant) -> Instant:
    """The last instant, not after this one, at which a pace is reckoned anew."""
    return instant - instant % REVIEW_MS


def pace_of(
    drinkers: Sequence[Drinker],
    bounds: DemandBounds,
    *,
    instant: Instant,
    known: Mapping[str, float],
    rested_ms: int = 0,
) -> Pace | None:
    """The pace for all stands on one pump: the thirstiest tells the rest, the one that takes
    longest to refill the watering. No rest is longer than the longest watering makes good for.

    None while any of them does not know its air, or where none is sown: then nothing can be
    told.

    Args:
        drinkers: the stands.
        bounds: of the plan; the pace never leaves them.
        instant: when; only its review counts.
        known: the fresh value of each sensor.
        rested_ms: how long the roots have rested; a watering makes good for all of a rest that
            something drew out.
    """
    reviewed = review_of(instant)
    thirsts: list[Thirst] = []
    for drinker in drinkers:
        thirst = drinker.thirst(reviewed, known)
        if thirst is not None:
            thirsts.append(thirst)
        elif not drinker.knows_its_air(known):
            return None
    if not thirsts:
        return None
    longest_s = bounds.longest_watering_ms / SECOND_MS
    rests_s = [thirst.rest_s for thirst in thirsts]
    rest_s = min(*rests_s, *(thirst.made_good_s(longest_s) for thirst in thirsts))
    rest_ms = _within(rest_s, bounds.shortest_rest_ms, bounds.longest_rest_ms, round_up=False)
    dry_s = max(rest_ms, rested_ms) / SECOND_MS
    watering_ms = _within(
        max(thirst.refill_s(dry_s) for thirst in thirsts),
        bounds.shortest_watering_ms,
        bounds.longest_watering_ms,
        round_up=True,
    )
    thirstiest = thirsts[rests_s.index(min(rests_s))]
    return Pace(rest_ms, watering_ms, bounds, _air_words(thirstiest))


def _within(length_s: float, least_ms: int, most_ms: int, *, round_up: bool) -> int:
    """A length in whole seconds between its bounds, ms."""
    if length_s == inf:
        return most_ms
    whole_s = ceil(length_s) if round_up else int(length_s)
    return max(least_ms, min(most_ms, whole_s * SECOND_MS))


def _length_words(length_ms: int) -> str:
    """A length in whole minutes, and in seconds where it is shorter than two: `9 min`, `75 s`."""
    seconds = length_ms // SECOND_MS
    return f"{seconds} s" if seconds < 120 else f"{round(seconds / 60)} min"


def _air_words(thirst: Thirst) -> str:
    """The air, and how long roots hold in it: `33 °C, 41 % humidity, roots hold 18 min`."""
    felt = thirst.felt
    air = f"{felt.temperature_c:z.0f} °C, {felt.humidity_pct:.0f} % humidity"
    lasts_s = thirst.lasts_s
    if lasts_s == inf:
        return f"{air}, roots lose nothing"
    minutes = int(lasts_s / 60)
    hold = f"{minutes} min" if minutes < 120 else f"{minutes // 60} h"
    return f"{air}, roots hold {hold}"
