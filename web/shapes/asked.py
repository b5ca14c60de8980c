"""The shapes of what the API takes: bodies are read by them, and refused."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

PLAN_LENGTH_MAX = 256 * 1024
REVISION_MAX = 10**9


class _Taken(BaseModel):
    """Something that is sent: what is not known is refused, nothing is turned into another."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


Name = Annotated[str, Field(min_length=1, max_length=200)]
PlanText = Annotated[str, Field(max_length=PLAN_LENGTH_MAX)]
Revision = Annotated[int, Field(ge=1, le=REVISION_MAX)]


class Passcode(_Taken):
    """A try to log in."""

    passcode: Annotated[str, Field(max_length=200)]


class Hold(_Taken):
    """A manual order with an end."""

    load: Name
    order: Annotated[
        str, Field(min_length=1, max_length=2_000, examples=["on", "off", "1m on, 5m off"])
    ]
    for_: Annotated[str, Field(alias="for", min_length=1, max_length=200, examples=["20m"])]


class Release(_Taken):
    """Whose hold ends."""

    load: Name


class Acknowledge(_Taken):
    """Which alarm; what is left out is any."""

    alarm: Name | None = None
    subject: Name | None = None


class Text(_Taken):
    """A plan's text."""

    text: PlanText


class Edit(_Taken):
    """One change to a plan's text; without `index`, `add` adds a table and not an item."""

    do: Literal["set", "add", "remove", "move", "rename"]
    at: Annotated[str, Field(max_length=500, examples=["loads.pump.spans.0.cycle"])]
    value: Any = None
    index: Annotated[int, Field(ge=0, le=1_000)] | None = None
    to: Annotated[int, Field(ge=0, le=1_000)] | None = None


class Edits(_Taken):
    """Changes to a plan's text, one after the other."""

    text: PlanText
    edits: Annotated[list[Edit], Field(max_length=50)]


class PreviewOf(_Taken):
    """A plan to be tried on paper."""

    text: PlanText
    parts: list[Literal["next", "hottest", "odd", "year"]] = ["next", "hottest", "odd", "year"]
    client: Annotated[str, Field(max_length=100)] | None = None


class Proposal(_Taken):
    """A plan that is to come into force instead of the revision that it was made from."""

    text: Annotated[str, Field(min_length=1, max_length=PLAN_LENGTH_MAX)]
    based_on: Revision
    note: Name | None = None


class Restore(_Taken):
    """Which revision is to come into force again."""

    revision: Revision


class WeatherFile(_Taken):
    """A weather file's text: EPW, TMY3, or plain CSV of hours or of days; `encoding` is that of
    the file."""

    name: Name
    text: Annotated[str, Field(max_length=6_000_000)]
    encoding: Literal["utf-8", "latin-1"] = "utf-8"


class FaultScript(_Taken):
    """A fault script, and the plan that it is meant for."""

    text: PlanText
    plan: PlanText | None = None


class DryRunOf(_Taken):
    """What to carry out on paper."""

    start: Annotated[
        str,
        Field(min_length=1, max_length=40, examples=["2026-07-01", "2026-07-01T04:00:00Z"]),
    ]
    days: Annotated[int, Field(ge=1, le=3_660)]
    plan: PlanText | None = None
    weather: WeatherFile | None = None
    faults: PlanText | None = None
    compare: PlanText | None = None
    plan_name: Name = "this plan"
    compare_name: Name = "the other plan"
    want: list[Literal["picture", "events"]] = []
