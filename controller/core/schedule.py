"""A plan made ready for decisions: every load with its timelines and bounds at hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from controller.core.almanac import Almanac
from controller.core.cycle import STEADY_OFF, Cycle

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from controller.core.calendar import Calendar
    from controller.core.demand.drinker import Drinker
    from controller.core.plan import Load, Plan, Variant
    from controller.core.timeline import Timeline

MICROWATTS_OF_A_WATT = 1_000_000


@dataclass(frozen=True, slots=True)
class LoadSchedule:
    """One load as a decision needs it; lengths in ms, None where there is no bound."""

    name: str
    kind: str
    own: Timeline
    variants: tuple[Variant, ...]
    variant_timelines: tuple[Timeline, ...]
    longest_on_ms: int | None
    shortest_on_ms: int
    shortest_off_ms: int
    watts: float
    without_clock: Cycle
    level: str | None
    leak: str | None
    flow: str | None
    flow_within_ms: int
    sensors: frozenset[str]  # every sensor whose reading can change what it does
    # The stands on it, where a span of it is on demand; of those that are alike the first.
    drinkers: tuple[Drinker, ...] = ()
    lamps: tuple[str, ...] = ()  # those that light them

    def timeline_of(self, variant: int) -> Timeline:
        """The spans in force with a variant, by its place; its own with -1."""
        return self.variant_timelines[variant] if variant >= 0 else self.own

    @property
    def waters(self) -> bool:
        """Whether roots live on it: pumps get recovery waterings, other loads do not."""
        return self.kind == "pump"

    @property
    def counts_waterings(self) -> bool:
        """Whether the end of its last watering is kept: recovery goes by it, and so does a rest
        on demand, of a valve too."""
        return self.waters or bool(self.drinkers)

    @property
    def microwatts(self) -> int:
        """What it draws while it is on: whole ones add up without an error, however often loads
        switch."""
        return round(self.watts * MICROWATTS_OF_A_WATT)


@dataclass(frozen=True, slots=True)
class Schedule:
    """The whole plan, ready; `places` finds a load's place by its name."""

    plan: Plan
    calendar: Calendar
    loads: tuple[LoadSchedule, ...]
    places: dict[str, int]
    sensors: dict[str, int]  # stale_after in ms of every sensor that a decision looks at

    def lamp_over(self, stand: str) -> Timeline | None:
        """The own spans of the lamp that lights a stand; None where none does."""
        lamp = self.plan.stands[stand].lamp
        return None if lamp is None else self.loads[self.places[lamp]].own


def without_clock_cycle(load: Load) -> Cycle:
    """What a load does while no clock is trusted: what the plan says, else for things that
    move water or air the first span that switches them on at all, else nothing."""
    if load.without_clock is not None:
        return load.without_clock
    if load.kind in {"pump", "fan"}:
        for span in load.spans:
            if any(span.cycle.states):
                return span.cycle
    return STEADY_OFF


def sensors_of(plan: Plan, load: Load) -> frozenset[str]:
    """The sensors whose readings can change what a load does, the stop switch aside."""
    leak = plan.guards.leak if load.kind in {"pump", "valve"} else None
    names = (load.level, load.flow, leak, *(variant.sensor for variant in load.variants))
    return frozenset(name for name in names if name is not None)


def is_on_demand(load: Load) -> bool:
    """Whether any span of a load, or of a variant of it, is on demand."""
    lists = (load.spans, *(variant.spans for variant in load.variants))
    return any(span.is_on_demand for spans in lists for span in spans)


def _drinkers(
    plan: Plan, calendar: Calendar, timelines: Mapping[str, Timeline], almanac: Almanac
) -> dict[str, tuple[Drinker, ...]]:
    """The stands on each load that is on demand; of those that are alike the first."""
    loads = [name for name, load in plan.loads.items() if is_on_demand(load)]
    if not loads:
        return {}
    # As with the almanac's open air, the models of water are for the few plans that ask for them.
    from controller.core.demand.drinker import drinker_of, unlike
    from controller.core.stands import stands_of

    open_air = almanac.open_air(plan.site)
    facts = stands_of(plan)
    return {
        load: unlike(
            drinker_of(
                one,
                plan.stands[one.name],
                open_air=open_air,
                timelines=timelines,
                calendar=calendar,
            )
            for one in facts
            if one.load == load
        )
        for load in loads
    }


def _lamps_over(drinkers: Iterable[Drinker]) -> tuple[str, ...]:
    names = dict.fromkeys(one.lamp_name for one in drinkers)
    return tuple(name for name in names if name is not None)


def _asked(plan: Plan, drinkers: Sequence[Drinker]) -> set[str]:
    """The sensors that say what plants drink: those of their air, and of the light over them."""
    lamps = [plan.loads[name] for name in _lamps_over(drinkers)]
    of_light = {one.sensor for lamp in lamps for one in lamp.variants if one.sensor is not None}
    return of_light.union(*(one.sensors for one in drinkers))


# A sensor that a variant names and that [sensors] does not declare (a dry run on a
# weather file needs no more than the name) grows stale like a declared one.
_UNDECLARED_STALE_AFTER_MS = 600_000


def make_schedule(plan: Plan, almanac: Almanac | None = None) -> Schedule:
    """The plan ready for decisions. The plan's rules (`plan_rules`) must hold.

    Args:
        plan: checked.
        almanac: what plans before it have computed; without one, it starts from nothing.

    Raises:
        UnknownZoneError: the plan's zone is not known on this machine.
    """
    almanac = Almanac() if almanac is None else almanac
    calendar = almanac.calendar(plan.site)
    own = almanac.own(plan.loads, calendar)
    drinkers = _drinkers(plan, calendar, own, almanac)
    loads = tuple(
        LoadSchedule(
            name=name,
            kind=load.kind,
            own=own[name],
            variants=load.variants,
            variant_timelines=tuple(
                almanac.timeline(variant.spans, calendar, own) for variant in load.variants
            ),
            longest_on_ms=load.longest_on,
            shortest_on_ms=load.shortest_on,
            shortest_off_ms=load.shortest_off,
            watts=load.watts or 0.0,
            without_clock=without_clock_cycle(load),
            level=load.level,
            leak=plan.guards.leak if load.kind in {"pump", "valve"} else None,
            flow=load.flow,
            flow_within_ms=load.flow_within,
            sensors=sensors_of(plan, load).union(_asked(plan, drinkers.get(name, ()))),
            drinkers=drinkers.get(name, ()),
            lamps=_lamps_over(drinkers.get(name, ())),
        )
        for name, load in plan.loads.items()
    )
    used = sorted(frozenset.union(*(load.sensors for load in loads)))
    stop_switch = plan.guards.stop_switch
    sensors = {
        name: plan.sensors[name].stale_after if name in plan.sensors else _UNDECLARED_STALE_AFTER_MS
        for name in [*used, *([stop_switch] if stop_switch is not None else [])]
    }
    places = {load.name: place for place, load in enumerate(loads)}
    return Schedule(plan, calendar, loads, places, sensors)
