"""What one plant of a stand wants to drink through a run, hour by hour.

Between two edges (hours of the air, cut at the ends of the run) the demand is constant, but
for lamps: a stand under lamps has one demand while they are lit and another in the dark. A
plant's age is that of the local date on which the hour begins.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from itertools import pairwise
from operator import mul
from typing import TYPE_CHECKING

from controller.core.units import Instant, day_number
from controller.core.water.bounds import Bounds
from controller.core.water.leaf_hour import LeafHour

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from controller.core.calendar import Calendar
    from controller.core.demand.present_air import AirFelt
    from controller.core.stands import StandFacts
    from controller.core.timeline import Timeline
    from controller.core.water.transpiration import Leaves

_S_PER_H = 3600.0
_MS_PER_S = 1000.0
_ML_PER_L = 1000.0

# The corners of a stand, in this order everywhere: the driest roots have the highest demand.
CORNERS = ("driest", "likely", "wettest")
DRIEST, LIKELY, WETTEST = 0, 1, 2

_NOTHING = Bounds(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Rates:
    """A demand of each corner between any edge and the next, mL/s."""

    driest: array[float]
    likely: array[float]
    wettest: array[float]

    @classmethod
    def none(cls) -> Rates:
        """Those of no hour yet."""
        return cls(array("d"), array("d"), array("d"))

    def extend(
        self, driest: Sequence[float], likely: Sequence[float], wettest: Sequence[float]
    ) -> None:
        """So much in each of the following hours, mL/h."""
        for rates, more in zip(self.corners, (driest, likely, wettest), strict=True):
            rates.extend([ml_per_h / _S_PER_H for ml_per_h in more])

    @property
    def corners(self) -> tuple[array[float], array[float], array[float]]:
        """All three, in the order of `CORNERS`."""
        return self.driest, self.likely, self.wettest


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A stand's demand through a run.

    `dark` holds while its lamps are off, `lit` while they are on; the same where no lamps
    matter. `edges` rise from the start of the run to its end.
    """

    edges: Sequence[Instant]
    dark: Rates
    lit: Rates

    def thirstiest_ml_per_s(self) -> list[float]:
        """The highest demand of each corner in the run."""
        highest = [max(rates) for rates in self.dark.corners]
        if self.lit is not self.dark:
            highest = list(map(max, highest, map(max, self.lit.corners)))
        return highest

    def at(self, instant: Instant) -> int:
        """The place of the hour that an instant lies in; of an edge, of the hour after it."""
        return bisect_right(self.edges, instant) - 1

    def litres(self, plants: int, lit_shares: Sequence[float]) -> list[list[float]]:
        """What so many plants want between any edge and the next, L, for each corner.

        `lit_shares` has for how much of each such time the lamps are lit, 0 to 1.
        """
        lengths_s = [(end - start) / _MS_PER_S for start, end in pairwise(self.edges)]
        if self.lit is self.dark:  # no lamps matter
            return [
                [wanted_ml * plants / _ML_PER_L for wanted_ml in map(mul, rates, lengths_s)]
                for rates in self.dark.corners
            ]
        return [
            [
                (dark + (lit - dark) * share) * length_s * plants / _ML_PER_L
                for dark, lit, share, length_s in zip(
                    *of_corner, lit_shares, lengths_s, strict=True
                )
            ]
            for of_corner in zip(self.dark.corners, self.lit.corners, strict=True)
        ]


def course_of(
    facts: StandFacts,
    *,
    room: AirFelt,
    edges: Sequence[Instant],
    hours: Callable[[], Sequence[LeafHour]],
    calendar: Calendar,
) -> Course:
    """The demand of a stand in its surroundings: under lamps by the air of its room, elsewhere by
    the hours of air, which are asked for there alone."""
    if facts.foliage.place == "under-lamps":
        return lamp_course(
            facts,
            air_c=room.temperature_c,
            humidity_pct=room.humidity_pct,
            edges=edges,
            calendar=calendar,
        )
    return open_course(facts, edges=edges, hours=hours(), calendar=calendar)


def open_course(
    facts: StandFacts,
    *,
    edges: Sequence[Instant],
    hours: Sequence[LeafHour],
    calendar: Calendar,
) -> Course:
    """The demand of a stand outdoors or under glass in these hours of air."""
    rates = Rates.none()
    for leaves, first, last in _growth(facts, edges, calendar):
        if leaves is None:
            nothing = [0.0] * (last - first)
            rates.extend(nothing, nothing, nothing)
        else:
            low, likely, high = leaves.under_the_sky_ml_per_h(hours[first:last])
            rates.extend(high, likely, low)
    return Course(edges=edges, dark=rates, lit=rates)


def lamp_course(
    facts: StandFacts,
    *,
    air_c: float,
    humidity_pct: float,
    edges: Sequence[Instant],
    calendar: Calendar,
) -> Course:
    """The demand of a stand under lamps, in a room that is kept at that air."""
    hour = LeafHour.indoors(temperature_c=air_c, humidity_pct=humidity_pct)
    dark, lit = Rates.none(), Rates.none()
    for leaves, first, last in _growth(facts, edges, calendar):
        for rates, lit_share in ((dark, 0.0), (lit, 1.0)):
            drinks = _NOTHING
            if leaves is not None:
                drinks = leaves.transpiration_ml_per_h(hour, lit_share=lit_share)
            low, likely, high = ([ml_per_h] * (last - first) for ml_per_h in drinks)
            rates.extend(high, likely, low)
    return Course(edges=edges, dark=dark, lit=lit)


def lit_shares(lamp: Timeline | None, edges: Sequence[Instant]) -> list[float]:
    """For how much of each time between two edges a lamp's own spans have it lit, 0 to 1; without
    a lamp for none of it."""
    if lamp is None:
        return [0.0] * (len(edges) - 1)
    lit_ms = [0] * (len(edges) - 1)
    since, is_lit = edges[0], lamp.state_at(edges[0])
    changes = [*lamp.changes(edges[0], edges[-1]), (edges[-1], False)]
    place = 0
    for instant, is_on in changes:
        while is_lit and since < instant:
            while edges[place + 1] <= since:
                place += 1
            until = min(instant, edges[place + 1])
            lit_ms[place] += until - since
            since = until
        since, is_lit = instant, is_on
    return [
        length_ms / (end - start)
        for length_ms, (start, end) in zip(lit_ms, pairwise(edges), strict=True)
    ]


def _growth(
    facts: StandFacts, edges: Sequence[Instant], calendar: Calendar
) -> Iterator[tuple[Leaves | None, int, int]]:
    """The leaves of a stand through all times between two edges: from the place of the first to
    before that of the last that has them; None before sowing."""
    first, count = 0, len(edges) - 1
    while first < count:
        today, last = calendar.date_of(edges[first]), count
        if facts.sown is not None:  # a day older at midnight
            midnight = calendar.midnight(day_number(today) + 1)
            last = bisect_left(edges, midnight, first + 1, count)
        age_days = facts.age_days_on(today)
        yield None if age_days is None else facts.leaves_at(age_days), first, last
        first = last
