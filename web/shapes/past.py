"""The shapes of what the API tells of times gone by."""

from __future__ import annotations

from typing import Literal

from web.shapes.journal import Entry
from web.shapes.status import Lateness
from web.shapes.told import Told


class OrderDifference(Told):
    """The plan ordered one state and the load was in the other, or nobody knows in which; in
    seconds after the start."""

    from_s: float
    to_s: float
    ordered: Literal["on", "off"]
    why: str


class HistoryLoad(Told):
    """When a load was on, in seconds after the start, and where its plan ordered otherwise."""

    name: str
    on: list[list[float]]
    differs: list[OrderDifference]


class History(Told):
    """What happened during some hours; without the earliest where `is_whole` is false."""

    from_utc: str
    to_utc: str
    known_from_utc: str | None
    ordered_from_utc: str
    is_whole: bool
    loads: list[HistoryLoad]
    away: list[list[float]]
    marks: list[Entry]
    lateness: Lateness


class WeekLoad(Told):
    """A load, and from which length on a gap of it is longer than usual."""

    name: str
    kind: str | None
    long_gap_s: float | None


class LongGap(Told):
    """A gap that was longer than usual."""

    from_utc: str
    to_utc: str
    length_s: float
    is_over: bool


class DayLoad(Told):
    """What a load did during a day, in seconds after its start."""

    name: str
    starts: int
    on_s: float
    longest_gap_s: float | None
    longest_gap_from_utc: str | None
    long_gaps: list[LongGap]
    on: list[list[float]]
    differs: list[OrderDifference]


class WeekDay(Told):
    """One local day."""

    date: str
    from_utc: str
    to_utc: str
    is_over: bool
    away: list[list[float]]
    alarms: int
    loads: list[DayLoad]
    marks: list[Entry]


class Week(Told):
    """The last seven local days, oldest first."""

    timezone: str
    until_utc: str
    known_from_utc: str | None
    ordered_from_utc: str
    is_whole: bool
    lateness: Lateness
    loads: list[WeekLoad]
    days: list[WeekDay]


class AwayThen(Told):
    """Since when the controller had not told anything, and whether that was its orderly end."""

    since_utc: str
    is_certain: bool


class Past(Told):
    """What a load did at a time gone by."""

    load: str
    at_utc: str
    sentence: str | None
    switching: Entry | None
    notices: list[Entry]
    next: Entry | None
    stood: list[Entry]
    away: AwayThen | None


class LoadWear(Told):
    """A relay's operations over the journal's life."""

    name: str
    operations: int
    since_utc: str | None
    contact_life: int | None
    share: float | None
    a_day: float | None
    left_s: int | None


class WearTold(Told):
    """The wear of every relay."""

    now_utc: str
    loads: list[LoadWear]
