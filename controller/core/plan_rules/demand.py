"""Rules about spans on demand: that they are complete, in order, and have what they go by."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.plan_rules.rule import WATERERS, Found, longer_than_the_longest, span_lists
from controller.core.plan_text import said
from controller.core.sentence import Sentence
from controller.core.units import duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Load, Plan
    from controller.core.plan_parts.spans import DemandBounds, Span
    from controller.core.plan_text.place import Place

_KEYS = ("fixed", "longest_rest", "shortest_rest", "shortest_watering", "longest_watering")
_NEEDED = {"fixed": "15m on, 15m off", "longest_rest": "45m"}
_EXAMPLES = {"longest_rest": "45m", "shortest_watering": "3m", "longest_watering": "20m"}


class _OnDemand(NamedTuple):
    """A span on demand, where it stands, and whose it is."""

    place: Place
    name: str
    load: Load
    span: Span


def _on_demand(plan: Plan) -> Iterator[_OnDemand]:
    for name, load in plan.loads.items():
        for place, spans in span_lists(name, load):
            for number, span in enumerate(spans):
                if span.is_on_demand:
                    yield _OnDemand((*place, number), name, load, span)


def demand_keys_without_demand(plan: Plan) -> Iterator[Found]:
    """Bounds of a demand in a span with a cycle of its own."""
    for name, load in plan.loads.items():
        for place, spans in span_lists(name, load):
            for number, span in enumerate(spans):
                for key in () if span.is_on_demand else _KEYS:
                    if key in span.model_fields_set:
                        yield _without_demand((*place, number), key, span)


def _without_demand(span_place: Place, key: str, span: Span) -> Found:
    place, cycle = (*span_place, key), (*span_place, "cycle")
    demand = said.line(cycle, '"demand"')
    return Found(
        "error",
        place,
        Sentence(
            said.key(place),
            " is for a span with ",
            demand,
            f", and this one has the cycle {span.cycle}",
        ),
        Sentence(said.leave_out(place), ", or write ", demand),
        (cycle,),
    )


def demands_of_other_loads(plan: Plan) -> Iterator[Found]:
    """A demand of a load that waters no plants, or none of which the plan knows."""
    for place, name, load, _ in _on_demand(plan):
        cycle = (*place, "cycle")
        if load.kind not in WATERERS:
            yield Found(
                "error",
                cycle,
                f"{name} is a {load.kind} and goes by demand; allowed is that to a "
                f"{' or '.join(WATERERS)} only",
                Sentence("write a cycle such as ", said.line(cycle, '"15m on, 15m off"')),
                (("loads", name, "kind"),),
            )
        elif not plan.stands_on(name) and not _is_misnamed(plan):
            yield Found(
                "error",
                cycle,
                f"{name} goes by demand, and no stand of the plan is watered by it: nobody knows "
                "what its plants drink",
                Sentence.of(
                    "add {table} with {line}, plants and the rest, or write a cycle",
                    table=said.table(("stands", "heads")),
                    line=said.line(("stands", "heads", "watered_by"), f'"{name}"'),
                ),
                (("stands",),),
            )


def _is_misnamed(plan: Plan) -> bool:
    """Whether a stand names as its load what is none, and perhaps means the one on demand."""
    return any(
        load is None or load.kind not in WATERERS
        for load in (plan.loads.get(stand.watered_by) for stand in plan.stands.values())
    )


def demands_by_no_reading(plan: Plan) -> Iterator[Found]:
    """A demand whose plants have no sensor: it goes by sun and season, whatever the weather."""
    for place, name, _, _ in _on_demand(plan):
        stands = list(plan.stands_on(name).items())
        if stands and all(stand.air is None for _, stand in stands):
            first = ("stands", stands[0][0])
            yield Found(
                "warning",
                (*place, "cycle"),
                f"{name} goes by demand, and {stands[0][0]} names no sensor of its air: sun and "
                "season alone tell how long it rests, so no heat wave shortens a rest",
                Sentence.of(
                    "add {air} to {table}, and the sensor if there is none",
                    air=said.line((*first, "air"), '"air"'),
                    table=said.table(first),
                ),
                tuple(("stands", stand) for stand, _ in stands),
            )


def demands_that_lack_a_bound(plan: Plan) -> Iterator[Found]:
    """A demand without the cycle for missing readings, or without a longest rest."""
    for place, name, _, span in _on_demand(plan):
        for key, example in _NEEDED.items():
            if getattr(span, key) is None:
                why = (
                    "what is done while readings are missing"
                    if key == "fixed"
                    else "after which time the roots are watered whatever the readings say"
                )
                yield Found(
                    "error",
                    (*place, key),
                    Sentence(
                        f"the demand of {name} has no ",
                        said.key((*place, key)),
                        f", which says {why}",
                    ),
                    Sentence(said.fill_in((*place, key), f'"{example}"')),
                    ((*place, "cycle"),),
                )


def demands_out_of_order(plan: Plan) -> Iterator[Found]:
    """A demand whose shortest is longer than its longest, or whose watering lasts no time."""
    for place, _, _, span in _on_demand(plan):
        bounds = span.demand
        if bounds is None:
            continue
        for least, most in (
            ("shortest_rest", "longest_rest"),
            ("shortest_watering", "longest_watering"),
        ):
            least_ms, most_ms = getattr(bounds, f"{least}_ms"), getattr(bounds, f"{most}_ms")
            if most_ms == 0 or (least == "shortest_watering" and least_ms == 0):
                key = most if most_ms == 0 else least
                at = (*place, key)
                yield Found(
                    "error",
                    at,
                    Sentence(said.key(at), " is 0s; allowed is more than no time"),
                    Sentence("write ", said.line(at, f'"{_EXAMPLES[key]}"')),
                )
            elif least_ms > most_ms:
                yield longer_than_the_longest(
                    (*place, least), least_ms, longest=(*place, most), longest_ms=most_ms
                )


def demands_beyond_the_load(plan: Plan) -> Iterator[Found]:
    """A demand that would water for longer, or switch faster, than its load may."""
    for place, name, load, span in _on_demand(plan):
        bounds = span.demand
        if bounds is None:
            continue
        for key, ms, edge, edge_ms in _edges(load, bounds):
            is_over = edge == "longest_on"
            if key == "shortest_watering" and ms == 0:
                continue  # told as such
            if ms > edge_ms if is_over else ms < edge_ms:
                at, of_load = (*place, key), ("loads", name, edge)
                yield Found(
                    "error",
                    at,
                    Sentence.of(
                        "{key} is {length}, and {edge} of {name} is {edge_length}; allowed is "
                        "{side} that",
                        key=said.key(at),
                        length=duration_text(ms),
                        edge=said.key(of_load),
                        name=name,
                        edge_length=duration_text(edge_ms),
                        side="at most" if is_over else "at least",
                    ),
                    Sentence("write ", said.line(at, f'"{duration_text(edge_ms)}"')),
                    (of_load, place),
                )


def _edges(load: Load, bounds: DemandBounds) -> list[tuple[str, int, str, int]]:
    """(bound of the demand, its ms, bound of the load, its ms) that must not contradict."""
    edges = [
        ("shortest_watering", bounds.shortest_watering_ms, "shortest_on", load.shortest_on),
        ("shortest_rest", bounds.shortest_rest_ms, "shortest_off", load.shortest_off),
    ]
    if load.longest_on is not None:
        edges.append(
            ("longest_watering", bounds.longest_watering_ms, "longest_on", load.longest_on)
        )
    return edges


def demands_that_rest_too_long(plan: Plan) -> Iterator[Found]:
    """A longest rest above the load's limit, and a fixed cycle that rests for longer still."""
    for place, name, load, span in _on_demand(plan):
        rest_ms, limit_ms = span.longest_rest, load.limits.longest_dry_gap
        if rest_ms is None:
            continue
        at, limit = (*place, "longest_rest"), ("loads", name, "limits", "longest_dry_gap")
        if limit_ms is not None and rest_ms > limit_ms:
            yield Found(
                "warning",
                at,
                Sentence(
                    said.key(at),
                    f" is {duration_text(rest_ms)}, and the limit ",
                    said.key(limit),
                    f" of {name} is {duration_text(limit_ms)}",
                ),
                Sentence(
                    "write ",
                    said.line(at, f'"{duration_text(limit_ms)}"'),
                    ", or state a longer limit",
                ),
                (limit,),
            )
        gap_ms = span.cycle.dry_gap_ms
        if span.fixed is not None and (gap_ms is None or gap_ms > rest_ms):
            how_long = "for ever" if gap_ms is None else f"for {duration_text(gap_ms)}"
            yield Found(
                "error" if gap_ms is None else "warning",
                (*place, "fixed"),
                Sentence(
                    f"without readings {name} would rest {how_long}, and ",
                    said.key(at),
                    f" is {duration_text(rest_ms)}",
                ),
                "write a fixed cycle that rests no longer than that",
                (at,),
            )
