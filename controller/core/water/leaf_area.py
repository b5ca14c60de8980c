"""How much leaf a leafy green has, by its age."""

from __future__ import annotations

from math import exp

from controller.core.water.bounds import Bounds

# The logistic curve (Verhulst, Notice sur la loi que la population suit dans son
# accroissement, 1838): young leaves grow in proportion to themselves, then the head fills its
# place. How fast is a rate of a quarter a day: seedlings of lettuce in good light double in
# under three days (from memory).
GROWTH_PER_DAY = 0.25
# What a head reaches, m². Graamans et al. 2017 (Plant factories versus greenhouses,
# Agricultural Systems 153) have a leaf area index of 3 at 25 plants/m², so 0.12 m² a plant;
# heads of 150 to 250 g have up to twice that (from memory).
FULL_LEAF_M2 = Bounds(0.13, 0.18, 0.24)
# Half of it is there after so many days from sowing: the later, the smaller. Set so that the
# likely head is ready five to six weeks after sowing (common practice, no source).
HALF_GROWN_DAYS = Bounds(34.0, 30.0, 27.0)


def leaf_area_m2(age_days: float) -> Bounds:
    """The leaf area of one plant, m², one side of each leaf; it never falls with age.

    Args:
        age_days: days from sowing, 0 or more.
    """
    return Bounds(
        _grown_m2(age_days, full_m2=FULL_LEAF_M2.low, half_days=HALF_GROWN_DAYS.low),
        _grown_m2(age_days, full_m2=FULL_LEAF_M2.likely, half_days=HALF_GROWN_DAYS.likely),
        _grown_m2(age_days, full_m2=FULL_LEAF_M2.high, half_days=HALF_GROWN_DAYS.high),
    )


def _grown_m2(age_days: float, *, full_m2: float, half_days: float) -> float:
    """The logistic curve: half of `full_m2` at `half_days`."""
    return full_m2 / (1.0 + exp(-GROWTH_PER_DAY * (age_days - half_days)))
