"""The reservoirs of a run, followed before it: what plants want does not hang on the pump."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.water.draw import Draw
from controller.core.water.nutrient_use import uptake_ec_ms_per_cm
from controller.core.water.reservoir import Reservoir, Solution
from controller.core.water.reservoir_outlook import DrawBounds, look_ahead
from controller.dry_run.water.course import CORNERS, DRIEST, LIKELY, WETTEST
from controller.dry_run.water.water_account import ReservoirAccount

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.plan import Plan
    from controller.core.stands import StandFacts
    from controller.core.units import Instant
    from controller.dry_run.water.course import Course
    from controller.dry_run.water.run_air import RunAir


def reservoir_account(
    plan: Plan, name: str, litres: Sequence[Sequence[Sequence[float]]], air: RunAir
) -> ReservoirAccount:
    """What becomes of a reservoir that is full at the start of the run.

    Args:
        plan: its rules hold.
        name: of the reservoir.
        litres: for each stand on its loads and each corner what it draws between the edges of
            the air (`drawn_litres`).
        air: of the run.
    """
    stated = plan.reservoirs[name]
    reservoir = Reservoir(
        full_l=stated.full_l,
        inlet_at_l=stated.inlet_at_l,
        top_up_at_l=stated.top_up_at_l,
        losses_l_per_day=stated.losses_l_per_day,
    )
    draw = _draw(air.edges, litres)
    began_ec = stated.ec_ms_per_cm or 0.0
    solution = Solution.of_ec(stated.full_l, ec_ms_per_cm=began_ec)
    uptake_ec = uptake_ec_ms_per_cm()
    refilled = None
    if stated.top_up_at_l is not None:
        refilled = look_ahead(
            reservoir, draw, solution=solution, uptake_ec=uptake_ec, refill_to_ec=began_ec
        )
    return ReservoirAccount(
        name=name,
        loads=tuple(load for load, its in plan.loads.items() if its.reservoir == name),
        left_alone=look_ahead(reservoir, draw, solution=solution, uptake_ec=uptake_ec),
        refilled=refilled,
        ec_is_known=stated.ec_ms_per_cm is not None,
        ppm_scale=stated.ppm_scale,
        water_c=air.mean_c if stated.water_c is None else stated.water_c,
        air_kpa=air.air_kpa,
    )


def drawn_litres(
    facts: StandFacts, course: Course, lit_shares: Sequence[float]
) -> list[list[float]]:
    """What a stand draws between the edges of its course, L, for each corner: what it wants, but
    nothing from a pump that likely does not lift that high. At the most, such a one is stronger
    than its label."""
    wanted = course.litres(facts.plants, lit_shares)
    if facts.drip_ml_per_s.likely > 0.0:
        return wanted
    nothing = [0.0] * len(wanted[LIKELY])
    most = wanted[DRIEST] if facts.drip_ml_per_s.high > 0.0 else nothing
    return [most, nothing, nothing]


def _draw(edges: Sequence[Instant], litres: Sequence[Sequence[Sequence[float]]]) -> DrawBounds:
    """What all stands want together, between the least and the most."""
    nothing = [0.0] * (len(edges) - 1)
    corners = [
        Draw(
            edges,
            [
                sum(of_stands)
                for of_stands in zip(nothing, *(one[corner] for one in litres), strict=True)
            ],
        )
        for corner in range(len(CORNERS))
    ]
    return DrawBounds(corners[WETTEST], corners[LIKELY], corners[DRIEST])
