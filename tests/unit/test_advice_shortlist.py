"""The rows of advice: a step each from what likely roots need to what the driest ask for, and
longer waterings where they spare the relay."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from controller.advice.candidate import Origin
from controller.advice.search import advise
from tests.advice_gardens import garden, question
from tests.worlds import stand

if TYPE_CHECKING:
    from controller.advice.advice import Advice
    from controller.advice.figures import Row

# A medium that dries out between waterings on a summer's day, so that plants differ.
CLAY = stand(air=None, medium="expanded-clay", medium_ml=150.0)


def rows_of(advice: Advice, *origins: Origin) -> list[Row]:
    """The rows that come from there."""
    return [row for row in advice.rows if row.candidate.origin in origins]


def test_each_step_keeps_more_plants_and_pumps_for_longer() -> None:
    """So the table tells what care costs; equal steps are told once."""
    advice = advise(question(garden(CLAY)), "pump")
    steps = rows_of(advice, Origin.LIKELY, Origin.CAREFUL, Origin.DRIEST)
    assert len(steps) >= 4
    for lean, careful in pairwise(steps):
        assert lean.kept_share <= careful.kept_share
        assert lean.pump.hours_a_day < careful.pump.hours_a_day
    assert steps[0].kept_share < steps[-1].kept_share
    assert steps[-1].keeps_driest


def test_longer_waterings_are_told_where_they_spare_the_relay() -> None:
    """Each starts at least a fifth less often than the row before, and keeps as many plants as
    what is advised."""
    advice = advise(question(garden(CLAY)), "pump")
    assert advice.row is not None
    assert advice.row.is_careful
    longer = rows_of(advice, Origin.LONGER)
    assert longer
    for before, row in pairwise([advice.row, *longer]):
        assert row.pump.starts_a_day <= 0.8 * before.pump.starts_a_day
        assert row.pump.hours_a_day > before.pump.hours_a_day
        assert row.is_careful


def test_what_is_advised_is_told_whatever_it_is() -> None:
    """Where starts are limited, a longer watering is the leanest that is fit."""
    plan = garden(CLAY, limits={"starts_per_day": 30})
    advice = advise(question(plan), "pump")
    assert advice.row is not None
    assert advice.row.candidate.origin is Origin.LONGER
    assert advice.row.pump.starts_a_day <= 30
    (told,) = [row for row in advice.rows if row.candidate == advice.row.candidate]
    assert told is advice.row


def test_without_advice_no_longer_waterings_are_told() -> None:
    """There is nothing that they could be held against."""
    plan = garden(CLAY, shortest_off="40m", limits={"longest_dry_gap": "30m"})
    advice = advise(question(plan), "pump")
    assert advice.chosen is None
    assert not rows_of(advice, Origin.LONGER)
