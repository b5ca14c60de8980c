"""The search: from what each span must stand up to, to the spans with fewest pump hours."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.advice.advice import Advice
from controller.advice.candidate import Candidate, Origin, on_demand, present, tried
from controller.advice.prospects import Prospects
from controller.advice.shortlist import shortlist
from controller.advice.trial import Trial
from controller.core.errors import NoAdviceError
from controller.core.orders import Reason, Why
from controller.core.plan_rules.rulebook import found_in
from controller.core.stands import stands_of
from controller.core.units import DAY_MS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.advice.figures import Row, WholePeriod
    from controller.advice.question import Question
    from controller.core.cycle import Cycle
    from controller.core.plan import Plan

# So many plans at the most are carried out through the whole period until one holds.
_CONFIRMED_MAX = 6
# A demand must save more than a twentieth of the pump hours: a fixed cycle needs no reading.
_DEMAND_HANDICAP = 1.05


def advise(question: Question, load: str) -> Advice:
    """Advice for a load that waters stands.

    Raises:
        NoAdviceError: nothing grows in that time, or a cycle to be tried breaks a rule.
    """
    plan = question.read.plan
    found = Prospects.of(question, load)
    candidates = _candidates(question, load, found)
    trial = Trial(
        question.read,
        load,
        question.weather,
        days=found.worst_days,
        drawn=found.drawn,
        watch=question.watch,
    )
    carried_out = _rows(trial, candidates, question, load)
    best, whole, failed = _confirmed(trial, carried_out, question)
    rows = shortlist(carried_out, best)
    chosen = None if best is None else rows.index(best)
    is_chosen_present = best is not None and best.candidate.spans is None
    return Advice(
        load=load,
        kind=plan.loads[load].kind,
        period=question.period,
        reserves={one.name: one.reserve for one in stands_of(plan) if one.load == load},
        days=found.worst_days,
        spans=found.span_rests(plan.loads[load]),
        rows=rows,
        chosen=chosen,
        leanest=_leanest_of(rows, [True] * len(rows)),
        safest=_leanest_of(rows, [row.keeps_driest for row in rows]),
        present=whole
        if whole is not None and is_chosen_present
        else trial.through(present(plan.loads[load]), question.period),
        whole=whole,
        failed=tuple(failed),
        hindrances=() if chosen is not None else found.hindrances(plan.loads[load]),
        notes=tuple(_notes(plan, load)),
        samples=question.samples,
        seed=question.seed,
    )


def _candidates(question: Question, load: str, found: Prospects) -> list[Candidate]:
    """The present plan, those that the closed form tells, demand, and those to be tried; each
    list of spans once."""
    plan = question.read.plan
    stated = plan.loads[load]
    steps = found.steps(stated)
    made = [present(stated), *steps, *found.longer(stated)]
    if steps and _can_go_by_demand(plan, load):
        made.append(on_demand(stated, found.lengths, fixed=_tightest(steps[-1], found)))
    made += [_tried(plan, load, text, cycle) for text, cycle in question.tries]
    by_spans: dict[object, Candidate] = {}
    for one in made:
        by_spans.setdefault(one.spans, one)
    return list(by_spans.values())


def _tightest(candidate: Candidate, found: Prospects) -> str:
    """Of a candidate's cycles the one with the shortest rest."""
    spans = candidate.spans
    assert spans is not None, "only the present plan has none of its own"
    cycles = [spans[one.span].cycle for one in found.spans]
    return str(min(cycles, key=lambda cycle: cycle.dry_gap_ms or 0))


def _tried(plan: Plan, load: str, text: str, cycle: Cycle) -> Candidate:
    candidate = tried(text, cycle)
    for one in found_in(candidate.plan(plan, load)):
        if one.level == "error" and one.place[:2] == ("loads", load):
            raise NoAdviceError(f"--try {candidate.label!r}: {one.message}; {one.mend}")
    return candidate


def _can_go_by_demand(plan: Plan, load: str) -> bool:
    """Whether readings tell the air of every stand on a load, or its room is kept at one."""
    stands = plan.stands_on(load).values()
    return all(stand.air is not None or stand.place == "under-lamps" for stand in stands)


def _rows(
    trial: Trial, candidates: Sequence[Candidate], question: Question, load: str
) -> list[Row]:
    """Each candidate on the worst days, with its progress told in days carried out."""
    rows = []
    with question.watch(f"{load}: candidates", 0, len(candidates) * DAY_MS) as listeners:
        for number, candidate in enumerate(candidates, 1):
            rows.append(trial.on_worst_days(candidate))
            for listener in listeners:
                listener.change(number * DAY_MS, 0, Reason(Why.PLAN), is_on=False, is_wet=False)
    return rows


def _confirmed(
    trial: Trial, rows: Sequence[Row], question: Question
) -> tuple[Row | None, WholePeriod | None, list[Candidate]]:
    """The fit row with fewest pump hours that holds through the whole period too.

    One that nearly all drawn plants keep goes before one that is enough for likely roots: a
    crop is worth more than pump hours.
    """
    fit = [row for row in rows if row.is_fit]
    fit.sort(key=lambda row: (not row.is_careful, *_cost(row)))
    failed: list[Candidate] = []
    for row in fit[:_CONFIRMED_MAX]:
        whole = trial.through(row.candidate, question.period)
        if whole.is_fit:
            return row, whole, failed
        failed.append(row.candidate)
    return None, None, failed


def _cost(row: Row) -> tuple[float, float]:
    """By what rows are chosen: pump hours, then starts; the less the better."""
    is_demand = row.candidate.origin is Origin.DEMAND
    hours = row.pump.hours_a_day * (_DEMAND_HANDICAP if is_demand else 1.0)
    return hours, row.pump.starts_a_day


def _leanest_of(rows: Sequence[Row], are_wanted: Sequence[bool]) -> int | None:
    """The fit row with fewest pump hours of those that are wanted."""
    places = [place for place, row in enumerate(rows) if are_wanted[place] and row.is_fit]
    return min(places, key=lambda place: _cost(rows[place]), default=None)


def _notes(plan: Plan, load: str) -> list[str]:
    """What the rows leave out."""
    notes = []
    if _can_go_by_demand(plan, load):
        notes.append("Demand needs readings, so it is advised only where it saves over 5 %.")
    variants = [one.name for one in plan.loads[load].variants if not one.by_hand]
    if variants:
        notes.append(
            f"Rows other than the present plan are without its variants ({', '.join(variants)}): "
            "delete those when you paste the lines, or they stay in force on their days."
        )
    if plan.loads[load].reservoir is not None:
        notes.append("The reservoir is taken to be filled up in time.")
    if not _can_go_by_demand(plan, load):
        notes.append("Demand is not in the table: a stand names no sensor of its air (air = ...).")
    return notes
