"""Rules about spans: what their anchors follow, and spans that start together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.anchor import LoadChange
from controller.core.plan_rules.rule import Found, anchors, span_lists
from controller.core.plan_text import said
from controller.core.plan_text.tell import toml_text
from controller.core.sentence import Sentence

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from controller.core.plan import Plan
    from controller.core.plan_text.place import Place


def loads_that_follow_nothing(plan: Plan) -> Iterator[Found]:
    """An anchor that names a load which the plan does not have, or its own load."""
    for name, load in plan.loads.items():
        for place, anchor in anchors(name, load):
            if not isinstance(anchor.base, LoadChange):
                continue
            followed = anchor.base.load
            if followed == name:
                yield Found(
                    "error",
                    place,
                    f"{toml_text(str(anchor))} follows {name} itself; an anchor may follow "
                    "another load only",
                    "write a time, a sun event, or another load's change",
                )
            elif followed not in plan.loads:
                yield Found(
                    "error",
                    place,
                    Sentence(
                        f"{toml_text(str(anchor))} follows {followed}, and the plan has no ",
                        said.table(("loads", followed)),
                        f"; its loads are {', '.join(plan.loads)}",
                    ),
                    _likely_load(followed, plan),
                    (("loads", followed),),
                )


def _likely_load(name: str, plan: Plan) -> str:
    from controller.core.plan_text.likely import likely_word

    likely = likely_word(name, plan.loads)
    return f"did you mean {likely}?" if likely else "write the name of one of these loads"


def loads_that_follow_each_other(plan: Plan) -> Iterator[Found]:
    """Loads whose anchors follow one another in a ring, so that none knows when to start."""
    follows: dict[str, dict[str, Place]] = {}
    for name, load in plan.loads.items():
        follows[name] = {}
        for place, anchor in anchors(name, load):
            if isinstance(anchor.base, LoadChange) and anchor.base.load in plan.loads:
                follows[name].setdefault(anchor.base.load, place)
    told: set[str] = set()
    for name in plan.loads:
        ring = [] if name in told else _ring(name, follows)
        if len(ring) < 2:
            continue
        told.update(ring)
        path = " follows ".join((*ring, ring[0]))
        places = [follows[one][other] for one, other in zip(ring, (*ring[1:], name), strict=True)]
        yield Found(
            "error",
            places[0],
            f"{path}: in such a ring no load knows when to start",
            "give one of them a time or a sun event",
            tuple(places[1:]),
        )


def _ring(start: str, follows: Mapping[str, Mapping[str, Place]]) -> list[str]:
    """The shortest way from a load along what it follows back to it; empty if none."""
    ways = [[start]]
    seen = {start}
    for way in ways:  # grows as it is walked: nearest first
        for followed in follows[way[-1]]:
            if followed == start:
                return way
            if followed not in seen:
                seen.add(followed)
                ways.append([*way, followed])
    return []


def spans_that_start_together(plan: Plan) -> Iterator[Found]:
    """Two spans of one list with the same anchor: the earlier never comes into force."""
    for name, load in plan.loads.items():
        for place, spans in span_lists(name, load):
            last = {span.anchor: number for number, span in enumerate(spans)}
            for number, span in enumerate(spans):
                later = last[span.anchor]
                if later != number:
                    yield Found(
                        "warning",
                        (*place, number, "from"),
                        f"span {number + 1} starts at {toml_text(str(span.anchor))} like span "
                        f"{later + 1}; the later one wins, so this one is never used",
                        "give it another anchor, or delete it",
                        ((*place, later, "from"),),
                    )
