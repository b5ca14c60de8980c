"""What one plant's roots have within reach: how it fills, drains and is drunk.

Between two changes of the pump everything is found at once, for a demand that is constant
over the time asked about; longer times are stretches one after the other. However a time is
cut, the result is the same. Water in = transpired + run off + what is stored more, always;
demand that the store cannot meet is told as thirst and not taken from nothing.

Two parts: what medium and roots hold after draining, and the film that runs down outside of
them. Water that comes down fills the former first. Between waterings the plant takes the film
first, while it drains: its share is reckoned as if the film drained with its full thickness,
so that rather too much runs off than too little. When the film is gone, the held water
is drawn; nothing drains from that. So between waterings roots are driest at the end.

A column's air is not in here: roots that never dry out may still want for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt
from typing import NamedTuple

from controller.core.tuples import made
from controller.core.water.film import film_lasts_s, film_left_ml


class Wetness(NamedTuple):
    """How wet one plant's roots are.

    `held_ml` is what they and the medium hold for it; `sheet_ml` what would be left of the
    film if nothing but draining had thinned it, and `taken_ml` what the plant has taken of it.
    """

    held_ml: float
    sheet_ml: float
    taken_ml: float

    @property
    def film_ml(self) -> float:
        """The film, mL."""
        return self.sheet_ml - self.taken_ml

    @property
    def stored_ml(self) -> float:
        """All that is within reach, mL."""
        return self.held_ml + self.film_ml


class Passage(NamedTuple):
    """What a stretch of time did: how wet the roots are then, and where the water went, mL."""

    after: Wetness
    transpired_ml: float
    ran_off_ml: float
    thirst_ml: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RootStore:
    """The store of one plant.

    `held_ml`, above 0, is what it can draw of what roots and medium hold when they are full
    and drained, `film_ml` the film while water runs. `drain_per_ml2_s` is how fast it drains,
    `drip_ml_per_s` what comes down at the plant during a watering, and `caught_share` what
    sinks in of it where there is room.
    """

    held_ml: float
    film_ml: float
    drain_per_ml2_s: float
    drip_ml_per_s: float
    caught_share: float

    @property
    def sinks_in_ml_per_s(self) -> float:
        """What of the water that comes down stays at the plant while there is room."""
        return self.caught_share * self.drip_ml_per_s

    @property
    def full(self) -> Wetness:
        """As wet as at the end of a long watering."""
        return Wetness(self.held_ml, self.film_ml, 0.0)

    @property
    def drained(self) -> Wetness:
        """Nothing drunk, and no film."""
        return Wetness(self.held_ml, 0.0, 0.0)

    def left_share(self, wetness: Wetness) -> float:
        """What is left of the held water, 0 to 1; the film does not count."""
        return wetness.held_ml / self.held_ml

    def watered(self, wetness: Wetness, *, length_s: float, demand_ml_per_s: float) -> Passage:
        """What so long a stretch of watering does.

        Args:
            wetness: what it starts from.
            length_s: 0 or more.
            demand_ml_per_s: what the plant transpires, 0 or more.
        """
        stored_ml, full_ml = wetness.stored_ml, self.held_ml + self.film_ml
        came_ml = self.drip_ml_per_s * length_s
        wanted_ml = demand_ml_per_s * length_s
        after_ml = stored_ml + self.caught_share * came_ml - wanted_ml
        thirst_ml = 0.0
        if after_ml < 0.0:
            thirst_ml = min(-after_ml, wanted_ml)
            after_ml = 0.0
        elif after_ml > full_ml:
            after_ml = full_ml
        transpired_ml = wanted_ml - thirst_ml
        held_ml = min(self.held_ml, after_ml)
        return made(Passage, (
            made(Wetness, (held_ml, after_ml - held_ml, 0.0)),
            transpired_ml,
            max(0.0, came_ml - transpired_ml - (after_ml - stored_ml)),
            thirst_ml,
        ))  # fmt: skip

    def rested(self, wetness: Wetness, *, length_s: float, demand_ml_per_s: float) -> Passage:
        """What so long a stretch without watering does; arguments as for `watered`."""
        held_ml, began_ml, taken_ml = wetness
        wanted_ml = demand_ml_per_s * length_s
        film_ml = began_ml - taken_ml
        of_film_ml = min(0.0, film_ml)  # a difference of sums
        if film_ml > 0.0:
            film_s = self._film_lasts_s(wetness, demand_ml_per_s=demand_ml_per_s, within_s=length_s)
            if film_s is None:
                sheet_ml = self._sheet_ml(wetness, length_s)
                after = made(Wetness, (held_ml, sheet_ml, taken_ml + wanted_ml))
                return made(Passage, (after, wanted_ml, began_ml - sheet_ml, 0.0))
            of_film_ml = min(demand_ml_per_s * film_s, film_ml)
        wanted_of_held_ml = max(0.0, wanted_ml - of_film_ml)
        of_held_ml = min(held_ml, wanted_of_held_ml)
        return made(Passage, (
            made(Wetness, (held_ml - of_held_ml, 0.0, 0.0)),
            of_film_ml + of_held_ml,
            film_ml - of_film_ml,
            wanted_of_held_ml - of_held_ml,
        ))  # fmt: skip

    def lasts_s(self, wetness: Wetness, *, left_share: float, demand_ml_per_s: float) -> float:
        """How long without watering until only that share of the held water is left, s.

        0 where less is left already, infinity where nothing is drunk.
        """
        if wetness.held_ml < left_share * self.held_ml:
            return 0.0
        if demand_ml_per_s <= 0.0:
            return inf
        film_s = self._film_lasts_s(wetness, demand_ml_per_s=demand_ml_per_s, within_s=inf)
        return (film_s or 0.0) + self.held_lasts_s(
            wetness.held_ml, left_share=left_share, demand_ml_per_s=demand_ml_per_s
        )

    def held_lasts_s(self, held_ml: float, *, left_share: float, demand_ml_per_s: float) -> float:
        """How long so much held water lasts, once no film is left, until only that share of all
        that can be held is left, s; infinity where nothing is drunk."""
        if demand_ml_per_s <= 0.0:
            return inf
        return max(0.0, held_ml - left_share * self.held_ml) / demand_ml_per_s

    def film_lasts_s(self, demand_ml_per_s: float) -> float:
        """How long full roots live on their film, s; infinity where nothing is drunk."""
        return film_lasts_s(
            self.film_ml, drain_per_ml2_s=self.drain_per_ml2_s, demand_ml_per_s=demand_ml_per_s
        )

    def refill_s(self, wetness: Wetness, *, demand_ml_per_s: float) -> float:
        """How long a watering takes until the roots are full, the film on them included, s.

        0 where they are, infinity where less sinks in than is drunk.
        """
        missing_ml = self.full.stored_ml - wetness.stored_ml
        if missing_ml <= 0.0:
            return 0.0
        gain_ml_per_s = self.sinks_in_ml_per_s - demand_ml_per_s
        return missing_ml / gain_ml_per_s if gain_ml_per_s > 0.0 else inf

    def _sheet_ml(self, wetness: Wetness, drained_s: float) -> float:
        return film_left_ml(
            wetness.sheet_ml, drain_per_ml2_s=self.drain_per_ml2_s, drained_s=drained_s
        )

    def _film_lasts_s(
        self, wetness: Wetness, *, demand_ml_per_s: float, within_s: float
    ) -> float | None:
        """When the film is gone, if that is within so long a time; else None."""
        sheet_ml, taken_ml = wetness.sheet_ml, wetness.taken_ml
        if sheet_ml <= taken_ml:
            return 0.0
        thinning = self.drain_per_ml2_s * sheet_ml * sheet_ml
        at_end_ml = sheet_ml / sqrt(1.0 + thinning * within_s) - taken_ml
        if within_s < inf and at_end_ml > demand_ml_per_s * within_s:
            return None
        if demand_ml_per_s <= 0.0:  # drained down to what was taken before
            return min(within_s, ((sheet_ml / taken_ml) ** 2 - 1.0) / thinning)
        lasts_s = film_lasts_s(
            sheet_ml,
            taken_ml=taken_ml,
            drain_per_ml2_s=self.drain_per_ml2_s,
            demand_ml_per_s=demand_ml_per_s,
        )
        return min(lasts_s, within_s)
