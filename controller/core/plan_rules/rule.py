"""What a rule of the plan is, and what it finds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from controller.core.plan_text import said
from controller.core.sentence import Sentence
from controller.core.units import duration_text

if TYPE_CHECKING:
    from controller.core.anchor import Anchor
    from controller.core.cycle import Cycle
    from controller.core.findings import Level
    from controller.core.plan import Load, Plan
    from controller.core.plan_parts.spans import Span
    from controller.core.plan_text.place import Place


WATERERS = ("pump", "valve")  # kinds of loads that bring water to plants


class Found(NamedTuple):
    """What one rule found at a place; `also` are the other places that it rests on.

    A finding rests on its own place and on all within. Where any of these does not fit
    the plan's form, the finding is not told.
    """

    level: Level
    place: Place
    message: str
    mend: str
    also: tuple[Place, ...] = ()

    def rests_on(self, doubtful: Place) -> bool:
        """Whether the finding depends on the value at a place, or on part of it."""
        return any(
            doubtful[: len(place)] == place or place[: len(doubtful)] == doubtful
            for place in (self.place, *self.also)
        )


Rule: TypeAlias = "Callable[[Plan], Iterator[Found]]"


def longer_than_the_longest(
    place: Place, length_ms: int, *, longest: Place, longest_ms: int
) -> Found:
    """The error of a shortest length that is longer than the longest, and where both stand."""
    least, most = said.key(place), said.key(longest)
    return Found(
        "error",
        place,
        Sentence.of(
            "{least} is {length} and {most} is {longest}; allowed is at most {most}",
            least=least,
            length=duration_text(length_ms),
            most=most,
            longest=duration_text(longest_ms),
        ),
        Sentence.of(
            "write {line} or less, or a longer {most}",
            line=said.line(place, f'"{duration_text(longest_ms)}"'),
            most=most,
        ),
        (longest,),
    )


def span_lists(name: str, load: Load) -> Iterator[tuple[Place, tuple[Span, ...]]]:
    """A load's lists of spans with their places: its own, then those of its variants."""
    yield ("loads", name, "spans"), load.spans
    for number, variant in enumerate(load.variants):
        yield ("loads", name, "variants", number, "spans"), variant.spans


def cycles(name: str, load: Load) -> Iterator[tuple[Place, Cycle]]:
    """All the cycles that a load's plan has, with their places."""
    for place, spans in span_lists(name, load):
        for number, span in enumerate(spans):
            yield (*place, number, "fixed" if span.is_on_demand else "cycle"), span.cycle
    if load.without_clock is not None:
        yield ("loads", name, "without_clock"), load.without_clock


def anchors(name: str, load: Load) -> Iterator[tuple[Place, Anchor]]:
    """All the anchors that a load's plan has, with their places."""
    for place, spans in span_lists(name, load):
        for number, span in enumerate(spans):
            yield (*place, number, "from"), span.anchor


def sensors_in_use(plan: Plan) -> tuple[str, ...]:
    """The sensors that a load, a guard, a variant or a stand names, each once."""
    named = [plan.guards.leak, plan.guards.stop_switch]
    for load in plan.loads.values():
        named += [load.level, load.flow, *(variant.sensor for variant in load.variants)]
    for stand in plan.stands.values():
        named += [stand.air, stand.humidity]
    return tuple(dict.fromkeys(name for name in named if name is not None))
