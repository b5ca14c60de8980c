"""Which sensor variant of a load is in force: hysteresis, a least time, and no guessing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.orders import Event, Notice

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from controller.core.memory import LoadMemory
    from controller.core.observation import Tick
    from controller.core.plan import Variant
    from controller.core.schedule import LoadSchedule


def variant_in_force(
    load: LoadSchedule,
    memory: LoadMemory,
    known: Mapping[str, float],
    *,
    awaited: Collection[str],
    tick: Tick,
) -> int:
    """The place of the variant that the readings call for, or -1.

    Of several that hold, the later listed wins, as with spans. A variant that is in force
    stays for its `at_least`, and then until its reading is back past `until`; a reading
    that is not known calls for nothing, and one that is still awaited after a start does
    not end what was in force before.
    """
    current = memory.variant
    if current >= 0 and tick - memory.variant_since < load.variants[current].at_least:
        return current
    for place in range(len(load.variants) - 1, -1, -1):
        variant = load.variants[place]
        value = known.get(variant.sensor) if variant.sensor is not None else None
        if value is not None and holds(variant, value, is_in_force=place == current):
            return place
        if place == current and variant.sensor in awaited:
            return place
    return -1


def change_notices(load: LoadSchedule, before: int, after: int) -> list[Notice]:
    """What the journal is told when one variant (by its place; -1 for none) makes room for
    another."""
    notices = []
    if before >= 0:
        notices.append(Notice(Event.VARIANT_LEFT, load.name, load.variants[before].name))
    if after >= 0:
        notices.append(Notice(Event.VARIANT_ENTERED, load.name, load.variants[after].name))
    return notices


def holds(variant: Variant, value: float, *, is_in_force: bool) -> bool:
    """Whether a reading calls for a variant: strictly past `above` or `below` to enter,
    and to stay, not yet back at `until`."""
    if variant.above is not None:
        edge = variant.until if is_in_force else variant.above
        return edge is not None and value > edge
    edge = variant.until if is_in_force else variant.below
    return edge is not None and value < edge
