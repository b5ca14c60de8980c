"""The pace of a pump on demand: how long it rests and waters just now, and why.

The pace is reckoned anew at fixed instants, `REVIEW_MS` apart, and whenever a reading
changes; in between it stands. So what a load does is the same however often it is asked.
"""

from __future__ import annotations

from math import ceil, inf
from operator import itemgetter
from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import MINUTE_MS, SECOND_MS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.demand.drinker import Drinker
    from controller.core.demand.signs import Signs
    from controller.core.demand.thirst import Thirst
    from controller.core.plan_parts.spans import DemandBounds
    from controller.core.units import Instant

# The sun moves by a degree in four minutes, and air no faster: ours.
REVIEW_MS = 5 * MINUTE_MS


class Pace(NamedTuple):
    """How long to rest and to water, within the plan's bounds.

    `rest_ms` is for the thirstiest of the stands, whose `thirsts` those of all are; `air_words`
    say in what air, and how long its roots hold in it. `is_watering_short` tells that the rest is
    as long as the longest watering makes good for, though roots would hold for longer.
    """

    rest_ms: int
    thirsts: Sequence[Thirst]
    bounds: DemandBounds
    air_words: str
    is_watering_short: bool

    def watering_ms(self, rested_ms: int) -> int:
        """How long a watering lasts after so long a rest, or after the pace's own where that is
        longer: until those roots are full that take longest to refill. A watering makes good for
        all of a rest that something drew out."""
        dry_s = max(self.rest_ms, rested_ms) / SECOND_MS
        return _within(
            max(thirst.refill_s(dry_s) for thirst in self.thirsts),
            self.bounds.shortest_watering_ms,
            self.bounds.longest_watering_ms,
            round_up=True,
        )

    def rest_words(
        self, length_ms: int | None, *, usual_ms: int | None, is_of_next_span: bool = False
    ) -> str:
        """Why it rests for so long: `rest cut to 9 min: 33 °C, 41 % humidity, roots hold 18 min`.

        Args:
            length_ms: of the whole rest; None where no end of it is in sight. It is shorter than
                the pace has it where readings were such before: no rest is drawn out.
            usual_ms: the rest of the fixed cycle, None where that has none.
            is_of_next_span: whether it ends as the span that follows has it.
        """
        if length_ms is None:
            return f"rest without an end in sight, as the next span has it: {self.air_words}"
        length, now = _length_words(length_ms), ""
        change = "of"
        if usual_ms is not None and length != _length_words(usual_ms):
            change = "cut to" if length_ms < usual_ms else "stretched to"
        because = ""
        if is_of_next_span:
            because = ", as the next span has it"
        elif length_ms < self.rest_ms and length != _length_words(self.rest_ms):
            because, now = ", as set before", "now "
        elif length_ms == self.bounds.shortest_rest_ms:
            because = ", the shortest that the plan allows"
        elif length_ms == self.bounds.longest_rest_ms:
            because = ", the longest that the plan allows"
        elif self.is_watering_short:
            because = ", as much as the longest watering makes good for"
        return f"rest {change} {length}{because}: {now}{self.air_words}"

    def watering_words(
        self, length_ms: int | None, *, rested_ms: int | None, is_of_next_span: bool = False
    ) -> str:
        """Why it waters for so long: `watering of 5 min after a rest of 9 min: 33 °C, 41 %
        humidity, roots hold 18 min`.

        Args:
            length_ms: of the whole watering; None where no end of it is in sight.
            rested_ms: how long the roots had rested before it, None where nobody knows.
            is_of_next_span: whether it ends as the span that follows has it.
        """
        after = "with no rest known before it"
        if rested_ms is not None:
            after = f"after a rest of {_length_words(rested_ms)}"
        because = ""
        if is_of_next_span:
            because = ", as the next span has it,"
        elif length_ms == self.bounds.longest_watering_ms:
            because = ", the longest that the plan allows,"
        elif length_ms == self.bounds.shortest_watering_ms:
            because = ", the shortest that the plan allows,"
        of = "without an end in sight" if length_ms is None else f"of {_length_words(length_ms)}"
        return f"watering {of}{because} {after}: {self.air_words}"


def review_of(instant: Instant) -> Instant:
    """The last instant, not after this one, at which a pace is reckoned anew."""
    return instant - instant % REVIEW_MS


def pace_of(
    drinkers: Sequence[Drinker], bounds: DemandBounds, *, instant: Instant, signs: Signs
) -> Pace | None:
    """The pace for all stands on one pump: the thirstiest tells the rest, the one that takes
    longest to refill the watering. No rest is longer than the longest watering makes good for.

    None while any of them does not know its air, or where none is sown: then nothing can be
    told.

    Args:
        drinkers: the stands.
        bounds: of the plan; the pace never leaves them.
        instant: when; only its review counts.
        signs: what the stands are asked by.
    """
    reviewed = review_of(instant)
    thirsts: list[Thirst] = []
    for drinker in drinkers:
        thirst = drinker.thirst(reviewed, signs)
        if thirst is not None:
            thirsts.append(thirst)
        elif not drinker.knows_its_air(signs.known):
            return None
    if not thirsts:
        return None
    longest_s = bounds.longest_watering_ms / SECOND_MS
    # Of each how long it may rest, and whether its roots would hold for longer.
    rests = [_rest_of(thirst, longest_s) for thirst in thirsts]
    (rest_s, is_watering_short), thirstiest = min(
        zip(rests, thirsts, strict=True), key=itemgetter(0)
    )
    rest_ms = _within(rest_s, bounds.shortest_rest_ms, bounds.longest_rest_ms, round_up=False)
    return Pace(rest_ms, thirsts, bounds, _air_words(thirstiest), is_watering_short)


def _rest_of(thirst: Thirst, longest_watering_s: float) -> tuple[float, bool]:
    """How long one stand may rest, s, and whether that is for want of a longer watering."""
    made_good_s = thirst.made_good_s(longest_watering_s)
    return min(thirst.rest_s, made_good_s), made_good_s < thirst.rest_s


def _within(length_s: float, least_ms: int, most_ms: int, *, round_up: bool) -> int:
    """A length in whole seconds between its bounds, ms."""
    if length_s == inf:
        return most_ms
    whole_s = ceil(length_s) if round_up else int(length_s)
    return max(least_ms, min(most_ms, whole_s * SECOND_MS))


def _length_words(length_ms: int) -> str:
    """A length as exact as it matters: `75 s` below two minutes, `9 min`, `2 h 30 min`, `12 h`."""
    seconds = length_ms // SECOND_MS
    if seconds < 120:
        return f"{seconds} s"
    minutes = round(seconds / 60)
    if minutes < 120:
        return f"{minutes} min"
    hours, left = divmod(minutes, 60)
    if hours >= 10:
        return f"{round(seconds / 3600)} h"
    return f"{hours} h {left} min" if left else f"{hours} h"


def _air_words(thirst: Thirst) -> str:
    """The air, and how long roots hold in it: `33 °C, 41 % humidity, roots hold 18 min`."""
    felt = thirst.felt
    air = f"{felt.temperature_c:z.0f} °C, {felt.humidity_pct:.0f} % humidity"
    lasts_s = thirst.lasts_s
    if lasts_s == inf:
        return f"{air}, roots lose nothing"
    return f"{air}, roots hold {_length_words(int(lasts_s) * SECOND_MS)}"
