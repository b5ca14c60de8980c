"""What a candidate does, in figures: pump, relay, energy, and what it leaves to the roots."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from controller.advice.sampling import CAREFUL_SHARE
from controller.core.units import DAY_MS, HOUR_MS

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from controller.advice.candidate import Candidate
    from controller.advice.sampling import Band
    from controller.core.units import Instant
    from controller.core.water.bounds import Bounds
    from controller.dry_run.account import Account
    from controller.dry_run.water.water_account import WaterAccount


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpFigures:
    """What a load did in a dry run, by the day; `contact_share_a_year` is the share of its
    relay's rated life that a year at that rate uses. None where the plan does not tell."""

    hours_a_day: float
    starts_a_day: float
    contact_share_a_year: float
    kwh_a_day: float | None
    cost_a_day: float | None

    def as_json(self) -> dict[str, float | None]:
        """The figures as a JSON object."""
        return {
            "pump_hours_a_day": self.hours_a_day,
            "starts_a_day": self.starts_a_day,
            "contact_share_a_year": self.contact_share_a_year,
            "kwh_a_day": self.kwh_a_day,
            "cost_a_day": self.cost_a_day,
        }


def pump_figures(account: Account, load: str) -> PumpFigures:
    """The figures of one load of a run."""
    done, days = account.loads[load], account.run_ms / DAY_MS
    return PumpFigures(
        hours_a_day=done.on_ms / HOUR_MS / days,
        starts_a_day=done.starts / days,
        contact_share_a_year=done.contact_share_a_year(account.run_ms),
        kwh_a_day=None if done.energy_kwh is None else done.energy_kwh / days,
        cost_a_day=None if done.cost is None else done.cost / days,
    )


def lefts_of(water: WaterAccount, load: str) -> dict[str, Bounds]:
    """What is left at the driest moment for each stand on a load that grew in a run."""
    return {
        stand.name: stand.driest.left_share
        for stand in water.stands.values()
        if stand.load == load and stand.driest is not None
    }


def keeps(lefts: Mapping[str, Bounds], reserves: Mapping[str, float], *, corner: int) -> bool:
    """Whether each stand has its reserve at the driest moment; `corner` is 0 for the driest
    roots, 1 for likely ones."""
    return all(left[corner] >= reserves[name] - _NOISE for name, left in lefts.items())


# Shares are differences of sums: what is short of the reserve by less is not short of it.
_NOISE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A candidate on the worst days: the pump's figures are those of the first of them, what is
    left is the least of all.

    `bands` and `kept_share` are of the plants drawn at random: what is left for each stand, and
    the share of draws in which every stand keeps its reserve. `breaks` names the plan's limits
    for the load that it does not hold.
    """

    candidate: Candidate
    pump: PumpFigures
    lefts: dict[str, Bounds]
    bands: dict[str, Band]
    kept_share: float
    keeps_likely: bool
    keeps_driest: bool
    breaks: tuple[str, ...]

    @property
    def is_fit(self) -> bool:
        """Whether it may be advised: likely roots keep their reserve, and no limit breaks."""
        return self.keeps_likely and not self.breaks

    @property
    def is_careful(self) -> bool:
        """Whether 19 in 20 drawn plants keep their reserve."""
        return self.kept_share >= CAREFUL_SHARE

    def as_json(self) -> dict[str, object]:
        """The row as a JSON object."""
        return {
            "origin": self.candidate.origin.value,
            "cycle": self.candidate.label,
            **self.pump.as_json(),
            "stands": {
                name: {
                    "left_share": list(left),
                    "sampled_p5": self.bands[name].p5,
                    "sampled_p95": self.bands[name].p95,
                    "sampled_keeps_reserve": self.bands[name].keeps,
                }
                for name, left in self.lefts.items()
            },
            "sampled_all_keep_reserve": self.kept_share,
            "likely_keeps_reserve": self.keeps_likely,
            "driest_keeps_reserve": self.keeps_driest,
            "breaks": list(self.breaks),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class WholePeriod:
    """What a candidate does through the whole period; `driest_day` is that of the least left
    for likely roots."""

    candidate: Candidate
    pump: PumpFigures
    lefts: dict[str, Bounds]
    driest_day: date
    is_fit: bool

    def as_json(self) -> dict[str, object]:
        """The figures as a JSON object."""
        return {
            "cycle": self.candidate.label,
            **self.pump.as_json(),
            "stands": {name: {"left_share": list(left)} for name, left in self.lefts.items()},
            "driest_day": self.driest_day.isoformat(),
            "keeps": self.is_fit,
        }


@dataclass(frozen=True, slots=True)
class Period:
    """The time that advice is for: [start, end), and how many days."""

    start: Instant
    end: Instant
    days: int
