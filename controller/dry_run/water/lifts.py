"""What the pumps of a plan bring up, as accounts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.lifts import curve_of, hose_of, lifting_of
from controller.core.water.lifting import WATER_C
from controller.core.water.pump_power import pump_power
from controller.core.water.water_properties import water_at
from controller.dry_run.water.water_account import LiftAccount

if TYPE_CHECKING:
    from controller.core.plan import Plan
    from controller.core.plan_parts.water import Lift


def lift_accounts(plan: Plan) -> dict[str, LiftAccount]:
    """For each load with a lift what arrives at the top; the plan's rules hold.

    For water of 20 °C, as what comes down at the stands' plants is reckoned: warmer or colder
    water changes little.
    """
    return {
        name: _account(plan, name, load.lift)
        for name, load in plan.loads.items()
        if load.lift is not None
    }


def _account(plan: Plan, name: str, lift: Lift) -> LiftAccount:
    curve, found = curve_of(lift), lifting_of(lift)
    return LiftAccount(
        load=name,
        curve=curve,
        hose=hose_of(lift),
        found=found,
        # A label of 0 W, as it stands in a plan that counts no energy, tells nothing of a pump.
        power=pump_power(
            curve, found, label_w=plan.loads[name].watts or None, water=water_at(WATER_C)
        ),
        plants=plan.plants_on(name),
        water_c=WATER_C,
    )
