"""The account of a run: what each load did, in figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from controller.core.units import DAY_MS, SECOND_MS, Instant, rfc3339

if TYPE_CHECKING:
    from controller.core.orders import Notice, Why

# The mean Gregorian month and year, for figures "per month" and "per year".
MONTH_MS = 30.436875 * DAY_MS
YEAR_MS = 365.2425 * DAY_MS


class Stretch(NamedTuple):
    """An unbroken time in one state, cut at the borders of the run."""

    start: Instant
    end: Instant

    @property
    def length_ms(self) -> int:
        """How long it lasted."""
        return self.end - self.start


class Remark(NamedTuple):
    """A notice and when it came."""

    instant: Instant
    notice: Notice


@dataclass(frozen=True, slots=True)
class LoadAccount:
    """What one load did.

    `starts` are changes to on, `switches` changes of either kind (two make one operation
    of the relay). A dry gap is a time without water: also one in which a pump was on and
    failed. `most_starts_an_hour` counts by hours of UTC. `energy_kwh` is None where the plan
    does not state the load's watts. `whys` has how long each rule other than the plan decided,
    in ms. `cost` is in the plan's currency, at the price of each moment; None where watts or
    prices are not stated.
    """

    name: str
    kind: str
    on_ms: int
    starts: int
    switches: int
    longest_dry_gap: Stretch | None
    longest_on: Stretch | None
    most_starts_a_day: int
    most_starts_an_hour: int
    most_on_a_day_ms: int
    energy_kwh: float | None
    contact_life: int
    whys: dict[Why, int]
    cost: float | None = None

    def operations_a_year(self, run_ms: int) -> float:
        """Operations of the relay in a year at the rate of this run; one operation is one
        make and one break (electrical endurance, IEC 61810-1)."""
        return self.switches / 2 * YEAR_MS / run_ms

    def contact_share_a_year(self, run_ms: int) -> float:
        """Share of the contact's rated life that a year at this rate uses; 1.0 is all."""
        return self.operations_a_year(run_ms) / self.contact_life


@dataclass(frozen=True, slots=True)
class Account:
    """What a run did, over all loads; `remarks` are the first notices, `remarks_left_out`
    how many more there were. `currency` is that of the costs; empty where there are none."""

    start: Instant
    end: Instant
    loads: dict[str, LoadAccount]
    watts_max: float
    watts_max_at: Instant
    remarks: tuple[Remark, ...]
    remarks_left_out: int
    currency: str = ""

    @property
    def run_ms(self) -> int:
        """How long the run lasted."""
        return self.end - self.start

    @property
    def energy_kwh(self) -> float:
        """Energy of all loads whose watts are known."""
        return sum(load.energy_kwh or 0.0 for load in self.loads.values())

    @property
    def cost(self) -> float | None:
        """Cost of all loads of which it is known, in the plan's currency; None if of none."""
        known = [load.cost for load in self.loads.values() if load.cost is not None]
        return sum(known) if known else None

    def per_month(self, amount: float) -> float:
        """An amount of this run at the same rate over a mean month."""
        return amount * MONTH_MS / self.run_ms

    def as_json(self) -> dict[str, object]:
        """The account as `dry-run --json` has it."""
        return {
            "from_utc": rfc3339(self.start),
            "to_utc": rfc3339(self.end),
            "loads": {name: _load_json(load, self.run_ms) for name, load in self.loads.items()},
            "currency": self.currency,
            "watts_max": self.watts_max,
            "watts_max_at_utc": rfc3339(self.watts_max_at),
            "notices": [
                {
                    "utc": rfc3339(remark.instant),
                    "event": remark.notice.event.value,
                    "subject": remark.notice.subject,
                    "detail": remark.notice.detail,
                }
                for remark in self.remarks
            ],
            "notices_left_out": self.remarks_left_out,
        }


def _load_json(load: LoadAccount, run_ms: int) -> dict[str, object]:
    gap, longest_on = load.longest_dry_gap, load.longest_on
    return {
        "kind": load.kind,
        "on_s": load.on_ms / SECOND_MS,
        "switches": load.switches,
        "starts": load.starts,
        "longest_dry_gap_s": 0.0 if gap is None else gap.length_ms / SECOND_MS,
        "longest_dry_gap_from_utc": None if gap is None else rfc3339(gap.start),
        "longest_on_s": 0.0 if longest_on is None else longest_on.length_ms / SECOND_MS,
        "longest_on_from_utc": None if longest_on is None else rfc3339(longest_on.start),
        "energy_kwh": load.energy_kwh,
        "cost": load.cost,
        "most_starts_a_day": load.most_starts_a_day,
        "most_starts_an_hour": load.most_starts_an_hour,
        "most_on_a_day_s": load.most_on_a_day_ms / SECOND_MS,
        "contact_share_a_year": load.contact_share_a_year(run_ms),
    }
