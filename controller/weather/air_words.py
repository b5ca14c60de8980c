"""What is taken for granted about a run's air, in sentences for reports."""

from __future__ import annotations

from collections.abc import Sequence

from controller.core.units import HOUR_MS
from controller.core.water.missing_inputs import StandIn
from controller.weather.air_source import AirSource
from controller.weather.hours import HourOfAir, assumed_h


def assumption_sentences(source: AirSource, hours: Sequence[HourOfAir]) -> list[str]:
    """A sentence on everything that stands in for what nobody measured; often none.

    `hours` are those of the source; each sentence says how many of them it is about.
    """
    total_h = sum(hour.end - hour.start for hour in hours) / HOUR_MS
    sentences = []
    for stand_in, length_h in assumed_h(hours).items():
        share = "all the time" if length_h == total_h else f"{length_h:,.1f} of {total_h:,.0f} h"
        words = stand_in_words(stand_in)
        if stand_in is StandIn.CLEAR_SKY:
            words += f", {source.clear_sky_share:.0%} of a cloudless one"
        sentences.append(f"{words} ({share}).")
    if not source.elevation_is_known:
        sentences.append("Height above sea level not known: taken as 0 m.")
    return sentences


def stand_in_words(stand_in: StandIn) -> str:
    """What was missing and what was done, as the beginning of a sentence."""
    return stand_in.value[0].upper() + stand_in.value[1:]
