"""What a demand goes by besides the clock and the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from controller.core.observation import Tick

_NEVER: Tick = 10**15


class Signs(NamedTuple):
    """What plants are asked by.

    `known` has the fresh value of each sensor. `lit` and `dark` are lamps that a person or a sensor
    has so, and `stands_until` is the first moment at which that may end by itself; all others shine
    as the plan's own spans have them. `awaited` are the sensors that have not spoken yet and still
    may.
    """

    known: Mapping[str, float]
    lit: frozenset[str] = frozenset()
    dark: frozenset[str] = frozenset()
    stands_until: Tick = _NEVER
    awaited: Collection[str] = ()
