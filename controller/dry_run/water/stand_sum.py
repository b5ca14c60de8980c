"""What a run did to one stand, summed up into its account."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from controller.core.water.bounds import Bounds
from controller.core.water.depletion import depletion_before_stress
from controller.core.water.transpiration import ML_PER_MM_M2
from controller.dry_run.water.stand_days import driest_of_days, ordered
from controller.dry_run.water.water_account import StandAccount

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from controller.core.stands import StandFacts
    from controller.core.water.root_stores import RootStores
    from controller.dry_run.water.stand_days import DayBook
    from controller.dry_run.water.water_account import CoursePoint

_MS_PER_S = 1000.0
_S_PER_MIN = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StandSum:
    """The sums of a finished run, for each corner in the order of `CORNERS`.

    `stores` are those of the last day, None where nothing grew. `stored_more_ml` is what was
    within reach at the end beyond what was at the start, or at sowing.
    """

    book: DayBook
    stores: RootStores | None
    below_s: Sequence[float]
    stored_more_ml: Sequence[float]
    wet_ms: Sequence[int]
    courses: dict[date, tuple[CoursePoint, ...]]

    def account(self, facts: StandFacts, *, first: date, last: date) -> StandAccount:
        """The account; `first` and `last` are the run's local dates."""
        book, stores = self.book, self.stores
        held = (0.0, 0.0, 0.0) if stores is None else tuple(store.held_ml for store in stores)
        drunk_mm = max(day.transpired_ml.likely for day in book.closed) / ML_PER_MM_M2
        return StandAccount(
            name=facts.name,
            load=facts.load,
            plants=facts.plants,
            reserve=facts.reserve,
            first_age_days=facts.age_days_on(first),
            last_age_days=facts.age_days_on(last),
            drip_ml_per_min=facts.drip_ml_per_s.times(_S_PER_MIN),
            held_ml=Bounds(*held),
            stress_share=depletion_before_stress(
                facts.medium,
                transpired_mm_per_day=drunk_mm * facts.foliage.plants_per_m2,
            ),
            transpired_ml=ordered(book.transpired_ml),
            thirst_ml=ordered(book.thirst_in_all_ml),
            ran_off_ml=ordered(self.ran_off_ml(facts)),
            driest=driest_of_days(book.closed),
            below_reserve_ms=ordered([seconds * _MS_PER_S for seconds in self.below_s]),
            days=tuple(book.closed),
        )

    def ran_off_ml(self, facts: StandFacts) -> list[float]:
        """What came down and was neither drunk nor kept."""
        came_ml = [
            drip_ml_per_s * wet_ms / _MS_PER_S
            for drip_ml_per_s, wet_ms in zip(facts.drip_ml_per_s, self.wet_ms, strict=True)
        ]
        return [
            max(0.0, came - drunk - more)
            for came, drunk, more in zip(
                came_ml, self.book.transpired_ml, self.stored_more_ml, strict=True
            )
        ]
