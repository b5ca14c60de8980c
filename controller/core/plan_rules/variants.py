"""Rules about variants: who switches them, between which thresholds, and their names."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.cycle import parse_cycle
from controller.core.errors import BadCycleError
from controller.core.plan_rules.rule import Found
from controller.core.plan_text import said
from controller.core.plan_text.tell import toml_text
from controller.core.sentence import Sentence, joined

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.plan import Plan, Variant
    from controller.core.plan_text.place import Place
    from controller.core.sentence import Part


_NAME = '"hot"'


def _variants(plan: Plan) -> Iterator[tuple[Place, Variant]]:
    for name, load in plan.loads.items():
        for number, variant in enumerate(load.variants):
            yield ("loads", name, "variants", number), variant


def names_of_variants(plan: Plan) -> Iterator[Found]:
    """Variants of one load with one name, or with a name that a hold would misread."""
    first: dict[tuple[Place, str], Place] = {}
    for place, variant in _variants(plan):
        where, shown_name = (*place, "name"), toml_text(variant.name)
        before = first.setdefault((place[:2], variant.name), where)
        if before != where:
            yield Found(
                "error",
                where,
                f"two variants of {place[1]} are called {shown_name}; allowed is one of a name",
                "give this one another name",
                (before,),
            )
        if not variant.name.isprintable() or variant.name.strip() != variant.name:
            yield Found(
                "error",
                where,
                f"the name {shown_name} has blanks at an end or signs that cannot be shown; "
                "allowed are letters, digits, signs and blanks between them",
                Sentence("write a plain name, such as ", said.line(where, _NAME)),
            )
        elif _is_cycle(variant.name):
            yield Found(
                "error",
                where,
                f"a variant may not be called {shown_name}: a hold would take that for a cycle",
                Sentence("write another name, such as ", said.line(where, _NAME)),
            )


def _is_cycle(text: str) -> bool:
    try:
        parse_cycle(text)
    except BadCycleError:
        return False
    return True


def conditions_of_variants(plan: Plan) -> Iterator[Found]:
    """A variant that not exactly one of a sensor and a person switches."""
    for place, variant in _variants(plan):
        shown_name, by_hand = toml_text(variant.name), (*place, "by_hand")
        if variant.sensor is None and not variant.by_hand:
            yield Found(
                "error",
                place,
                Sentence(
                    f"nothing switches the variant {shown_name}; allowed is a sensor, or ",
                    said.key(by_hand),
                ),
                Sentence.of(
                    "add {sensor} with {above} and {until}, or {by_hand}",
                    sensor=said.line((*place, "sensor"), '"air"'),
                    above=said.line((*place, "above"), "32.0"),
                    until=said.line((*place, "until"), "29.0"),
                    by_hand=said.line(by_hand, "true"),
                ),
            )
        if variant.sensor is not None and variant.by_hand:
            yield Found(
                "error",
                place,
                Sentence(
                    f"the variant {shown_name} has a sensor and ",
                    said.key(by_hand),
                    "; allowed is one of the two",
                ),
                Sentence.of(
                    "delete {by_hand}, or {sensor} with its thresholds",
                    by_hand=said.key(by_hand),
                    sensor=said.key((*place, "sensor")),
                ),
            )
        keys = [key for key in ("above", "below", "until") if getattr(variant, key) is not None]
        if variant.by_hand and variant.sensor is None and keys:
            listed = joined(" and ", (said.key((*place, key)) for key in keys))
            yield Found(
                "error",
                (*place, keys[0]),
                Sentence(
                    f"the variant {shown_name} is switched by hand, and has ",
                    listed,
                    "; allowed are thresholds with a sensor only",
                ),
                Sentence("delete ", listed, ", or write a sensor in place of ", said.key(by_hand)),
                (place,),
            )


def thresholds_of_variants(plan: Plan) -> Iterator[Found]:
    """A sensor's variant without exactly one threshold to enter, and one to leave."""
    for place, variant in _variants(plan):
        if variant.sensor is None or variant.by_hand:
            continue
        shown_name = toml_text(variant.name)
        entered = _entered(variant)
        if entered is None:
            above, below = (*place, "above"), (*place, "below")
            yield Found(
                "error",
                place,
                Sentence.of(
                    "the variant {name} has {count} {above} {joint} {below}; allowed is exactly "
                    "one of the two",
                    name=shown_name,
                    count="neither" if variant.above is None else "both",
                    above=said.key(above),
                    joint="nor" if variant.above is None else "and",
                    below=said.key(below),
                ),
                Sentence.of(
                    "write {above} for hot spells, or {below} for cold ones",
                    above=said.line(above, "32.0"),
                    below=said.line(below, "5.0"),
                ),
            )
        elif variant.until is None:
            until = (*place, "until")
            yield Found(
                "error",
                place,
                Sentence(
                    f"the variant {shown_name} has no ",
                    said.key(until),
                    ", so nothing says when it is left",
                ),
                Sentence(said.fill_in(until, f"{_beyond(variant):g}"), ", or what suits the place"),
            )
        else:
            yield from _edges(place, variant, *entered, variant.until)


def _entered(variant: Variant) -> tuple[str, float] | None:
    """The key and value of the one threshold at which a variant is entered."""
    thresholds = (("above", variant.above), ("below", variant.below))
    stated = [(word, edge) for word, edge in thresholds if edge is not None]
    return stated[0] if len(stated) == 1 else None


def _edges(place: Place, variant: Variant, word: str, edge: float, until: float) -> Iterator[Found]:
    """What is wrong with the threshold to leave at."""
    side = "higher" if word == "above" else "lower"
    at, entry = (*place, "until"), (*place, word)
    if until > edge if word == "above" else until < edge:
        yield Found(
            "error",
            at,
            Sentence.of(
                "{until} is {until_value} and {entry} is {edge}; allowed is an {until} not {side} "
                "than {entry}",
                until=said.key(at),
                until_value=f"{until:g}",
                entry=said.key(entry),
                edge=f"{edge:g}",
                side=side,
            ),
            Sentence("write ", _better(at, variant), ", or what suits the place"),
            (entry, (*place, "sensor")),
        )
    elif until == edge and not variant.at_least:
        yield Found(
            "warning",
            at,
            Sentence.of(
                "{until} and {entry} are both {edge}: the variant will come and go with every "
                "flutter of the reading",
                until=said.key(at),
                entry=said.key(entry),
                edge=f"{edge:g}",
            ),
            Sentence.of(
                "write {until}, or {at_least}",
                until=_better(at, variant),
                at_least=said.fill_in((*place, "at_least"), '"30m"'),
            ),
        )


def _better(place: Place, variant: Variant) -> Part:
    return said.line(place, f"{_beyond(variant):g}")


def _beyond(variant: Variant) -> float:
    """A threshold to leave at, three units back from the one to enter at."""
    if variant.above is not None:
        return variant.above - 3.0
    return 3.0 if variant.below is None else variant.below + 3.0
