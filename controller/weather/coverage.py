"""Which days a weather file tells of, and what a run is told where they are not its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.phrases import date_words
from controller.core.units import HOUR_MS, date_of_number, day_number
from controller.weather.air_gaps import NEAR_DAYS_MAX
from controller.weather.air_rows import row_length_ms

if TYPE_CHECKING:
    from datetime import date

    from controller.core.units import Instant
    from controller.weather.air_source import AirSource
    from controller.weather.weather import Weather


class Coverage(NamedTuple):
    """The first and the last local standard day of which a file tells, in days from 1970-01-01."""

    first: int
    last: int

    @classmethod
    def of(cls, source: AirSource) -> Coverage | None:
        """The days of a source's file; None where there is no file, or one that stands for any
        year."""
        weather = source.weather
        if weather is None or weather.is_typical_year:
            return None
        if weather.days:
            return cls(weather.days[0].number, weather.days[-1].number)
        begins = weather.stamps[0] - row_length_ms(weather, 0)
        return cls(source.day_number_at(begins), source.day_number_at(weather.stamps[-1] - 1))

    def days_away(self, number: int) -> int:
        """How far a day is from those that the file tells of; 0 where it is one of them."""
        return max(self.first - number, number - self.last, 0)

    def leaves_out(self, source: AirSource, instant: Instant) -> bool:
        """Whether an instant is on a day that the file does not tell of, also where the site's
        clocks are an hour ahead of standard time."""
        ahead = (source.day_number_at(instant), source.day_number_at(instant + HOUR_MS))
        return all(self.days_away(number) > 0 for number in ahead)


def time_told(source: AirSource, weather: Weather) -> tuple[Instant, Instant]:
    """The first and the last instant of which a source's file tells; of days the midnights before
    and after them."""
    if weather.days:
        first, last = weather.days[0].number, weather.days[-1].number
        return source.start_of_day(first), source.start_of_day(last + 1)
    return weather.stamps[0], weather.stamps[-1]


def coverage_words(source: AirSource, *, first: date, last: date) -> str:
    """Of which days the file tells, and what stands in for those of the run that it leaves out:
    words that follow on its name; empty where it tells of all.

    Args:
        source: the file, and the assumed day.
        first: local date on which the run begins.
        last: the one on which it ends.
    """
    coverage = Coverage.of(source)
    if coverage is None:
        return ""
    away = [coverage.days_away(number) for number in range(day_number(first), day_number(last) + 1)]
    if not any(away):
        return ""
    of_run = _share_words(away.count(0), len(away))
    others = "for the others " if 0 in away else ""
    near, far = min(filter(None, away)) <= NEAR_DAYS_MAX, max(away) > NEAR_DAYS_MAX
    stand_in = "its nearest days stand in" if near else "the assumed day stands in"
    if near and far:
        stand_in += f", and the assumed day where they are over {NEAR_DAYS_MAX} days away"
    return f", which tells of {_period(coverage)} and {of_run}: {others}{stand_in}"


def _share_words(told: int, days: int) -> str:
    if days == 1:
        return "not of this run's day"
    return f"of {f'{told:,}' if told else 'none'} of this run's {days:,} days"


def _period(coverage: Coverage) -> str:
    first, last = (date_of_number(number) for number in coverage)
    if first == last:
        return f"{date_words(first)} {first.year}"
    return f"{date_words(first)} {first.year} to {date_words(last)} {last.year}"
