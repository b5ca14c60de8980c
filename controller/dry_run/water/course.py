"""What one plant of a stand wants to drink through a run, hour by hour.

Between two edges (hours of the air, cut at the ends of the run) the demand is constant, but
for lamps: a stand under lamps has one demand while they are lit and another in the dark. A
plant's age is that of the local date on which the hour begins.
"""

from __future__ import annotations

from array import array
from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from controller.core.units import Instant, day_number
from controller.core.water.transpiration import LeafHour

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date

    from controller.core.calendar import Calendar
    from controller.core.demand.present_air import AirFelt
    from controller.core.stands import StandFacts
    from controller.core.timeline import Timeline
    from controller.core.water.bounds import Bounds

_S_PER_H = 3600.0
_MS_PER_S = 1000.0
_ML_PER_L = 1000.0

# The corners of a stand, in this order everywhere: the driest roots have the highest demand.
CORNERS = ("driest", "likely", "wettest")
DRIEST, LIKELY, WETTEST = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Rates:
    """A demand of each corner between any edge and the next, mL/s."""

    driest: array[float]
    likely: array[float]
    wettest: array[float]

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
        return [
            max(max(dark), max(lit))
            for dark, lit in zip(self.dark.corners, self.lit.corners, strict=True)
        ]

    def at(self, instant: Instant) -> int:
        """The place of the hour that an instant lies in; of an edge, of the hour after it."""
        return bisect_right(self.edges, instant) - 1

    def litres(self, plants: int, lit_shares: Sequence[float]) -> list[list[float]]:
        """What so many plants want between any edge and the next, L, for each corner.

        `lit_shares` has for how much of each such time the lamps are lit, 0 to 1.
        """
        lengths_s = [(end - start) / _MS_PER_S for start, end in pairwise(self.edges)]
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
    dates = _dates(edges, calendar)
    rates = _rates(facts, dates, hours, lit_share=0.0)
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
    dates = _dates(edges, calendar)
    hour = LeafHour.indoors(temperature_c=air_c, humidity_pct=humidity_pct)
    hours = [hour] * len(dates)
    return Course(
        edges=edges,
        dark=_rates(facts, dates, hours, lit_share=0.0),
        lit=_rates(facts, dates, hours, lit_share=1.0),
    )


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


def _dates(edges: Sequence[Instant], calendar: Calendar) -> list[date]:
    """The local date on which each time between two edges begins."""
    number = day_number(calendar.date_of(edges[0]))
    dates, day, midnight = [], calendar.date_of(edges[0]), calendar.midnight(number + 1)
    for start in edges[:-1]:
        if start >= midnight:
            day = calendar.date_of(start)
            number = day_number(day)
            midnight = calendar.midnight(number + 1)
        dates.append(day)
    return dates


def _rates(
    facts: StandFacts, dates: Sequence[date], hours: Sequence[LeafHour], *, lit_share: float
) -> Rates:
    rates = Rates(array("d"), array("d"), array("d"))
    day, leaves = None, None
    hour_before: LeafHour | None = None
    drinks: Bounds | None = None
    for date_, hour in zip(dates, hours, strict=True):
        if date_ != day:
            day = date_
            age_days = facts.age_days_on(date_)
            leaves_now = None if age_days is None else facts.leaves_at(age_days)
            if leaves_now != leaves:
                leaves, hour_before = leaves_now, None
        if hour is not hour_before:  # a room's hours are all alike
            hour_before = hour
            drinks = (
                None if leaves is None else leaves.transpiration_ml_per_h(hour, lit_share=lit_share)
            )
        low, likely, high = (0.0, 0.0, 0.0) if drinks is None else drinks
        rates.driest.append(high / _S_PER_H)
        rates.likely.append(likely / _S_PER_H)
        rates.wettest.append(low / _S_PER_H)
    return rates
