"""Rules about switching: cycles against the bounds and limits of their load."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from controller.core.plan_rules.rule import Found, cycles, longer_than_the_longest
from controller.core.plan_text import said
from controller.core.plan_text.tell import toml_text
from controller.core.sentence import Sentence
from controller.core.units import MINUTE_MS, duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.cycle import Cycle
    from controller.core.plan import Load, Plan

_PAUSE_MS = 5 * MINUTE_MS  # what a proposed cycle leaves between two stretches of on


def bounds_that_contradict(plan: Plan) -> Iterator[Found]:
    """A least time on that is longer than the greatest."""
    for name, load in plan.loads.items():
        if load.longest_on is not None and load.shortest_on > load.longest_on:
            yield longer_than_the_longest(
                ("loads", name, "shortest_on"),
                load.shortest_on,
                longest=("loads", name, "longest_on"),
                longest_ms=load.longest_on,
            )


def steps_too_long(plan: Plan) -> Iterator[Found]:
    """A cycle that keeps a load on for longer than it may be."""
    for name, load in plan.loads.items():
        if load.longest_on is None:
            continue
        most = duration_text(load.longest_on)
        for place, cycle in cycles(name, load):
            on_ms = cycle.watering_ms
            if on_ms is not None and on_ms <= load.longest_on:
                continue
            how_long = "without an end" if on_ms is None else f"for {duration_text(on_ms)}"
            longest = ("loads", name, "longest_on")
            yield Found(
                "error",
                place,
                Sentence(
                    f"{toml_text(str(cycle))} keeps {name} on {how_long}; ",
                    said.key(longest),
                    f" allows {most} at a stretch",
                ),
                Sentence.of(
                    "write something like {line}, or leave {longest_on} out",
                    line=said.line(place, f'"{_within(load, cycle)}"'),
                    longest_on=said.key(longest),
                ),
                (longest,),
            )


def _within(load: Load, cycle: Cycle) -> str:
    """A cycle of two steps near to the given one, within the load's longest on."""
    longest_ms = load.longest_on or 0
    off_ms = max(cycle.dry_gap_ms or _PAUSE_MS, load.shortest_off)
    on_ms = longest_ms - _PAUSE_MS if longest_ms > 2 * _PAUSE_MS else longest_ms
    return f"{duration_text(on_ms)} on, {duration_text(off_ms)} off"


def steps_too_short(plan: Plan) -> Iterator[Found]:
    """A cycle with a step that is over before the load may switch again."""
    for name, load in plan.loads.items():
        bounds = ((True, "on", load.shortest_on), (False, "off", load.shortest_off))
        for place, cycle in cycles(name, load):
            for is_on, state, least_ms in bounds:
                step_ms = _shortest_ms(cycle, is_on=is_on)
                if step_ms is None or step_ms >= least_ms:
                    continue
                least, bound = duration_text(least_ms), ("loads", name, f"shortest_{state}")
                yield Found(
                    "error",
                    place,
                    Sentence(
                        f"{toml_text(str(cycle))} switches {name} {state} for "
                        f"{duration_text(step_ms)}; ",
                        said.key(bound),
                        f" asks for at least {least}",
                    ),
                    Sentence(f"make that step {least} or longer, or lower ", said.key(bound)),
                    (bound,),
                )


def _shortest_ms(cycle: Cycle, *, is_on: bool) -> int | None:
    """The shortest stretch of a state within one period; None where there is none.

    Neighbouring steps of one state are one stretch. The last and the first are not taken
    together: when the span starts, the first begins on its own.
    """
    if cycle.steady is not None:
        return None
    borders = pairwise((*cycle.offsets_ms, cycle.period_ms))
    stretches = zip(borders, cycle.states, strict=True)
    return min(end - start for (start, end), state in stretches if state is is_on)


def gaps_beyond_the_limit(plan: Plan) -> Iterator[Found]:
    """A limit on the dry gap that a cycle of the same load breaks by itself."""
    for name, load in plan.loads.items():
        most_ms = load.limits.longest_dry_gap
        if most_ms is None:
            continue
        for place, cycle in cycles(name, load):
            gap_ms = cycle.dry_gap_ms
            if gap_ms is None or gap_ms <= most_ms or place[-1] == "without_clock":
                continue
            limit = ("loads", name, "limits", "longest_dry_gap")
            yield Found(
                "warning",
                place,
                Sentence(
                    f"{toml_text(str(cycle))} leaves {name} off for {duration_text(gap_ms)}; its "
                    "limit ",
                    said.key(limit),
                    f" is {duration_text(most_ms)}",
                ),
                "shorten that step, or state a longer limit",
                (limit,),
            )


def flows_never_judged(plan: Plan) -> Iterator[Found]:
    """A flow guard that waits for longer than any watering lasts."""
    for name, load in plan.loads.items():
        stretches = [cycle.watering_ms for _, cycle in cycles(name, load)]
        if load.flow is None or None in stretches:
            continue
        longest_ms = max(stretch for stretch in stretches if stretch is not None)
        if 0 < longest_ms <= load.flow_within:
            longest, place = duration_text(longest_ms), ("loads", name, "flow_within")
            yield Found(
                "warning",
                place,
                Sentence(
                    said.key(place),
                    f" is {duration_text(load.flow_within)} and the longest watering of {name} is "
                    f"{longest}: a missing flow would never be seen",
                ),
                Sentence(
                    "write ",
                    said.line(place, f'"{_half(longest_ms)}"'),
                    f", or less than {longest}",
                ),
                (("loads", name),),
            )


def _half(length_ms: int) -> str:
    return duration_text(length_ms // 2000 * 1000 or length_ms // 2)


def pumps_without_bounds(plan: Plan) -> Iterator[Found]:
    """A pump without a longest on, or without a cycle for the time without a clock."""
    for name, load in plan.loads.items():
        if load.kind == "pump" and load.longest_on is None:
            place = ("loads", name, "longest_on")
            yield Found(
                "note",
                place,
                Sentence(
                    f"{name} has no ",
                    said.key(place),
                    ", so nothing ends a watering that should have ended",
                ),
                Sentence("add it, such as ", said.line(place, '"45m"')),
            )
        if load.kind == "pump" and load.without_clock is None:
            place = ("loads", name, "without_clock")
            yield Found(
                "note",
                place,
                Sentence(
                    f"{name} has no ",
                    said.key(place),
                    ": until the clock is trusted it runs the first cycle of its spans that waters",
                ),
                Sentence("add it, such as ", said.line(place, '"15m on, 15m off"')),
            )
