"""The last days at a glance, from what the controller's `history` tells: by local day of the site,
waterings as a number, time on, gaps that were longer than usual, alarms."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.orders import Event
from controller.core.units import (
    DAY_MS,
    MINUTE_MS,
    SECOND_MS,
    date_of_number,
    day_number,
    parse_rfc3339,
    rfc3339,
)
from controller.core.wall_clock import load_zone, local_datetime, local_midnight

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from zoneinfo import ZoneInfo

    from controller.core.units import Instant

DAYS = 7
# A gap is longer than usual if it is half as long again as nine of ten gaps of its load, and at
# least a minute more; of fewer gaps than these nobody can say what is usual.
_USUAL_PERCENT = 90
_LONG_FACTOR = 1.5
_LONG_BY_MS = MINUTE_MS
_GAPS_MIN = 5


class Bounds(NamedTuple):
    """What the controller is to be asked for: `since` is a day before the first that is told, for
    the gap that it begins with; `days` are the numbers of the local dates."""

    since: Instant
    until: Instant
    days: range


class _Gap(NamedTuple):
    """A time without a turn; the last one may go on."""

    start: Instant
    end: Instant
    is_over: bool


def week_bounds(zone: ZoneInfo, now: Instant, days: int = DAYS) -> Bounds:
    """The local dates up to today's."""
    today = day_number(local_datetime(zone, now).date())
    shown = range(today - days + 1, today + 1)
    return Bounds(local_midnight(zone, shown.start) - DAY_MS, now, shown)


def week_told(history: Mapping[str, Any], days: range) -> dict[str, Any]:
    """The days as JSON has them, oldest first; lengths in seconds, from a day's start on.

    Args:
        history: what the controller told.
        days: the numbers of the local dates.
    """
    zone = load_zone(history["timezone"])
    since, until = (parse_rfc3339(history[key]) for key in ("since_utc", "until_utc"))
    loads = [_Load(load, since, until) for load in history["loads"]]
    away = _stretches(history["away"], since)
    told = []
    for number in days:
        # What clocks show twice belongs to the day that begins first, so that none overlap.
        begin, end = local_midnight(zone, number), local_midnight(zone, number + 1)
        marks = [one for one in history["marks"] if begin <= parse_rfc3339(one["utc"]) < end]
        told.append(
            {
                "date": date_of_number(number).isoformat(),
                "from_utc": rfc3339(begin),
                "to_utc": rfc3339(end),
                "is_over": end <= until,
                "away": _within(away, begin, end),
                "alarms": sum(one["what"] == Event.ALARM_RAISED.value for one in marks),
                "loads": [load.day(begin, end) for load in loads],
                "marks": marks,
            }
        )
    keys = ("timezone", "until_utc", "known_from_utc", "ordered_from_utc", "is_whole", "lateness")
    return {
        **{key: history[key] for key in keys},
        "loads": [load.told() for load in loads],
        "days": told,
    }


class _Load:
    """One load over all of the stretch."""

    def __init__(self, told: Mapping[str, Any], since: Instant, until: Instant) -> None:
        self._told = told
        self._since = since
        self._on = _stretches(told["on"], since)
        self._gaps = _gaps(self._on, until)
        self._long_ms = _long_ms(self._gaps)
        self._differs = [
            (since + one["from_ms"], since + one["to_ms"], one) for one in told["differs"]
        ]

    def told(self) -> dict[str, Any]:
        """What is so over all days."""
        long_s = None if self._long_ms is None else self._long_ms / SECOND_MS
        return {"name": self._told["name"], "kind": self._told["kind"], "long_gap_s": long_s}

    def day(self, begin: Instant, end: Instant) -> dict[str, Any]:
        """One day: a turn belongs to the day in which it starts, time on to that in which it
        passed, and a gap to every day that it touches."""
        starts = sum(begin <= start < end for start, _ in self._on)
        gaps = [gap for gap in self._gaps if gap.start < end and gap.end > begin]
        longest = max(gaps, key=lambda gap: gap.end - gap.start, default=None)
        on = _within(self._on, begin, end)
        return {
            "name": self._told["name"],
            "starts": starts,
            "on_s": round(sum(finish - start for start, finish in on), 3),
            "longest_gap_s": None if longest is None else (longest.end - longest.start) / SECOND_MS,
            "longest_gap_from_utc": None if longest is None else rfc3339(longest.start),
            "long_gaps": [
                {
                    "from_utc": rfc3339(gap.start),
                    "to_utc": rfc3339(gap.end),
                    "length_s": (gap.end - gap.start) / SECOND_MS,
                    "is_over": gap.is_over,
                }
                for gap in gaps
                if self._long_ms is not None and gap.end - gap.start > self._long_ms
            ],
            "on": on,
            "differs": [
                {
                    "from_s": (max(start, begin) - begin) / SECOND_MS,
                    "to_s": (min(finish, end) - begin) / SECOND_MS,
                    "ordered": one["ordered"],
                    "why": one["why"],
                }
                for start, finish, one in self._differs
                if start < end and finish > begin
            ],
        }


def _stretches(told: Iterable[Sequence[int]], since: Instant) -> list[tuple[Instant, Instant]]:
    return [(since + start_ms, since + end_ms) for start_ms, end_ms in told]


def _within(
    stretches: Iterable[tuple[Instant, Instant]], begin: Instant, end: Instant
) -> list[list[float]]:
    """What of stretches lies in [begin, end), in seconds after its begin."""
    return [
        [(max(start, begin) - begin) / SECOND_MS, (min(finish, end) - begin) / SECOND_MS]
        for start, finish in stretches
        if start < end and finish > begin
    ]


def _gaps(on: Sequence[tuple[Instant, Instant]], until: Instant) -> list[_Gap]:
    """The times between turns, and since the last one."""
    gaps = [_Gap(end, start, is_over=True) for (_, end), (start, _) in pairwise(on) if start > end]
    if on and on[-1][1] < until:
        gaps.append(_Gap(on[-1][1], until, is_over=False))
    return gaps


def _long_ms(gaps: Iterable[_Gap]) -> float | None:
    """From which length on a gap is longer than usual; None where nobody can say."""
    lengths = sorted(gap.end - gap.start for gap in gaps if gap.is_over)
    if len(lengths) < _GAPS_MIN:
        return None
    usual_ms = lengths[-(-len(lengths) * _USUAL_PERCENT // 100) - 1]
    return max(usual_ms * _LONG_FACTOR, usual_ms + _LONG_BY_MS)
