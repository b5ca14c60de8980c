"""What each span of a load must stand up to: the thirstiest hour of every stand in it.

Stores and models are monotone: roots that keep their reserve through the thirstiest hour of a
span, again and again, keep it through all of the span. So one hour tells of a whole summer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from controller.advice.courses import Wanted
    from controller.core.calendar import Calendar
    from controller.core.stands import StandFacts
    from controller.core.timeline import Timeline
    from controller.core.units import Instant
    from controller.core.water.root_stores import RootStores


@dataclass(slots=True)
class Need:
    """The thirstiest hour of a stand of one age in one span, mL/s a plant for each corner, the
    driest first; `day` is the local date of that hour for likely roots."""

    facts: StandFacts
    age_days: int
    stores: RootStores
    rates_ml_per_s: list[float]
    day: date


@dataclass(frozen=True, slots=True)
class SpanNeeds:
    """All needs of a span, by its place in the list of spans."""

    span: int
    needs: tuple[Need, ...]


def needs_of(
    timeline: Timeline,
    wanted: Sequence[Wanted],
    calendar: Calendar,
    *,
    start: Instant,
    end: Instant,
) -> list[SpanNeeds]:
    """The needs of each span that is in force during [start, end), in the plan's order.

    Args:
        timeline: of the load's own spans.
        wanted: of its stands, all over the same hours, which cover that time.
        calendar: of the site.
        start: when the time begins.
        end: when it ends.
    """
    edges = wanted[0].edges
    dates = [calendar.date_of(edge) for edge in edges[:-1]]
    places = _places(timeline, edges, start, end)
    found: list[SpanNeeds] = []
    for span in sorted(places):
        needs = [need for one in wanted for need in _of_stand(one, places[span], dates)]
        found.append(SpanNeeds(span, tuple(needs)))
    return found


def _places(
    timeline: Timeline, edges: Sequence[Instant], start: Instant, end: Instant
) -> dict[int, list[int]]:
    """The hours that each span touches, by its place in the list of spans."""
    places: dict[int, list[int]] = {}
    place = 0
    for piece in timeline.pieces(start, end):
        since, until = max(piece.start, start), min(piece.end, end)
        while edges[place + 1] <= since:
            place += 1
        touched = place
        of_span = places.setdefault(piece.span, [])
        while touched < len(edges) - 1 and edges[touched] < until:
            of_span.append(touched)
            touched += 1
    places.pop(-1, None)  # no span has started yet: nothing to advise on
    return places


def _of_stand(wanted: Wanted, places: Sequence[int], dates: Sequence[date]) -> list[Need]:
    """One need for each age of the stand; none before it is sown."""
    needs: dict[int, Need] = {}
    facts = wanted.facts
    day, age_days = None, None
    for place in places:
        if dates[place] != day:
            day = dates[place]
            age_days = facts.age_days_on(day)
        if age_days is None:
            continue
        rates = [corner[place] for corner in wanted.corners]
        need = needs.get(age_days)
        if need is None:
            needs[age_days] = Need(facts, age_days, facts.stores_at(age_days), rates, dates[place])
            continue
        if rates[1] > need.rates_ml_per_s[1]:
            need.day = dates[place]
        need.rates_ml_per_s = list(map(max, need.rates_ml_per_s, rates))
    return list(needs.values())
