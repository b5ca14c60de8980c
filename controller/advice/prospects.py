"""What the closed form tells of a load: its bounds, its needs, and the longest rests by span."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from controller.advice.advice import Hindrance, SpanRests
from controller.advice.candidate import Candidate, Origin, of_rests
from controller.advice.careful import careful_rests
from controller.advice.courses import wanted_by
from controller.advice.hindrances import hindrance_of
from controller.advice.lengths import Lengths, lengths_of
from controller.advice.needs import needs_of
from controller.advice.rests import leanest, rest_of_need_s, rests_of
from controller.advice.sampling import CAREFUL_SHARE, drawn_plants, generator_of
from controller.core.errors import NoAdviceError
from controller.core.stands import stands_of
from controller.core.units import SECOND_MS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from controller.advice.needs import SpanNeeds
    from controller.advice.question import Question
    from controller.advice.rests import Rest
    from controller.advice.sampling import Drawn
    from controller.core.plan import Load

_DRIEST, _LIKELY = 0, 1
_WORST_DAYS_MAX = 3
# Of the plants drawn at random, how many are to keep their reserve: a step each between what is
# enough for likely roots and what the driest ask for.
CAREFUL_STEPS = (0.8, 0.9, CAREFUL_SHARE, 0.99)


@dataclass(frozen=True, slots=True)
class Prospects:
    """Bounds, needs, and for each span the rests: for likely roots, for each of `CAREFUL_STEPS`
    and for the driest; `drawn` are plants drawn at random, by stand."""

    lengths: Lengths
    spans: tuple[SpanNeeds, ...]
    likely: tuple[list[Rest], ...]
    careful: tuple[dict[float, list[Rest]], ...]
    driest: tuple[list[Rest], ...]
    drawn: dict[str, list[Drawn]]

    @classmethod
    def of(cls, question: Question, load: str) -> Prospects:
        """Asks the models."""
        schedule, period = question.schedule, question.period
        facts = [one for one in stands_of(question.read.plan) if one.load == load]
        spans = needs_of(
            schedule.loads[schedule.places[load]].own,
            [wanted_by(one, schedule, question.air) for one in facts],
            schedule.calendar,
            start=period.start,
            end=period.end,
        )
        thirsty = tuple(span for span in spans if span.needs)
        if not thirsty:
            raise NoAdviceError(
                f"nothing grows on {load} in that time: ask for days after the stands are sown"
            )
        lengths = lengths_of(question.read.plan.loads[load])
        drawn = _drawn([one.name for one in facts], question)
        return cls(
            lengths,
            thirsty,
            tuple(rests_of(span, lengths, corner=_LIKELY) for span in thirsty),
            tuple(careful_rests(span, lengths, drawn, CAREFUL_STEPS) for span in thirsty),
            tuple(rests_of(span, lengths, corner=_DRIEST) for span in thirsty),
            drawn,
        )

    @property
    def worst_days(self) -> tuple[date, ...]:
        """The days that ask most of each span, the worst of all first."""
        worst = sorted((self._worst(span) for span in self.spans), key=lambda one: one[0])
        return tuple(dict.fromkeys(day for _, day in worst))[:_WORST_DAYS_MAX]

    def _worst(self, span: SpanNeeds) -> tuple[float, date]:
        """The rest that the thirstiest need of a span allows, and its day."""
        watering_s = self.lengths.waterings_ms[-1] / SECOND_MS
        return min(
            (rest_of_need_s(need, watering_s=watering_s, corner=_LIKELY), need.day)
            for need in span.needs
        )

    def span_rests(self, load: Load) -> tuple[SpanRests, ...]:
        """The longest rests of each span, as told."""
        return tuple(
            SpanRests(
                str(load.spans[span.span].anchor),
                tuple(likely),
                tuple(driest),
                self._worst(span)[1],
            )
            for span, likely, driest in zip(self.spans, self.likely, self.driest, strict=True)
        )

    def steps(self, load: Load) -> list[Candidate]:
        """The spans with fewest pump hours for likely roots, for each of `CAREFUL_STEPS` and for
        the driest roots; without those for which a span has none that fits."""
        wanted = [
            (self.likely, Origin.LIKELY),
            *((self._careful(share), Origin.CAREFUL) for share in CAREFUL_STEPS),
            (self.driest, Origin.DRIEST),
        ]
        return [
            self._candidate(load, [leanest(rests) for rests in by_span], origin)
            for by_span, origin in wanted
            if all(by_span)
        ]

    def longer(self, load: Load) -> list[Candidate]:
        """For each watering of the ladder that fits every span the spans for nearly all plants
        drawn at random and for likely roots: they start less often than those with fewest pump
        hours."""
        return [
            self._candidate(load, rests, Origin.LONGER)
            for by_span in (self._careful(CAREFUL_SHARE), self.likely)
            for rests in self._by_watering(by_span)
        ]

    def _careful(self, share: float) -> tuple[list[Rest], ...]:
        return tuple(by_share[share] for by_share in self.careful)

    def _by_watering(self, by_span: Sequence[list[Rest]]) -> Iterator[list[Rest]]:
        for watering_ms in self.lengths.waterings_ms:
            fitting = [
                rest for rests in by_span for rest in rests if rest.watering_ms == watering_ms
            ]
            if len(fitting) == len(by_span):
                yield fitting

    def _candidate(self, load: Load, rests: Sequence[Rest], origin: Origin) -> Candidate:
        by_place: list[Rest | None] = [None] * len(load.spans)
        for span, rest in zip(self.spans, rests, strict=True):
            by_place[span.span] = rest
        return of_rests(load, by_place, origin)

    def hindrances(self, load: Load) -> tuple[Hindrance, ...]:
        """What is in the way of each span that nothing fits."""
        return tuple(
            hindrance_of(str(load.spans[span.span].anchor), span.needs, self.lengths)
            for span, rests in zip(self.spans, self.likely, strict=True)
            if not rests
        )


def _drawn(stands: Sequence[str], question: Question) -> dict[str, list[Drawn]]:
    generator = generator_of(question.seed)
    return {name: drawn_plants(question.samples, generator) for name in stands}
