"""The shapes of days on paper: what a plan would do."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from web.shapes.finding import Finding
from web.shapes.plans import Checked
from web.shapes.told import Told
from web.shapes.water import DayWater


class PreviewSpan(Told):
    """A span that starts during a day; `place` is its place in the plan's list."""

    start_utc: str
    from_: Annotated[str, Field(alias="from")]
    cycle: str
    place: int


class PreviewVariant(Told):
    """The spans that would start during a day while a variant holds."""

    name: str
    spans: list[PreviewSpan]


class PreviewLoad(Told):
    """A load during a day on paper; `changed` against the plan in force."""

    name: str
    kind: str
    on: list[list[float]]
    changed: bool | None = None
    spans: list[PreviewSpan]
    variants: list[PreviewVariant]
    on_s: float
    starts: int
    longest_dry_gap_s: float
    longest_dry_gap_from_utc: str | None
    longest_on_s: float
    energy_kwh: float | None
    cost: float | None


class PreviewDay(Told):
    """A day on paper."""

    part: Literal["next", "hottest", "odd"]
    why: str
    date: str
    from_utc: str
    to_utc: str
    air: str
    currency: str
    warmest_c: float | None
    sun: dict[str, str | None]
    loads: list[PreviewLoad]
    water: DayWater | None
    findings: list[Finding]
    compared: dict[str, Any] | None = None


class PreviewDays(Told):
    """The same days by the plan in force."""

    days: list[PreviewDay]


class Preview(Checked):
    """What a plan would do."""

    days: list[PreviewDay]
    running: PreviewDays | None
