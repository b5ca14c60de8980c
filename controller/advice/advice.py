"""Advice for one load, as a value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from controller.advice.candidate import Candidate, toml_of
from controller.core.units import SECOND_MS, rfc3339

if TYPE_CHECKING:
    from datetime import date

    from controller.advice.figures import Period, Row, WholePeriod
    from controller.advice.rests import Rest


class SpanRests(NamedTuple):
    """The longest rests of a span that keep the reserve, by watering, for likely roots and for
    the driest; and the day that asks most of it."""

    anchor: str
    likely: tuple[Rest, ...]
    driest: tuple[Rest, ...]
    worst_day: date

    def as_json(self) -> dict[str, object]:
        """The rests as a JSON object."""
        return {
            "from": self.anchor,
            "worst_day": self.worst_day.isoformat(),
            "likely": [_rest_json(rest) for rest in self.likely],
            "driest": [_rest_json(rest) for rest in self.driest],
        }


def _rest_json(rest: Rest) -> dict[str, object]:
    need = rest.bound_by
    return {
        "watering_s": rest.watering_ms / SECOND_MS,
        "rest_s": rest.rest_ms / SECOND_MS,
        "bound_by": None if need is None else need.facts.name,
    }


class Hindrance(NamedTuple):
    """Why no watering and rest within the load's bounds keeps the reserve in a span, and what
    would help."""

    anchor: str
    message: str
    mend: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What was found for one load.

    `reserves` are the stands' by name. `rows` are told for the worst days, `days`, the worst
    first. `chosen` is the place of the advised row: of those that 19 in 20 drawn plants keep the
    one with fewest pump hours, and where there is none, the one that likely roots keep. `leanest`
    is that of the fewest pump hours for likely roots, `safest` the same for the driest roots that
    sources allow; None where there is none. `present` and `whole` are
    the present plan and the advised one through the whole period; `failed` has those that did
    well on the worst days and not through the period.
    """

    load: str
    kind: str
    period: Period
    reserves: dict[str, float]
    days: tuple[date, ...]
    spans: tuple[SpanRests, ...]
    rows: tuple[Row, ...]
    chosen: int | None
    leanest: int | None
    safest: int | None
    present: WholePeriod
    whole: WholePeriod | None
    failed: tuple[Candidate, ...]
    hindrances: tuple[Hindrance, ...]
    notes: tuple[str, ...]
    samples: int
    seed: int

    @property
    def row(self) -> Row | None:
        """The advised row."""
        return None if self.chosen is None else self.rows[self.chosen]

    @property
    def lines(self) -> str:
        """The lines to paste into the plan; empty where it may stay as it is."""
        return "" if self.row is None else toml_of(self.load, self.row.candidate)

    def as_json(self) -> dict[str, object]:
        """The advice as a JSON object."""
        return {
            "load": self.load,
            "from_utc": rfc3339(self.period.start),
            "to_utc": rfc3339(self.period.end),
            "worst_days": [day.isoformat() for day in self.days],
            "reserves": self.reserves,
            "samples": self.samples,
            "seed": self.seed,
            "spans": [span.as_json() for span in self.spans],
            "rows": [row.as_json() for row in self.rows],
            "chosen": self.chosen,
            "leanest": self.leanest,
            "safest": self.safest,
            "present_through_the_period": self.present.as_json(),
            "chosen_through_the_period": None if self.whole is None else self.whole.as_json(),
            "failed_in_the_period": [one.label for one in self.failed],
            "hindrances": [one._asdict() for one in self.hindrances],
            "notes": list(self.notes),
            "toml": self.lines,
        }
