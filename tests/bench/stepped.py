"""The same water, stepped by the minute in SimPy: what the closed forms are held against.

A process for each pump and lamp, for each stand and for each reservoir. Each minute they ask
the same pure functions as the dry run for what the minute did.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from typing import Any, NamedTuple

import simpy

from controller.core.schedule import Schedule
from controller.core.stands import StandFacts
from controller.core.units import MINUTE_MS, Instant
from controller.core.water.draw import Draw
from controller.core.water.reservoir import (
    Reservoir,
    Solution,
    TopUp,
    ec_to_pour,
    topped_up,
)
from controller.dry_run.water.course import LIKELY, Course

_MINUTE_S = 60.0

Process = Generator[Any, None, None]


class Driest(NamedTuple):
    """The least that was left of likely roots, as a share, and when."""

    share: float
    instant: Instant


class Tank:
    """A reservoir of one corner and what it came to."""

    def __init__(
        self, reservoir: Reservoir, draw: Draw, solution: Solution, *, uptake_ec: float
    ) -> None:
        self.reservoir = reservoir
        self.draw = draw
        self.solution = self.fresh = solution
        self.uptake_ec = uptake_ec
        self.refills = 0

    def step(self, now: Instant) -> None:
        """A minute of it; filled up to its first strength when it is at its mark."""
        reservoir = self.reservoir
        taken_l = self.draw.between(now - MINUTE_MS, now)
        lost_l = reservoir.losses_l_per_ms * MINUTE_MS
        self.solution = Solution(
            max(0.0, self.solution.water_l - taken_l - lost_l),
            max(0.0, self.solution.salts - taken_l * self.uptake_ec),
        )
        mark_l = reservoir.top_up_at_l
        if mark_l is not None and self.solution.water_l <= mark_l:
            missing_l = reservoir.full_l - self.solution.water_l
            to_ec = self.fresh.salts / self.fresh.water_l
            poured = TopUp(now, missing_l, ec_to_pour(self.solution, reservoir, to_ec=to_ec))
            self.solution, _ = topped_up(self.solution, reservoir, poured.solution)
            self.refills += 1


class SteppedGarden:
    """Pumps, lamps, stands and tanks of a plan; every plant has its age for good.

    Args:
        schedule: of the plan.
        stands: its stands, whose lamps are the plan's.
        courses: what a plant of each wants.
        tanks: all reservoirs, a corner each.
        start: full minute.
    """

    def __init__(
        self,
        schedule: Schedule,
        stands: Sequence[StandFacts],
        courses: dict[str, Course],
        tanks: Sequence[Tank],
        *,
        start: Instant,
    ) -> None:
        self._schedule = schedule
        self._environment = simpy.Environment(initial_time=start)
        self._is_on = [load.own.state_at(start) for load in schedule.loads]
        self.driest: dict[str, Driest] = {}
        for place in range(len(schedule.loads)):
            self._environment.process(self._switching(place))
        for facts in stands:
            self._environment.process(self._stand(facts, courses[facts.name]))
        for tank in tanks:
            self._environment.process(self._tank(tank))

    def run(self, end: Instant) -> None:
        """Until then."""
        # What happens at the end comes first: each minute tells of the one before it.
        self._environment.run(until=end + 1)

    @property
    def _now(self) -> Instant:
        return int(self._environment.now)

    def _switching(self, place: int) -> Process:
        """A pump or lamp as its plan has it."""
        timeline = self._schedule.loads[place].own
        while True:
            look = timeline.look(self._now)
            yield self._environment.timeout(look.until - self._now)
            # Roots first: they are told of the minute before it.
            yield self._environment.timeout(0)
            self._is_on[place] = timeline.state_at(self._now)

    def _stand(self, facts: StandFacts, course: Course) -> Process:
        """The roots of one plant, driest, likely and wettest."""
        assert facts.age_days is not None
        places, lamp = self._schedule.places, self._schedule.plan.stands[facts.name].lamp
        pump, lit = places[facts.load], None if lamp is None else places[lamp]
        stores = facts.stores_at(facts.age_days)
        wetness = [store.drained for store in stores]
        driest = Driest(1.0, self._now)
        while True:
            hour = course.at(self._now)
            yield self._environment.timeout(MINUTE_MS)
            is_wet = self._is_on[pump]
            rates = course.lit if lit is not None and self._is_on[lit] else course.dark
            for corner, (store, of_corner) in enumerate(zip(stores, rates.corners, strict=True)):
                act = store.watered if is_wet else store.rested
                passage = act(wetness[corner], length_s=_MINUTE_S, demand_ml_per_s=of_corner[hour])
                wetness[corner] = passage.after
            share = stores[LIKELY].left_share(wetness[LIKELY])
            if share < driest.share:
                driest = self.driest[facts.name] = Driest(share, self._now)

    def _tank(self, tank: Tank) -> Process:
        while True:
            yield self._environment.timeout(MINUTE_MS)
            tank.step(self._now)
