"""One list of spans of the plan, and all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.schedule import LoadSchedule, Schedule
    from controller.core.timeline import Timeline


class SpanList(NamedTuple):
    """One list of spans of the plan: a load's own, or a variant's."""

    load: LoadSchedule
    timeline: Timeline
    where: str
    name: str


def span_lists(schedule: Schedule) -> Iterator[SpanList]:
    """Every list of spans of a plan, each load's own before those of its variants."""
    for load in schedule.loads:
        where = f"loads.{load.name}"
        yield SpanList(load, load.own, f"{where}.spans", load.name)
        for place, variant in enumerate(load.variants):
            yield SpanList(
                load,
                load.variant_timelines[place],
                f"{where}.variants.{place}.spans",
                f"{load.name}, variant {variant.name}",
            )
