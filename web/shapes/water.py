"""What a plan does to water, as answers tell it: a part of what `dry-run --json` does."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class _Water(BaseModel):
    """A part of it; `rootclock dry-run --json` has more of each."""

    model_config = ConfigDict(extra="allow")


class Range(BaseModel):
    """The least, the likely and the highest value that sources allow."""

    low: float
    likely: float
    high: float


class StandWater(_Water):
    """What came of a stand, for one plant; shares of the water within reach of its roots."""

    watered_by: str
    plants: int
    held_ml: Range
    reserve: float
    transpired_ml: Range
    thirst_ml: Range
    below_reserve_s: Range
    driest_share: Range | None
    driest_left_ml: Range | None
    driest_utc: str | None


class LiftWater(_Water):
    """What a pump brings to the top; `words` say whether it does."""

    words: str
    lifts: bool
    height_m: float
    flow_l_per_h: Range
    short_by_m: Range


class ReservoirWater(_Water):
    """What became of a reservoir that was full when the run began."""

    loads: list[str]
    full_l: float
    inlet_at_l: float
    top_up_at_l: float | None
    end_l: Range


class LastingReservoir(ReservoirWater):
    """The same, and for how many days like this one it lasts; null where for ever."""

    top_up_after_days: Range | None
    dry_after_days: Range | None


class DayWater(_Water):
    """The water of a day on paper.

    `courses` has for each stand a list of [seconds after the day's start, low, likely, high],
    what is left for its roots in thousandths; null where nothing grows.
    """

    et0_mm: float
    stands: dict[str, StandWater]
    lifts: dict[str, LiftWater]
    reservoirs: dict[str, LastingReservoir]
    assumptions: list[str]
    courses: dict[str, list[tuple[int, int, int, int]] | None] | None = None
