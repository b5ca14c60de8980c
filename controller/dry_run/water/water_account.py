"""The account of a run's water, as values: stands, lifts, reservoirs, days.

Wherever a figure has a range, `low` belongs to the driest roots that the sources allow (least
store, highest demand, least drip) where it tells what is left, and to the least demand where
it tells what was drunk. Volumes of stands are for one plant unless the name says otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from controller.core.water.missing_inputs import StandIn
from controller.core.water.reservoir_outlook import Reached

if TYPE_CHECKING:
    from datetime import date

    from controller.core.units import Instant
    from controller.core.water.bounds import Bounds
    from controller.core.water.lifting import Lifting
    from controller.core.water.pump_curve import PumpCurve
    from controller.core.water.pump_power import PumpPower
    from controller.core.water.reservoir_outlook import ReservoirOutlook
    from controller.core.water.rising_hose import RisingHose
    from controller.weather.days import AirDay


class DriestMoment(NamedTuple):
    """When least was left for a plant, and how much: of the held water, mL and share of it.

    `instant` is that of the likely roots.
    """

    instant: Instant
    left_ml: Bounds
    left_share: Bounds


class StandDay(NamedTuple):
    """One local standard day of a stand: what a plant drank, wanted and had at its driest.

    The run's first day has everything from the start of the run, its last all until its end,
    so that the days add up to the run. `driest` is None on a day before sowing; then the rest
    is 0.
    """

    date: date
    transpired_ml: Bounds
    thirst_ml: Bounds
    driest: DriestMoment | None


class CoursePoint(NamedTuple):
    """What is left of a plant's held water at an instant, as a share of it."""

    instant: Instant
    left_share: Bounds


@dataclass(frozen=True, slots=True, kw_only=True)
class StandAccount:
    """What a run did to one stand.

    `held_ml` is what a plant can draw when its roots are full and drained, at the run's last
    day; `stress_share` the share of it that may be gone before a lettuce suffers, as sources
    have it; `reserve` the share that the plan wants to be left. `below_reserve_ms` is how long
    less than that was left: `low` for the wettest roots, `high` for the driest. `driest` is
    None where nothing grew.
    """

    name: str
    load: str
    plants: int
    reserve: float
    first_age_days: int | None
    last_age_days: int | None
    drip_ml_per_min: Bounds
    held_ml: Bounds
    stress_share: Bounds
    transpired_ml: Bounds
    thirst_ml: Bounds
    ran_off_ml: Bounds
    driest: DriestMoment | None
    below_reserve_ms: Bounds
    days: tuple[StandDay, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftAccount:
    """What one load's pump brings up, and to how many plants; 0 where no stand names it.

    `curve` and `hose` are the pump and the way up as the plan has them, `found` what arrives,
    for water of `water_c`, °C.
    """

    load: str
    curve: PumpCurve
    hose: RisingHose
    found: Lifting
    power: PumpPower
    plants: int
    water_c: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReservoirAccount:
    """What became of one reservoir, which was full at the start.

    It is drawn from by what all stands on its `loads` want to transpire, with lamps lit as
    their own spans have them. `left_alone` is its outlook if nobody fills it; `refilled` if
    somebody fills it to the strength that it began with whenever it falls to its mark, None
    where the plan states no mark. The latter, where there is one, is what befell the roots.
    `ec_is_known` says whether the plan states a strength: else all of it is told as 0.
    `water_c`, °C, is the plan's or the mean of the air; `air_kpa` the air's pressure there.
    """

    name: str
    loads: tuple[str, ...]
    left_alone: ReservoirOutlook
    refilled: ReservoirOutlook | None
    ec_is_known: bool
    ppm_scale: int | None
    water_c: float
    air_kpa: float

    @property
    def happened(self) -> ReservoirOutlook:
        """The outlook that the roots of the run went by."""
        return self.left_alone if self.refilled is None else self.refilled

    @property
    def dry_at(self) -> Reached:
        """When the inlet first drew air in the run."""
        slow, fast = self.happened.corners[0], self.happened.corners[2]
        return Reached(
            fast.inlet_drew_air_at,
            self.happened.likely.inlet_drew_air_at,
            slow.inlet_drew_air_at,
        )

    @property
    def top_up_at(self) -> Reached | None:
        """When its level first fell to the mark for filling up; None: there is no mark."""
        mark_l = self.left_alone.reservoir.top_up_at_l
        return None if mark_l is None else self.left_alone.falls_to(mark_l)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterAccount:
    """What a run did to everything that holds or moves water.

    `days` are the local standard days of the air, each told whole, one at least; `warmest` and
    `mildest` are two of them: the one that asked most of the plants and the one that asked
    least, by ET0, of equals the first; a run of one day has no mildest. `courses` has for each
    stand, by name, its roots on these two days, one list of points each, at every change and
    every few minutes between; none where nothing grew. `assumed_h` is for how many hours
    something stood in for what the weather file does not tell, and `assumptions` says so in
    sentences.
    """

    stands: dict[str, StandAccount]
    lifts: dict[str, LiftAccount]
    reservoirs: dict[str, ReservoirAccount]
    days: tuple[AirDay, ...]
    warmest: date
    mildest: date | None
    courses: dict[str, dict[date, tuple[CoursePoint, ...]]]
    assumed_h: dict[StandIn, float]
    assumptions: tuple[str, ...]

    @property
    def rests_on_air(self) -> bool:
        """Whether any of its figures hangs on the air: roots, reservoirs, a weather file's days."""
        is_of_file = any(StandIn.TEMPERATURE not in day.assumed for day in self.days)
        return bool(self.stands or self.reservoirs or is_of_file)
