"""What is taken for granted about a run's air, in sentences for reports."""

from __future__ import annotations

from collections.abc import Sequence

from controller.core.units import HOUR_MS
from controller.core.water.missing_inputs import StandIn
from controller.core.water_words import percent_text
from controller.weather.air_source import AirSource
from controller.weather.coverage import Coverage
from controller.weather.hours import HourOfAir, assumed_h

_OF_WARMTH = (StandIn.NEAR_TEMPERATURE, StandIn.TEMPERATURE)


def assumption_sentences(source: AirSource, hours: Sequence[HourOfAir]) -> list[str]:
    """A sentence on everything that stands in for what nobody measured; often none.

    `hours` are those of the source; a sentence that is not about all of them says about how many
    it is. Of whole days that a file leaves out, the temperature is told by what heads a report
    (`coverage`).
    """
    total_h = sum(hour.end - hour.start for hour in hours) / HOUR_MS
    coverage = Coverage.of(source)
    if coverage is not None:
        hours = [
            hour._replace(assumed=tuple(one for one in hour.assumed if one not in _OF_WARMTH))
            if hour.assumed and coverage.leaves_out(source, hour.start)
            else hour
            for hour in hours
        ]
    sentences = []
    for stand_in, length_h in assumed_h(hours).items():
        words = stand_in_words(stand_in)
        if stand_in is StandIn.CLEAR_SKY:
            words += f", {percent_text(source.clear_sky_share)} of a cloudless one"
        if length_h != total_h:
            words += f" ({length_h:,.1f} of {total_h:,.0f} h)"
        sentences.append(f"{words}.")
    if not source.elevation_is_known:
        sentences.append("Height above sea level not known: taken as 0 m.")
    return sentences


def stand_in_words(stand_in: StandIn) -> str:
    """What was missing and what was done, as the beginning of a sentence."""
    return stand_in.value[0].upper() + stand_in.value[1:]
