"""The shapes of what the API tells.

What the controller tells is passed on as it comes, so its shapes describe here and check
nothing; a test holds them to what is told.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from web.shapes.water import DayWater, LiftWater, ReservoirWater, StandWater


class _Told(BaseModel):
    """Something that is answered; more keys may come with time."""


class Session(_Told):
    """Who the visitor is."""

    role: Literal["owner", "guest", "nobody"]
    needs_passcode: bool
    guests_may_read: bool


class HoldStatus(_Told):
    """A hold in force."""

    order: str
    ends_utc: str | None
    left_s: float


class LoadStatus(_Told):
    """What one load does, and why."""

    name: str
    kind: str
    line: int
    is_on: bool
    since_utc: str | None
    for_s: float | None
    until_utc: str | None
    left_s: float | None
    why: str
    sentence: str
    held: HoldStatus | None
    variant: str | None
    watts: float | None
    may_be_mains: bool


class SensorStatus(_Told):
    """A sensor's last value."""

    name: str
    measures: str
    unit: str
    value: float | None
    age_s: float | None
    why_silent: str | None


class AlarmStatus(_Told):
    """An alarm that stands."""

    code: str
    subject: str
    since_utc: str
    is_active: bool
    is_acknowledged: bool
    what_to_do: str


class PlanStatus(_Told):
    """The plan in force."""

    source: str
    revision: int
    taken_utc: str | None
    refused: str | None


class SunStatus(_Told):
    """Sunrise and sunset of the site's present date; null where it has none."""

    sunrise_utc: str | None
    sunset_utc: str | None


class Lateness(_Told):
    """How long after their time switchings were carried out."""

    count: int
    p50_ms: float | None
    p99_ms: float | None
    max_ms: float | None


class Status(_Told):
    """Everything at one moment."""

    version: str
    protocol: int
    now_utc: str
    now_local: str
    timezone: str
    up_s: float
    is_mock: bool
    is_rehearsal: bool
    speed: float
    is_clock_trusted: bool
    is_stopped: bool
    sun: SunStatus
    plan: PlanStatus
    loads: list[LoadStatus]
    sensors: list[SensorStatus]
    alarms: list[AlarmStatus]
    lateness: Lateness


class PictureShape(_Told):
    """The last status and its age."""

    is_connected: bool
    reason: str | None
    age_s: float | None
    status: Status | None


class Entry(_Told):
    """One line of the journal."""

    number: int
    utc: str
    what: str
    subject: str
    why: str
    detail: str
    late_ms: float | None
    clock_trusted: bool
    tick_ms: int


class Log(_Told):
    """Entries, oldest first; `next` is the `page` of those before them."""

    entries: list[Entry]
    remark: str
    next: str | None


class Finding(_Told):
    """One thing that a plan's reader should know."""

    level: Literal["error", "warning", "note"]
    where: str
    line: int | None
    message: str
    mend: str


class PlanInForce(_Told):
    """The plan in force."""

    revision: int
    taken_utc: str
    text: str


class RevisionText(_Told):
    """The text of a revision."""

    revision: int
    text: str


class RevisionEntry(_Told):
    """One plan that was in force."""

    revision: int
    taken_utc: str
    how: str
    note: str
    is_in_force: bool


class Revisions(_Told):
    """All that are kept, oldest first."""

    revisions: list[RevisionEntry]


class DifferenceLine(_Told):
    """A line that went (-), came (+) or stayed ( ), with its number before and after."""

    sign: Literal["-", "+", " "]
    before: int | None
    after: int | None
    text: str


class Difference(_Told):
    """What changed between two revisions, with three lines around."""

    before: int
    after: int
    text: str
    lines: list[DifferenceLine]


class Checked(_Told):
    """What there is to say about a plan's text, and the text as JSON."""

    is_fit: bool
    findings: list[Finding]
    document: dict[str, Any] | None


class Edited(_Told):
    """A text after edits."""

    text: str
    findings: list[Finding]
    document: dict[str, Any] | None


class PreviewSpan(_Told):
    """A span that starts during a day; `place` is its place in the plan's list."""

    start_utc: str
    from_: Annotated[str, Field(alias="from")]
    cycle: str
    place: int


class PreviewVariant(_Told):
    """The spans that would start during a day while a variant holds."""

    name: str
    spans: list[PreviewSpan]


class PreviewLoad(_Told):
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


class PreviewDay(_Told):
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


class PreviewDays(_Told):
    """The same days by the plan in force."""

    days: list[PreviewDay]


class Preview(Checked):
    """What a plan would do."""

    days: list[PreviewDay]
    running: PreviewDays | None


class Taken(_Told):
    """A plan that came into force."""

    revision: int
    is_new: bool
    remarks: list[str]
    findings: list[Finding]


class DryRunTold(_Told):
    """The account of a dry run, as `rootclock dry-run --json` has it."""

    model_config = ConfigDict(extra="allow")

    from_utc: str
    to_utc: str
    loads: dict[str, dict[str, Any]]
    air: str
    stands: dict[str, StandWater] | None = None
    lifts: dict[str, LiftWater] | None = None
    reservoirs: dict[str, ReservoirWater] | None = None
    findings: list[Finding]
    picture: str | None = None
    events: str | None = None


class FaultComplaint(_Told):
    """What is wrong at one place of a fault script; the place may be empty."""

    where: str
    message: str


class FaultsChecked(_Told):
    """A fault script looked at; `document` is its text as JSON, null where that cannot be read as
    TOML."""

    is_fit: bool
    complaints: list[FaultComplaint]
    document: dict[str, Any] | None


class ProblemShape(_Told):
    """Problem details (RFC 9457)."""

    model_config = ConfigDict(extra="allow")

    type: str
    title: str
    status: int
    detail: str


class ProblemKind(_Told):
    """A type of problem."""

    type: str
    title: str
    status: int


class Health(_Told):
    """The controller answers."""

    is_alive: Literal[True]
    age_s: float
    version: str
