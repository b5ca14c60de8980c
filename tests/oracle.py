"""The timeline a second time, the slow and plain way, to compare with.

Written from the rules of the core in design.md (1 to 4) and from nothing else: it reads
the plan's own texts, looks at every date in reach, resolves clock times by asking the zone
about every possible offset, and steps through cycles. Only the moments of the sun's events
are taken from the code under test; those are checked against an ephemeris elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from itertools import pairwise
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from controller.core.anchor import SunEvent
from controller.core.sun import Absence, sun_time

_DAY_S = 86_400
_REACH = 12  # days looked at on either side; a span is in force for at most `LASTS_DAYS`
LASTS_DAYS = 8  # that long a span lasts whose successor does not come
_UNIT_MS = {"h": 3_600_000, "m": 60_000, "s": 1_000}

# Rule 2, "continuity decides". As the season nears the midnight sun, sunset, dusk, dawn and
# sunrise close in on midnight in this order; nearing the polar night, dawn, sunrise, sunset
# and dusk close in on noon in this one. Anything else that happens then lies between.
_ORDER_AT_MIDNIGHT = {"sunset": -2, "dusk": -1, "dawn": 1, "sunrise": 2}
_ORDER_AT_NOON = {"dawn": -2, "sunrise": -1, "sunset": 1, "dusk": 2}


class Stretch(NamedTuple):
    """A span in force (None: none) during [start, end)."""

    start: int
    end: int
    span: int | None


def length_ms(text: str) -> int:
    """A duration in ms, digit by digit."""
    return int(
        sum(
            Fraction(number) * _UNIT_MS[unit]
            for number, unit in re.findall(r"([\d.]+)([hms])", text)
        )
    )


def cycle_of(span: Mapping[str, str]) -> str:
    """The cycle that a span has when nobody reads a sensor."""
    return span["fixed"] if span["cycle"].strip() == "demand" else span["cycle"]


def steps_of(text: str) -> list[tuple[int, bool]]:
    """A cycle's steps; a steady state is one step of a day that repeats."""
    if text in {"on", "off"}:
        return [(_DAY_S * 1_000, text == "on")]
    return [
        (length_ms(step), step.split()[-1] == "on") for step in (s.strip() for s in text.split(","))
    ]


def folded_state(text: str, elapsed_ms: int) -> bool:
    """The state that long after a cycle began, found by walking through its steps."""
    steps = steps_of(text)
    rest_ms = elapsed_ms % sum(length for length, _ in steps)
    for length, is_on in steps:
        if rest_ms < length:
            return is_on
        rest_ms -= length
    raise AssertionError("the rest is shorter than the period")


def dial(zone: ZoneInfo, second: int) -> datetime:
    """What the zone's clocks show that many seconds after 1970, labelled as if it were UTC."""
    return datetime.fromtimestamp(second, UTC).astimezone(zone).replace(tzinfo=UTC, fold=0)


def is_shown(zone: ZoneInfo, day: date) -> bool:
    """Whether the zone's clocks ever show a date (Samoa's never showed 30 December 2011)."""
    noon = int(datetime(day.year, day.month, day.day, 12, tzinfo=UTC).timestamp())
    return any(dial(zone, noon + hour * 3_600).date() == day for hour in range(-27, 28))


def clock_second(zone: ZoneInfo, day: date, second_of_day: int) -> int:
    """When the zone's clocks show a time: the first occurrence, or the end of the gap."""
    wanted = datetime(day.year, day.month, day.day, tzinfo=UTC) + timedelta(seconds=second_of_day)
    as_utc = int(wanted.timestamp())
    hours = range(as_utc - 30 * 3_600, as_utc + 30 * 3_600, 3_600)
    shifts = {int(dial(zone, hour).timestamp()) - hour for hour in hours}
    hits = [as_utc - shift for shift in shifts if dial(zone, as_utc - shift) == wanted]
    if hits:
        return min(hits)
    late = next(hour for hour in hours if dial(zone, hour) > wanted)
    return next(second for second in range(late - 3_600, late + 1) if dial(zone, second) > wanted)


class Oracle:
    """What a plan, given as TOML reads it, does at its site."""

    def __init__(self, plan: Mapping[str, Any]) -> None:
        site = plan["site"]
        self.zone = ZoneInfo(site["timezone"])
        self.place = {"latitude": site["latitude"], "longitude": site["longitude"]}
        self.spans: dict[str, Sequence[Mapping[str, str]]] = {
            name: load["spans"] for name, load in plan["loads"].items()
        }
        self._starts: dict[tuple[str, int], list[tuple[int, int, int]]] = {}
        self._firsts: dict[tuple[str, str, date], int | None] = {}

    def starts(self, load: str, number: int) -> list[tuple[int, int, int]]:
        """(start, order at one instant, span) of a day, counted from 1970."""
        key = (load, number)
        if key not in self._starts:
            found = []
            for place, span in enumerate(self.spans[load]):
                start = self._start(span["from"], number)
                if start is not None:
                    found.append((*start, place))
            self._starts[key] = found
        return self._starts[key]

    def _start(self, anchor: str, number: int) -> tuple[int, int] | None:
        match = re.fullmatch(r"(.+?)(?: *([+-]) *(\d[\d.hms ]*))?", anchor)
        assert match is not None
        base, sign, length = match.groups()
        offset_ms = length_ms(length or "") * (-1 if sign == "-" else 1)
        day = date(1970, 1, 1) + timedelta(days=number)
        if base[0].isdigit():
            hour, minute, second = (int(part) for part in (base + ":00").split(":")[:3])
            if not is_shown(self.zone, day):
                return None
            at = clock_second(self.zone, day, hour * 3_600 + minute * 60 + second)
            return at * 1_000 + offset_ms, 0
        if base in _ORDER_AT_NOON:
            time = sun_time(SunEvent(base), number, **self.place)
            order = {
                None: 0,
                Absence.SUN_STAYS_UP: _ORDER_AT_MIDNIGHT[base],
                Absence.SUN_STAYS_DOWN: _ORDER_AT_NOON[base],
            }[time.absence]
            return time.instant + offset_ms, order
        lamp, state = base.split()
        first = self.first_change(lamp, day, state)
        return None if first is None else (first + offset_ms, 0)

    def first_change(self, load: str, day: date, state: str) -> int | None:
        """The first change of a load to a state while the clocks on the wall show a date."""
        key = (load, state, day)
        if key not in self._firsts:
            middle = (day - date(1970, 1, 1)).days * _DAY_S * 1_000
            around = self.changes(load, middle - 40 * 3_600_000, middle + 64 * 3_600_000)
            self._firsts[key] = next(
                (
                    at
                    for at, is_on in around
                    if is_on is (state == "on") and dial(self.zone, at // 1_000).date() == day
                ),
                None,
            )
        return self._firsts[key]

    def stretches(self, load: str, start: int, end: int) -> list[Stretch]:
        """The spans in force one after another, from the one at `start` to the one before `end`."""
        first, last = start // (_DAY_S * 1_000), end // (_DAY_S * 1_000)
        starts = sorted(
            found
            for number in range(first - _REACH, last + _REACH + 1)
            for found in self.starts(load, number)
        )
        latest = {instant: place for instant, _, place in starts}  # of several the last
        borders = [*latest.items(), (end + 2 * _REACH * _DAY_S * 1_000, None)]
        found = []
        covered = min(start, borders[0][0])
        for (begin, place), (following, _) in pairwise(borders):
            stop = min(following, begin + LASTS_DAYS * _DAY_S * 1_000)
            if begin > covered:
                found.append(Stretch(covered, begin, None))
            found.append(Stretch(begin, stop, place))
            covered = stop
        found.append(Stretch(covered, max(covered, end) + 1, None))
        return [s for s in found if s.end > start and s.start < max(end, start + 1)]

    def states(self, load: str, start: int, end: int, step_ms: int) -> Iterator[tuple[int, bool]]:
        """The state at `start` and each step after it, before `end`; walked, never computed."""
        at = start
        for stretch in self.stretches(load, start, end):
            if stretch.span is None:
                while at < min(stretch.end, end):
                    yield at, False
                    at += step_ms
                continue
            steps = steps_of(cycle_of(self.spans[load][stretch.span]))
            edge, place = stretch.start, -1
            while at < min(stretch.end, end):
                while edge <= at:
                    place = (place + 1) % len(steps)
                    edge += steps[place][0]
                yield at, steps[place][1]
                at += step_ms

    def state(self, load: str, instant: int) -> bool:
        """The state at one instant."""
        return next(self.states(load, instant, instant + 1, 1))[1]

    def changes(self, load: str, start: int, end: int) -> Iterator[tuple[int, bool]]:
        """Every change after `start` and before `end`, found by going from step to step."""
        state: bool | None = None
        for stretch in self.stretches(load, start, end):
            steps = (
                [(stretch.end - stretch.start, False)]
                if stretch.span is None
                else steps_of(cycle_of(self.spans[load][stretch.span]))
            )
            at, place = stretch.start, 0
            while at < min(stretch.end, end):
                length, is_on = steps[place]
                if at > start and state is not None and is_on is not state:
                    yield at, is_on
                state = is_on
                at, place = at + length, (place + 1) % len(steps)
