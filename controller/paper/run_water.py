"""What a run did to roots, pumps and reservoirs that a grower should know."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.findings import Finding
from controller.core.phrases import date_words, times_words
from controller.core.water.lifting_words import lifting_words
from controller.core.water_words import (
    around_words,
    percent_text,
    range_words,
    rough_length_words,
    share_words,
    two_figures,
)

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from controller.core.calendar import Calendar
    from controller.core.findings import Level
    from controller.core.schedule import Schedule
    from controller.dry_run.water.water_account import (
        LiftAccount,
        ReservoirAccount,
        StandAccount,
        WaterAccount,
    )

# Less thirst than that, mL a plant in a run, is an error of the model and none to a plant.
_THIRST_TOLD_ML = 0.05


def water_findings(schedule: Schedule, water: WaterAccount) -> list[Finding]:
    """All findings about water: lifts, roots, reservoirs, and what was taken for granted."""
    found: list[Finding] = []
    for lift in water.lifts.values():
        found += _of_lift(lift)
    for stand in water.stands.values():
        found += _of_stand(schedule, stand, _mend_of_roots(stand, water))
    for reservoir in water.reservoirs.values():
        found += _of_reservoir(reservoir, schedule.calendar)
        found += _of_thirsty(reservoir, water)
    if water.assumptions and water.rests_on_air:
        text = "; ".join(_lower(sentence) for sentence in water.assumptions)
        found.append(
            Finding("note", "site", f"taken for granted: {text}", "take a weather file that tells")
        )
    return found


def _of_lift(lift: LiftAccount) -> Iterator[Finding]:
    found = lift.found
    where = f"loads.{lift.load}.lift"
    words = lifting_words(found).rstrip(".")
    mend = "take a pump with a higher shut-off head, a wider hose, or bring the outlet down"
    if not found.lifts:
        yield Finding("error", where, words, mend)
    elif found.flow_l_per_h.low <= 0.0:
        yield Finding("warning", where, words, mend)


def _of_stand(schedule: Schedule, stand: StandAccount, mend: str) -> Iterator[Finding]:
    where = f"stands.{stand.name}"
    if stand.driest is None:
        yield Finding(
            "note",
            f"{where}.sown",
            "not sown in this run: nothing of it is reckoned",
            "run days after that date",
        )
        return
    yield from _below_reserve(schedule, stand, where, mend)
    thirst = stand.thirst_ml
    if thirst.likely > _THIRST_TOLD_ML:
        yield Finding(
            "warning",
            where,
            f"its roots ran dry: each plant lacked {range_words(thirst, 'mL')} that it would "
            f"have drunk, most of it {date_words(_thirstiest_day(stand))}",
            mend,
        )


def _below_reserve(
    schedule: Schedule, stand: StandAccount, where: str, mend: str
) -> Iterator[Finding]:
    """A limit broken if the plan states the reserve, else a warning; a note where only the
    worst of what the sources allow would do it."""
    driest, below_ms = stand.driest, stand.below_reserve_ms
    assert driest is not None, "told apart by the caller"
    reserve = percent_text(stand.reserve)
    when = around_words(driest.instant, schedule.calendar)
    if below_ms.likely > 0.0:
        is_stated = "reserve" in schedule.plan.stands[stand.name].model_fields_set
        level: Level = "error" if is_stated else "warning"
        yield Finding(
            level,
            f"{where}.reserve" if is_stated else where,
            f"{share_words(driest.left_share)} of the water in reach of its roots was left at "
            f"the driest moment, {when}; the reserve is {reserve}, and less than that was left "
            f"for {rough_length_words(below_ms.likely)}",
            mend,
        )
    elif below_ms.high > 0.0:
        lacked = ""
        if stand.thirst_ml.high > _THIRST_TOLD_ML:
            lacked = f", and each plant lacked {two_figures(stand.thirst_ml.high)} mL in all"
        yield Finding(
            "note",
            where,
            f"in the worst case {percent_text(driest.left_share.low)} of the water in reach of "
            f"its roots was left at the driest moment, {when}{lacked}; likely "
            f"{percent_text(driest.left_share.likely)}, and the reserve is {reserve}",
            "watch the leaves on hot days; shorter rests then are the safe side",
        )


def _mend_of_roots(stand: StandAccount, water: WaterAccount) -> str:
    """What helps dry roots: water in the first place, where none came down."""
    lift = water.lifts.get(stand.load)
    if lift is not None and not lift.found.lifts:
        return f"see loads.{stand.load}.lift: no water arrives at the top"
    driest_at = 0 if stand.driest is None else stand.driest.instant
    for reservoir in water.reservoirs.values():
        dry_at = reservoir.dry_at.likely
        if stand.load in reservoir.loads and dry_at is not None and dry_at <= driest_at:
            return f"see reservoirs.{reservoir.name}: its pump drew air before that"
    return (
        f"shorten the off steps of {stand.load} at that time of day, or give its plants a medium "
        "that holds more"
    )


def _thirstiest_day(stand: StandAccount) -> date:
    return max(stand.days, key=lambda day: day.thirst_ml.likely).date


def _of_reservoir(one: ReservoirAccount, calendar: Calendar) -> Iterator[Finding]:
    where = f"reservoirs.{one.name}"
    at, reservoir = one.dry_at, one.happened.reservoir
    mend = "fill it up before that"
    if reservoir.top_up_at_l is None:
        mend += ", and state top_up_at_l if somebody does"
    else:
        mend += ": raise top_up_at_l above inlet_at_l"
    if at.likely is not None:
        yield Finding(
            "warning",
            where,
            f"its pump drew air from {around_words(at.likely, calendar)} on, at the earliest from "
            f"{around_words(at.earliest or at.likely, calendar)}: nothing came down from then",
            mend,
        )
    elif at.earliest is not None:
        yield Finding(
            "note",
            where,
            "if plants drink as much as sources allow, its pump drew air from "
            f"{around_words(at.earliest, calendar)} on; likely not in this run",
            mend,
        )
    times = len(one.happened.likely.top_ups)
    if times:
        yield Finding(
            "note",
            where,
            f"taken to be filled up {times_words(times)} in this run, whenever it falls to "
            f"{two_figures(reservoir.top_up_at_l or 0.0)} L",
            "leave top_up_at_l out to see what happens if nobody does",
        )


def _of_thirsty(one: ReservoirAccount, water: WaterAccount) -> Iterator[Finding]:
    """A note where plants likely got less than they want, which its course is reckoned by, and not
    because of it: then it falls more slowly."""
    stands = [stand for stand in water.stands.values() if stand.load in one.loads]
    thirsty = [stand for stand in stands if stand.thirst_ml.likely > _THIRST_TOLD_ML]
    no_lift = {name for name, lift in water.lifts.items() if not lift.found.lifts}
    if not thirsty or one.dry_at.likely is not None or no_lift.intersection(one.loads):
        return
    got = sum(stand.plants * stand.transpired_ml.likely for stand in stands)
    lacked = sum(stand.plants * stand.thirst_ml.likely for stand in stands)
    yield Finding(
        "note",
        f"reservoirs.{one.name}",
        "its course is that of plants which drink all that they want; they got "
        f"{percent_text(got / (got + lacked))} of that, so it falls more slowly than told",
        "see " + ", ".join(f"stands.{stand.name}" for stand in thirsty),
    )


def _lower(sentence: str) -> str:
    """A sentence as a finding has it: small at its start, without its stop."""
    return sentence[:1].lower() + sentence[1:].rstrip(".")
