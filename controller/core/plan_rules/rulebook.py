"""The rules that a plan must keep and that no single field can tell.

Each is a function of its own, in the file of its subject; a new one is written there and
added to the tuple here. Rules are told in this order for places on one line.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_rules.contacts import (
    contacts_that_rest_too_long,
    lines_that_tell_too_little,
    meters_too_coarse,
    meters_without_pulses,
    wires_that_break_unseen,
)
from controller.core.plan_rules.demand import (
    demand_keys_without_demand,
    demands_beyond_the_load,
    demands_by_no_reading,
    demands_of_other_loads,
    demands_out_of_order,
    demands_that_lack_a_bound,
    demands_that_rest_too_long,
)
from controller.core.plan_rules.lifts import (
    curves_of_lifts,
    hoses_that_cannot_be,
    lifts_beyond_the_pump,
    lifts_of_other_loads,
)
from controller.core.plan_rules.prices import energy_without_a_price, prices_told_twice
from controller.core.plan_rules.readings import (
    files_that_no_path_finds,
    readings_that_come_too_rarely,
    scales_that_lose_the_value,
    sensors_from_nowhere,
    sensors_from_two_places,
    settings_of_another_source,
)
from controller.core.plan_rules.reservoirs import (
    marks_out_of_order,
    reservoirs_that_are_not_there,
    reservoirs_that_nobody_uses,
)
from controller.core.plan_rules.sensors import (
    flows_judged_at_once,
    sensors_that_guard_nothing,
    sensors_that_measure_other_things,
    variants_with_undeclared_sensors,
)
from controller.core.plan_rules.site import (
    hemispheres_of_zone_and_latitude,
    limits_of_typical_day,
    longitudes_far_from_the_zone,
    zones_that_nobody_knows,
)
from controller.core.plan_rules.spans import (
    loads_that_follow_each_other,
    loads_that_follow_nothing,
    spans_that_start_together,
)
from controller.core.plan_rules.stands import (
    ages_of_stands,
    keys_of_another_place,
    media_of_stands,
    stands_of_unknown_drip,
    stands_that_nothing_lights,
    stands_that_nothing_waters,
)
from controller.core.plan_rules.steps import (
    bounds_that_contradict,
    flows_never_judged,
    gaps_beyond_the_limit,
    pumps_without_bounds,
    steps_too_long,
    steps_too_short,
)
from controller.core.plan_rules.variants import (
    conditions_of_variants,
    names_of_variants,
    thresholds_of_variants,
)
from controller.core.plan_rules.wiring import (
    lines_used_twice,
    lines_with_another_use,
    loads_named_like_anchors,
    loads_on_while_stopped,
    loads_on_without_power,
    loads_over_the_limit,
    names_that_look_alike,
    pumps_on_mains,
    pumps_without_watts,
)
from controller.core.plan_text.tell import tell

if TYPE_CHECKING:
    from collections.abc import Collection

    from controller.core.findings import Finding
    from controller.core.plan import Plan
    from controller.core.plan_rules.rule import Found, Rule
    from controller.core.plan_text.place import Place

RULES: tuple[Rule, ...] = (
    zones_that_nobody_knows,
    longitudes_far_from_the_zone,
    hemispheres_of_zone_and_latitude,
    limits_of_typical_day,
    loads_named_like_anchors,
    names_that_look_alike,
    lines_used_twice,
    lines_with_another_use,
    loads_on_while_stopped,
    loads_on_without_power,
    pumps_on_mains,
    loads_over_the_limit,
    pumps_without_watts,
    bounds_that_contradict,
    steps_too_long,
    steps_too_short,
    gaps_beyond_the_limit,
    flows_never_judged,
    pumps_without_bounds,
    loads_that_follow_nothing,
    loads_that_follow_each_other,
    spans_that_start_together,
    names_of_variants,
    conditions_of_variants,
    thresholds_of_variants,
    sensors_that_guard_nothing,
    sensors_that_measure_other_things,
    variants_with_undeclared_sensors,
    flows_judged_at_once,
    sensors_from_nowhere,
    sensors_from_two_places,
    files_that_no_path_finds,
    settings_of_another_source,
    scales_that_lose_the_value,
    readings_that_come_too_rarely,
    lines_that_tell_too_little,
    meters_without_pulses,
    meters_too_coarse,
    contacts_that_rest_too_long,
    wires_that_break_unseen,
    demand_keys_without_demand,
    demands_of_other_loads,
    demands_that_lack_a_bound,
    demands_out_of_order,
    demands_beyond_the_load,
    demands_that_rest_too_long,
    demands_by_no_reading,
    stands_that_nothing_waters,
    stands_that_nothing_lights,
    ages_of_stands,
    media_of_stands,
    keys_of_another_place,
    stands_of_unknown_drip,
    lifts_of_other_loads,
    curves_of_lifts,
    hoses_that_cannot_be,
    lifts_beyond_the_pump,
    reservoirs_that_are_not_there,
    marks_out_of_order,
    reservoirs_that_nobody_uses,
    energy_without_a_price,
    prices_told_twice,
)


def rules(plan: Plan) -> list[Finding]:
    """Everything that the rules find in a plan, without lines."""
    return [tell(f.level, f.place, f.message, f.mend) for f in found_in(plan)]


def found_in(plan: Plan) -> list[Found]:
    """Everything that the rules find in a plan, in the order of the rules."""
    return [found for rule in RULES for found in rule(plan)]


def sound_errors(plan: Plan, doubtful: Collection[Place]) -> list[Found]:
    """The errors that the rules find and that rest on no place in doubt.

    Warnings and notes are left out: many tell of what is absent, and what was wrongly
    written is not absent.
    """
    return [
        found
        for found in found_in(plan)
        if found.level == "error" and not any(map(found.rests_on, doubtful))
    ]
