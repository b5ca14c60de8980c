"""The fault script: what goes wrong in a dry run, and when; values only.

A TOML file with a list `[[faults]]`; `fault_script` reads it. Times are the site's local
time (`2026-07-12T13:00`) or RFC 3339 instants.
"""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainValidator

from controller.core.cycle import Cycle, parse_cycle
from controller.core.errors import BadCycleError, BadInstantError
from controller.core.plan_parts.values import DurationMs
from controller.core.units import DATE_MAX, DATE_MIN, instant_of, parse_duration_ms, shown

FAULTS_MAX = 2_000


def _moment(value: Any) -> datetime | int:
    """A naive local datetime, or an instant."""
    if isinstance(value, str):
        try:
            value = datetime.fromisoformat(value)
        except ValueError:
            raise BadInstantError(
                f"{shown(value)} is not a time: write it like 2026-07-12T13:00 (the site's local "
                "time) or 2026-07-12T11:00:00Z"
            ) from None
    if not isinstance(value, datetime):
        raise BadInstantError(f"{shown(value)} is not a time: write it like 2026-07-12T13:00")
    if not DATE_MIN <= value.date() <= DATE_MAX:
        raise BadInstantError(f"{value.isoformat()} is outside of {DATE_MIN} to {DATE_MAX}")
    return value if value.tzinfo is None else instant_of(value)


def _signed_ms(value: Any) -> int:
    if not isinstance(value, str):
        raise ValueError(f'{shown(value)} is not text: write it in quotes, like "+1h" or "-20m"')
    text = value.strip()
    length_ms = parse_duration_ms(text.lstrip("+-").strip())
    return -length_ms if text.startswith("-") else length_ms


def _order(value: Any) -> Cycle | str:
    if not isinstance(value, str):
        raise ValueError(f'{shown(value)} is not text: write "on", "off", a cycle or a variant')
    try:
        return parse_cycle(value)
    except BadCycleError:
        return value


Moment: TypeAlias = Annotated[datetime | int, PlainValidator(_moment)]
SignedMs: TypeAlias = Annotated[int, BeforeValidator(_signed_ms)]
Order: TypeAlias = Annotated[Cycle | str, PlainValidator(_order)]


class _Fault(BaseModel):
    model_config = ConfigDict(
        strict=True, frozen=True, extra="forbid", allow_inf_nan=False, populate_by_name=True
    )


class _Lasting(_Fault):
    from_: Moment = Field(alias="from")
    until: Moment


class PowerOut(_Lasting):
    """No mains, no board: every load is off; afterwards the clock may be unknown a while."""

    kind: Literal["power_out"]
    clock_unknown_for: DurationMs = 0


class ClockWrong(_Lasting):
    """The clock steps by that much, and back at the end; it is taken for right."""

    kind: Literal["clock_wrong"]
    by: SignedMs


class ClockUntrusted(_Lasting):
    """The board knows that its clock is not to be trusted."""

    kind: Literal["clock_untrusted"]


class SensorSilent(_Lasting):
    """No reading comes any more."""

    kind: Literal["sensor_silent"]
    sensor: str


class SensorStuck(_Lasting):
    """The value of the first moment comes again and again."""

    kind: Literal["sensor_stuck"]
    sensor: str


class SensorReads(_Lasting):
    """The sensor says this, whatever is true: level 0 is an empty reservoir, leak 1 a wet
    floor, stop 1 a pressed switch."""

    kind: Literal["sensor_reads"]
    sensor: str
    value: float


class PumpFails(_Lasting):
    """The relay closes, and no water moves."""

    kind: Literal["pump_fails"]
    load: str


class HoldAt(_Fault):
    """A person orders a load by hand."""

    kind: Literal["hold"]
    at: Moment
    load: str
    order: Order
    for_ms: DurationMs = Field(alias="for")


class ReleaseAt(_Fault):
    """A person ends a load's hold."""

    kind: Literal["release"]
    at: Moment
    load: str


class StopAt(_Fault):
    """A person stops everything."""

    kind: Literal["stop"]
    at: Moment


class ResumeAt(_Fault):
    """A person lets everything go on."""

    kind: Literal["resume"]
    at: Moment


class AcknowledgeAt(_Fault):
    """A person looks at every alarm that stands."""

    kind: Literal["acknowledge"]
    at: Moment


Lasting: TypeAlias = (
    PowerOut | ClockWrong | ClockUntrusted | SensorSilent | SensorStuck | SensorReads | PumpFails
)
Deed: TypeAlias = HoldAt | ReleaseAt | StopAt | ResumeAt | AcknowledgeAt
Fault: TypeAlias = Annotated[Lasting | Deed, Field(discriminator="kind")]


class FaultFile(_Fault):
    """The whole file."""

    faults: Annotated[tuple[Fault, ...], Field(strict=False, max_length=FAULTS_MAX)]
