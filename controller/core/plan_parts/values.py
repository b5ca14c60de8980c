"""The values that a plan is written with: lengths, cycles, moments, dates, names.

Each is a type that pydantic reads strictly from what TOML gives, with its shape in JSON
Schema beside it. The first example of a schema tells which small language a text is in
(`plan_text.schema`).
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Any, TypeAlias

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainValidator,
    WithJsonSchema,
    field_validator,
)

from controller.core.anchor import Anchor, ClockTime, parse_anchor
from controller.core.cycle import Cycle, parse_cycle, refuse_hasty
from controller.core.errors import BadAnchorError, BadCycleError
from controller.core.units import DATE_MAX, DATE_MIN, parse_date, parse_duration_ms, shown

DEMAND = "demand"
NAME_PATTERN = r"^[A-Za-z][A-Za-z0-9_-]{0,39}$"
_DURATION_PATTERN = r"^(?:[0-9]+h)?\s*(?:[0-9]+m)?\s*(?:[0-9]+(?:\.[0-9]{1,3})?s)?$"


def text_of(value: Any, example: str) -> str:
    """The value, if it is text.

    Raises:
        ValueError: it is none; says how to write it, like the example.
    """
    if not isinstance(value, str):
        is_number = isinstance(value, int) and not isinstance(value, bool) and 0 < value < 10_000
        hint = f', like "{value}m" or "{value}s"' if is_number else ""
        raise ValueError(f"{shown(value)} is not text: write it in quotes, like {example}{hint}")
    return value


def parse_clock(text: str) -> ClockTime:
    """The time on the wall clock of `22:00` or `06:30:15`.

    Raises:
        BadAnchorError: the text is no such time.
    """
    try:
        moment = parse_anchor(text)
    except BadAnchorError:
        moment = None
    if moment is None or not isinstance(moment.base, ClockTime) or moment.offset_ms:
        raise BadAnchorError(
            f"{shown(text)} is not a time of the clock: write hours and minutes, like 22:00"
        )
    return moment.base


def _duration(value: Any) -> int:
    return parse_duration_ms(text_of(value, '"15m"'))


def _cycle(value: Any) -> Cycle:
    if isinstance(value, Cycle):
        return value
    text = text_of(value, '"15m on, 15m off"')
    if text.strip() == DEMAND:
        raise BadCycleError(
            f"{DEMAND} stands only for the cycle of a span: here the lengths must be told, like "
            "15m on, 15m off"
        )
    return refuse_hasty(parse_cycle(text))


def _anchor(value: Any) -> Anchor:
    return value if isinstance(value, Anchor) else parse_anchor(text_of(value, '"06:30"'))


def _clock(value: Any) -> ClockTime:
    return value if isinstance(value, ClockTime) else parse_clock(text_of(value, '"22:00"'))


def _date(value: Any) -> date:
    if isinstance(value, date) and not isinstance(value, datetime):
        if not DATE_MIN <= value <= DATE_MAX:
            raise ValueError(f"{value} is outside of {DATE_MIN} to {DATE_MAX}")
        return value
    return parse_date(text_of(value, '"2026-06-01"'))


DurationMs: TypeAlias = Annotated[
    int,
    BeforeValidator(_duration),
    WithJsonSchema(
        {"type": "string", "pattern": _DURATION_PATTERN, "examples": ["15m", "1h30m", "90s"]}
    ),
]
CycleText: TypeAlias = Annotated[
    Cycle,
    PlainValidator(_cycle),
    WithJsonSchema({"type": "string", "examples": ["15m on, 45m off", "on", "off"]}),
]
AnchorText: TypeAlias = Annotated[
    Anchor,
    PlainValidator(_anchor),
    WithJsonSchema(
        {"type": "string", "examples": ["06:30", "sunrise - 30m", "dusk", "lamp on + 10m"]}
    ),
]
ClockText: TypeAlias = Annotated[
    ClockTime,
    PlainValidator(_clock),
    WithJsonSchema({"type": "string", "examples": ["22:00", "06:30:15"]}),
]
# TOML has dates of its own, which JSON has not: tools that go by the schema see text.
DateText: TypeAlias = Annotated[
    date,
    PlainValidator(_date),
    WithJsonSchema({"type": "string", "examples": ["2026-06-01"]}),
]
Name: TypeAlias = Annotated[str, Field(pattern=NAME_PATTERN)]


class Part(BaseModel):
    """A table of the plan: frozen once read, strict about kinds, closed to unknown keys."""

    model_config = ConfigDict(
        strict=True, frozen=True, extra="forbid", allow_inf_nan=False, populate_by_name=True
    )

    @field_validator("*")
    @classmethod
    def _without_sign_of_zero(cls, value: Any) -> Any:
        """The same value; a pump that lifts -0.0 m lifts 0 m in every report."""
        return value + 0.0 if isinstance(value, float) else value
