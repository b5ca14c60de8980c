"""Plans that are held against each other: the grower's own with other spans for one load."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, Any

from controller.core.plan_parts.spans import LONGEST_WATERING_MS, SHORTEST_REST_MS, Span
from controller.core.units import duration_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.advice.lengths import Lengths
    from controller.advice.rests import Rest
    from controller.core.cycle import Cycle
    from controller.core.plan import Load, Plan


class Origin(Enum):
    """Where a candidate comes from, as tables and JSON name it.

    `LIKELY`, `CAREFUL` and `DRIEST` have fewest pump hours for likely roots, for a share of the
    plants drawn at random and for the driest roots; `LONGER` waters for longer than those.
    """

    PRESENT = "present"
    LIKELY = "likely"
    CAREFUL = "careful"
    DRIEST = "driest"
    LONGER = "longer"
    DEMAND = "demand"
    TRIED = "tried"


@dataclass(frozen=True, slots=True)
class Candidate:
    """Spans for a load; None for those that it has, variants and all."""

    origin: Origin
    label: str
    spans: tuple[Span, ...] | None

    def plan(self, plan: Plan, load: str) -> Plan:
        """The plan with these spans.

        Variants of the load that a sensor brings about give way to them. Reservoirs are taken
        away, as if somebody filled them in time: advice is about roots.
        """
        loads = {
            name: one.model_copy(update={"reservoir": None}) for name, one in plan.loads.items()
        }
        if self.spans is not None:
            by_hand = tuple(one for one in plan.loads[load].variants if one.by_hand)
            loads[load] = loads[load].model_copy(update={"spans": self.spans, "variants": by_hand})
        return plan.model_copy(update={"loads": loads, "reservoirs": {}})


def present(load: Load) -> Candidate:
    """What the plan has now."""
    is_on_demand = any(span.is_on_demand for span in load.spans)
    label = "demand" if is_on_demand else _cycles_label([span.cycle for span in load.spans])
    if any(not variant.by_hand for variant in load.variants):
        label += " + variants"
    return Candidate(Origin.PRESENT, label, None)


def of_rests(load: Load, rests: Sequence[Rest | None], origin: Origin) -> Candidate:
    """The spans of a load with a watering and a rest each; a span that is never in force in
    the time looked at, None, keeps its cycle."""
    spans = tuple(
        span
        if rest is None
        else _span(
            span,
            cycle=f"{duration_text(rest.watering_ms)} on, {duration_text(rest.rest_ms)} off",
        )
        for span, rest in zip(load.spans, rests, strict=True)
    )
    return Candidate(origin, _cycles_label([span.cycle for span in spans]), spans)


def tried(text: str, cycle: Cycle) -> Candidate:
    """One cycle for the whole day."""
    spans = (Span.model_validate({"from": "00:00", "cycle": cycle}),)
    return Candidate(Origin.TRIED, " ".join(text.split()), spans)


def on_demand(load: Load, lengths: Lengths, *, fixed: str) -> Candidate:
    """The spans of a load on demand, within the bounds that its plan states and good practice
    else; `fixed` is what they do without readings."""
    longest_ms = lengths.waterings_ms[-1] if load.longest_on is None else load.longest_on
    keys = {
        "cycle": "demand",
        "fixed": fixed,
        "shortest_rest": duration_text(
            min(lengths.longest_rest_ms, max(lengths.shortest_rest_ms, SHORTEST_REST_MS))
        ),
        "longest_rest": duration_text(lengths.longest_rest_ms),
        "shortest_watering": duration_text(lengths.waterings_ms[0]),
        "longest_watering": duration_text(
            max(lengths.waterings_ms[0], min(longest_ms, LONGEST_WATERING_MS))
        ),
    }
    spans = (Span.model_validate({"from": "00:00", **keys}),)
    return Candidate(Origin.DEMAND, "demand", spans)


def _span(span: Span, **keys: Any) -> Span:
    return Span.model_validate({"from": span.anchor, **keys})


def _cycles_label(cycles: Sequence[Cycle]) -> str:
    """`15m on, 15m off`, or where spans differ `15m on, 15m off; 15m on, 45m off`; equal
    waterings are told once: `15m on, 15m/45m off`."""
    texts = list(dict.fromkeys(str(cycle) for cycle in cycles))
    pairs = [text.split(", ") for text in texts]
    is_simple = all(len(pair) == 2 and pair[0].endswith(" on") for pair in pairs)
    if len(texts) > 1 and is_simple and len({pair[0] for pair in pairs}) == 1:
        rests = "/".join(pair[1].removesuffix(" off") for pair in pairs)
        return f"{pairs[0][0]}, {rests} off"
    return "; ".join(texts)


def toml_of(load: str, candidate: Candidate) -> str:
    """The candidate's spans as the plan file has them, to be pasted; empty for the present."""
    return "\n".join(
        line
        for number, span in enumerate(candidate.spans or ())
        for line in ([""] if number else []) + _toml_lines(load, span)
    )


def _toml_lines(load: str, span: Span) -> list[str]:
    lines = [f"[[loads.{load}.spans]]", f'from = "{span.anchor}"']
    demand = span.demand
    if demand is None:
        return [*lines, f'cycle = "{span.cycle}"']
    return [
        *lines,
        'cycle = "demand"',
        f'fixed = "{span.cycle}"',
        f'shortest_rest = "{duration_text(demand.shortest_rest_ms)}"',
        f'longest_rest = "{duration_text(demand.longest_rest_ms)}"',
        f'shortest_watering = "{duration_text(demand.shortest_watering_ms)}"',
        f'longest_watering = "{duration_text(demand.longest_watering_ms)}"',
    ]
