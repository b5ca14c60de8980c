"""The longest rests with which so many of the plants drawn at random keep their reserve."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from controller.advice.rests import Rest, lasting_rest_s, rest_of_need_s, rest_within
from controller.advice.sampling import store_of
from controller.core.units import SECOND_MS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from controller.advice.lengths import Lengths
    from controller.advice.needs import SpanNeeds
    from controller.advice.sampling import Drawn
    from controller.core.water.root_store import RootStore

_DRIEST, _LIKELY, _WETTEST = 0, 1, 2
# Plants that age have a need for each day of their age; the tightest of them tell enough.
_NEEDS_MAX = 6


def careful_rests(
    span: SpanNeeds,
    lengths: Lengths,
    drawn: Mapping[str, Sequence[Drawn]],
    shares: Sequence[float],
) -> dict[float, list[Rest]]:
    """For each share of the draws, each of one plant a stand, the longest rest after each watering
    of the ladder with which so many meet all needs of the span; those that none fits are left
    out."""
    watering_s = lengths.waterings_ms[-1] / SECOND_MS
    tightest = sorted(
        span.needs, key=lambda need: rest_of_need_s(need, watering_s=watering_s, corner=_LIKELY)
    )
    thirsts = [
        [
            (
                store_of(need.facts, need.age_days, plant),
                need.facts.reserve,
                need.rates_ml_per_s[_WETTEST]
                + plant.demand * (need.rates_ml_per_s[_DRIEST] - need.rates_ml_per_s[_WETTEST]),
            )
            for plant in drawn[need.facts.name]
        ]
        for need in tightest[:_NEEDS_MAX]
    ]
    draws = list(zip(*thirsts, strict=True))
    rests: dict[float, list[Rest]] = {share: [] for share in shares}
    for watering_ms in lengths.waterings_ms:
        lasting_s = sorted(_rest_s(draw, watering_ms) for draw in draws)
        for share, of_share in rests.items():
            rest_ms = rest_within(_met_by(share, lasting_s), lengths)
            if rest_ms is not None:
                of_share.append(Rest(watering_ms, rest_ms, None))
    return rests


def _rest_s(draw: Sequence[tuple[RootStore, float, float]], watering_ms: int) -> float:
    """The rest that all plants of a draw stand."""
    return min(
        (
            lasting_rest_s(
                store,
                reserve=reserve,
                demand_ml_per_s=demand,
                watering_s=watering_ms / SECOND_MS,
            )
            for store, reserve, demand in draw
        ),
        default=inf,
    )


def _met_by(share: float, lasting_s: Sequence[float]) -> float:
    """Of rising rests the longest that such a share of the draws stands."""
    return lasting_s[int((1.0 - share) * len(lasting_s))]
