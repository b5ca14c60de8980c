"""A reservoir: what it is, and what is in it."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import NamedTuple

from controller.core.units import DAY_MS, Instant, shown


@dataclass(frozen=True, slots=True, kw_only=True)
class Reservoir:
    """A reservoir as its owner describes it.

    `full_l` is what it holds when filled, `inlet_at_l` what is left when the pump's inlet
    draws air, `top_up_at_l` where its owner fills it again (None: not said), all in L.
    `losses_l_per_day` is taken for vapour, which leaves its salts behind; what drips or
    splashes takes them along, and then the strength is told too high.

    Raises:
        ValueError: the levels are not in order, or an amount is no amount.
    """

    full_l: float
    inlet_at_l: float = 0.0
    top_up_at_l: float | None = None
    losses_l_per_day: float = 0.0

    def __post_init__(self) -> None:
        """Refuses what cannot be."""
        if not (isfinite(self.full_l) and 0 <= self.inlet_at_l < self.full_l):
            raise ValueError(
                f"inlet_at_l {shown(self.inlet_at_l)} must be from 0 to under full_l "
                f"{shown(self.full_l)}"
            )
        mark = self.top_up_at_l
        if mark is not None and not self.inlet_at_l <= mark < self.full_l:
            raise ValueError(
                f"top_up_at_l {shown(mark)} must be from inlet_at_l {shown(self.inlet_at_l)} to "
                f"under full_l {shown(self.full_l)}"
            )
        if not (isfinite(self.losses_l_per_day) and self.losses_l_per_day >= 0):
            raise ValueError(
                f"losses_l_per_day {shown(self.losses_l_per_day)}: a number that is not "
                "negative is needed"
            )

    @property
    def losses_l_per_ms(self) -> float:
        """What evaporates a millisecond, L."""
        return self.losses_l_per_day / DAY_MS


class Solution(NamedTuple):
    """Water with salts in it.

    `water_l` in L; `salts` in mS/cm × L, the conductivity that they would give one litre at
    25 °C. Conductivity is taken as proportional to concentration, which from 0.5 to 3 mS/cm
    is right to about a tenth (from memory).
    """

    water_l: float
    salts: float = 0.0

    @staticmethod
    def of_ec(water_l: float, *, ec_ms_per_cm: float) -> Solution:
        """Water of a conductivity at 25 °C.

        Raises:
            ValueError: an amount is no amount.
        """
        for name, value in (("L", water_l), ("mS/cm", ec_ms_per_cm)):
            if not (isfinite(value) and value >= 0):
                raise ValueError(f"{shown(value)} {name}: a number that is not negative is needed")
        return Solution(water_l, water_l * ec_ms_per_cm)

    @property
    def ec_ms_per_cm(self) -> float | None:
        """Conductivity at 25 °C, mS/cm; None without water, where salts lie dry."""
        return self.salts / self.water_l if self.water_l > 0 else None

    def mixed_with(self, other: Solution) -> Solution:
        """Both together: water and salts add up."""
        return Solution(self.water_l + other.water_l, self.salts + other.salts)

    def share(self, water_l: float) -> Solution:
        """As much of it as that water carries; all of it where it holds less."""
        if water_l >= self.water_l:
            return self
        return Solution(water_l, self.salts * (water_l / self.water_l))


class TopUp(NamedTuple):
    """Water or solution that is poured in: when, litres, and mS/cm at 25 °C."""

    at: Instant
    litres: float
    ec_ms_per_cm: float = 0.0

    @property
    def solution(self) -> Solution:
        """What is poured."""
        return Solution.of_ec(self.litres, ec_ms_per_cm=self.ec_ms_per_cm)


def topped_up(
    solution: Solution, reservoir: Reservoir, poured: Solution
) -> tuple[Solution, Solution]:
    """What is in a reservoir after pouring, and the part of what was poured that had no room.

    What has no room runs over before it has mixed.
    """
    fits = poured.share(max(0.0, reservoir.full_l - solution.water_l))
    over = Solution(poured.water_l - fits.water_l, poured.salts - fits.salts)
    return solution.mixed_with(fits), over


def ec_when_filled(
    solution: Solution, reservoir: Reservoir, *, ec_ms_per_cm: float
) -> float | None:
    """The conductivity after filling it up with water of one, mS/cm at 25 °C.

    Raises:
        ValueError: `ec_ms_per_cm` is negative or no number.
    """
    missing_l = max(0.0, reservoir.full_l - solution.water_l)
    poured = Solution.of_ec(missing_l, ec_ms_per_cm=ec_ms_per_cm)
    return solution.mixed_with(poured).ec_ms_per_cm


def ec_to_pour(solution: Solution, reservoir: Reservoir, *, to_ec: float) -> float:
    """The conductivity of what fills it up and brings all of it to `to_ec`, mS/cm at 25 °C.

    0 where even water alone leaves it stronger, and where it is full.

    Raises:
        ValueError: `to_ec` is negative or no number.
    """
    wanted = Solution.of_ec(reservoir.full_l, ec_ms_per_cm=to_ec)
    missing_l = reservoir.full_l - solution.water_l
    if missing_l <= 0:
        return 0.0
    return max(0.0, (wanted.salts - solution.salts) / missing_l)
