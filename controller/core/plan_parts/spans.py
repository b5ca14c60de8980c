"""Spans: the parts of the day, each with a cycle, or with a demand that makes one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import Field, PlainValidator, WithJsonSchema, field_validator

from controller.core.anchor import Anchor
from controller.core.cycle import STEADY_OFF, STEP_MS_MIN, Cycle, parse_cycle, refuse_hasty
from controller.core.plan_parts.values import (
    DEMAND,
    AnchorText,
    CycleText,
    DurationMs,
    Part,
    text_of,
)
from controller.core.units import MINUTE_MS, duration_text

SPANS_MAX = 100
# What a span on demand keeps to where the plan does not say; common practice, no source.
SHORTEST_REST_MS = 5 * MINUTE_MS
SHORTEST_WATERING_MS = 3 * MINUTE_MS
LONGEST_WATERING_MS = 20 * MINUTE_MS


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandBounds:
    """Between which lengths the rests and waterings of a demand stay, all in ms."""

    shortest_rest_ms: int
    longest_rest_ms: int
    shortest_watering_ms: int
    longest_watering_ms: int

    def __str__(self) -> str:
        rests = f"{duration_text(self.shortest_rest_ms)} to {duration_text(self.longest_rest_ms)}"
        least, most = self.shortest_watering_ms, self.longest_watering_ms
        return f"on {duration_text(least)} to {duration_text(most)}, off {rests}, on demand"


def _cycle_or_demand(value: Any) -> Cycle | Literal["demand"]:
    if isinstance(value, Cycle):
        return value
    text = text_of(value, '"15m on, 15m off"')
    return "demand" if text.strip() == DEMAND else refuse_hasty(parse_cycle(text))


SpanCycleText: TypeAlias = Annotated[
    Cycle | Literal["demand"],
    PlainValidator(_cycle_or_demand),
    WithJsonSchema(
        {"type": "string", "examples": ["15m on, 15m off", "15m on, 45m off", "on", "demand"]}
    ),
]


class Span(Part):
    """A part of the day with one cycle, from its anchor until the next span starts.

    In a span on demand the lengths of rests and waterings follow what the plants drink, by
    the readings of their air; `fixed` is its cycle while there is no such reading, and
    wherever the plan is looked at ahead of time.
    """

    from_: AnchorText = Field(alias="from")
    cycle_: SpanCycleText = Field(alias="cycle")
    fixed: CycleText | None = None
    longest_rest: DurationMs | None = None
    shortest_rest: DurationMs = SHORTEST_REST_MS
    shortest_watering: DurationMs = SHORTEST_WATERING_MS
    longest_watering: DurationMs = LONGEST_WATERING_MS

    @field_validator("longest_rest", "shortest_rest", "shortest_watering", "longest_watering")
    @classmethod
    def _not_hasty(cls, length_ms: int | None) -> int | None:
        if length_ms is not None and 0 < length_ms < STEP_MS_MIN:  # 0 has words of its own
            raise ValueError(
                f"{duration_text(length_ms)} is shorter than {duration_text(STEP_MS_MIN)}: no "
                "relay is made to switch as fast as that"
            )
        return length_ms

    @property
    def anchor(self) -> Anchor:
        """The moment at which the span starts."""
        return self.from_

    @property
    def is_on_demand(self) -> bool:
        """Whether the span's lengths follow what the plants drink."""
        return self.cycle_ == DEMAND

    @property
    def cycle(self) -> Cycle:
        """The cycle that needs no reading; off where a demand lacks its fixed one, which the
        plan's rules refuse."""
        if isinstance(self.cycle_, Cycle):
            return self.cycle_
        return STEADY_OFF if self.fixed is None else self.fixed

    @property
    def cycle_words(self) -> str:
        """What it does, as a person reads it: its cycle, or between what it is on demand."""
        bounds = self.demand
        if bounds is None:
            return str(self.cycle)
        rests = (
            f"{duration_text(bounds.shortest_rest_ms)} to {duration_text(bounds.longest_rest_ms)}"
        )
        return f"on demand, rests of {rests}; {self.without_air_words}"

    @property
    def without_air_words(self) -> str:
        """What a span on demand does while a reading of the air is wanting."""
        return f"{self.cycle} while the air is not known"

    @property
    def demand(self) -> DemandBounds | None:
        """The bounds of a demand; None in a span with a cycle, or without a longest rest,
        which the plan's rules refuse.

        A shortest or longest that the plan does not state gives way to the one it states.
        """
        if not self.is_on_demand or self.longest_rest is None:
            return None
        least_rest_ms, least_ms = self.shortest_rest, self.shortest_watering
        most_ms = self.longest_watering
        if "shortest_rest" not in self.model_fields_set:
            least_rest_ms = min(least_rest_ms, self.longest_rest)
        if "shortest_watering" not in self.model_fields_set:
            least_ms = min(least_ms, most_ms)
        elif "longest_watering" not in self.model_fields_set:
            most_ms = max(least_ms, most_ms)
        return DemandBounds(
            shortest_rest_ms=least_rest_ms,
            longest_rest_ms=self.longest_rest,
            shortest_watering_ms=least_ms,
            longest_watering_ms=most_ms,
        )

    @property
    def dry_gap_ms(self) -> int | None:
        """The longest that it leaves roots dry by itself, ms; on demand whichever is longer of its
        longest rest and its fixed cycle's. None where it never waters."""
        gap_ms, bounds = self.cycle.dry_gap_ms, self.demand
        return gap_ms if bounds is None else max(bounds.longest_rest_ms, gap_ms or 0)


Spans: TypeAlias = Annotated[
    tuple[Span, ...], Field(strict=False, min_length=1, max_length=SPANS_MAX)
]
