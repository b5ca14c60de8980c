"""What a demand risks by believing its sensors.

A reading that is wrong and could be true draws rests out, to the longest that the plan allows at
the most. Whether roots would bear that is told by how long the driest of them hold in the
hottest hours that the site's assumed air has.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.demand.signs import Signs
from controller.core.findings import Finding
from controller.core.sentence import Part, Sentence
from controller.core.units import HOUR_MS, SECOND_MS, date_of_number, day_number, duration_text
from controller.core.words import length_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.calendar import Calendar
    from controller.core.demand.drinker import Drinker
    from controller.core.demand.thirst import Thirst
    from controller.core.units import Instant
    from controller.core.year.span_list import SpanList

# Days of a common year: the sun is highest on the first, and air is warmest a month later.
_NORTHERN_SUMMER = (172, 202)
_SOUTHERN_SUMMER = (355, 20)
_HOT_HOURS = range(9, 18)  # of the local day
# Plants that were sown count when they are nearly and quite grown. Common practice, no source.
_GROWN_DAYS = (28, 42)


class _Hardest(NamedTuple):
    """The stand whose roots hold for the shortest time, and the hour in which that is."""

    stand: str
    thirst: Thirst


def rests_that_a_sensor_may_draw_out(
    calendar: Calendar, spans: SpanList, days: range
) -> Iterator[Finding]:
    """Each longest rest that the driest roots would not bear in the hottest hours, where a demand
    goes by a sensor."""
    for place, bounds in enumerate(spans.timeline.demands):
        if bounds is None:
            continue
        hardest = _hardest(calendar, spans, place, days)
        if hardest is None or hardest.thirst.lasts_s * SECOND_MS >= bounds.longest_rest_ms:
            continue
        felt, where = hardest.thirst.felt, f"{spans.where}.{place}.longest_rest"
        longest_rest = Part("key", "longest_rest", where)
        yield Finding(
            "note",
            where,
            Sentence(
                f"{spans.name}: a sensor that wrongly reads cool or damp air draws rests out, to ",
                longest_rest,
                f" at the most, {duration_text(bounds.longest_rest_ms)}; in the hottest hours, at "
                f"{felt.temperature_c:z.0f} °C, the driest roots of {hardest.stand} hold "
                f"{length_words(int(hardest.thirst.lasts_s) * SECOND_MS)}",
            ),
            Sentence(
                "hang the sensor among the plants, shaded; try a dry run with the fault "
                "sensor_reads, and state the ",
                longest_rest,
                " that you would risk",
            ),
        )


def _hardest(calendar: Calendar, spans: SpanList, place: int, days: range) -> _Hardest | None:
    """None where no stand goes by a sensor, or the span is in force in none of the hours."""
    found = [
        _Hardest(drinker.facts.name, thirst)
        for drinker in spans.load.drinkers
        if drinker.sensors
        for instant in _summer_hours(calendar, drinker, days)
        if spans.timeline.piece_at(instant).span == place
        and (thirst := drinker.thirst(instant, _assumed(drinker, instant))) is not None
    ]
    return min(found, key=lambda one: one.thirst.lasts_s, default=None)


def _summer_hours(calendar: Calendar, drinker: Drinker, days: range) -> Iterator[Instant]:
    """The hours of the days that ask most of a stand."""
    sown = drinker.facts.sown
    if sown is not None:
        numbers = [day_number(sown) + grown_days for grown_days in _GROWN_DAYS]
    else:
        summer = _NORTHERN_SUMMER if drinker.open_air.latitude >= 0 else _SOUTHERN_SUMMER
        numbers = [day for day in days if date_of_number(day).timetuple().tm_yday in summer]
    for number in numbers:
        start = calendar.midnight(number)
        yield from (start + hour * HOUR_MS for hour in _HOT_HOURS)


def _assumed(drinker: Drinker, instant: Instant) -> Signs:
    """What a stand's sensors read in the air that its room is kept at, or that is assumed."""
    felt = drinker.room or drinker.open_air.felt(instant, temperature_c=None, humidity_pct=None)
    told = {drinker.air_sensor: felt.temperature_c, drinker.humidity_sensor: felt.humidity_pct}
    return Signs({sensor: value for sensor, value in told.items() if sensor is not None})
