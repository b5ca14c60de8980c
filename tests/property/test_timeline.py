"""The timeline against an oracle that walks, over any plan, zone, season and hemisphere."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core import calendar
from controller.core.spans_in_force import LOOK_DAYS
from controller.core.units import date_of_number
from tests.oracle import Oracle
from tests.strategies import (
    DAY_MS,
    HOUR_MS,
    MINUTE_MS,
    SECOND_MS,
    Document,
    examples,
    moments,
    timeline_plans,
)
from tests.timelines import cut_holes, stretches_of, timelines_of


@examples(10)
@given(st.data(), timeline_plans())
def test_the_state_at_any_instant_is_the_walked_one(data: st.DataObject, plan: Document) -> None:
    """At random instants, and at each border and change, 1 ms and 1 s to either side."""
    oracle, ours = Oracle(plan), timelines_of(plan)
    start = data.draw(moments(plan["site"]["timezone"]))
    load = data.draw(st.sampled_from(list(ours)))
    end = start + DAY_MS
    edges = [at for at, _ in oracle.changes(load, start, end)]
    edges = data.draw(st.permutations(edges))[:8] if len(edges) > 8 else edges
    edges += [s.start for s in oracle.stretches(load, start, end)]
    instants = [
        at + shift for at in edges for shift in (-SECOND_MS, -1, 0, 1, SECOND_MS)
    ] + data.draw(st.lists(st.integers(start, end), min_size=5, max_size=5))
    assert [ours[load].state_at(at) for at in instants] == [
        oracle.state(load, at) for at in instants
    ]


@examples(8)
@given(st.data(), timeline_plans(grain_ms=SECOND_MS))
def test_the_states_of_every_second_are_the_walked_ones(
    data: st.DataObject, plan: Document
) -> None:
    """An hour, second by second, states and changes."""
    oracle, ours = Oracle(plan), timelines_of(plan)
    start = data.draw(moments(plan["site"]["timezone"]))
    load = data.draw(st.sampled_from(list(ours)))
    end = start + HOUR_MS
    walked = list(oracle.states(load, start, end, SECOND_MS))
    timeline = ours[load]
    assert [(at, timeline.state_at(at)) for at in range(start, end, SECOND_MS)] == walked
    assert list(timeline.changes(start, end)) == [
        (at, is_on) for (_, before), (at, is_on) in pairwise(walked) if is_on is not before
    ]


@examples(10)
@given(st.data(), timeline_plans(least_ms=5 * MINUTE_MS))
def test_the_changes_of_days_are_the_walked_ones(data: st.DataObject, plan: Document) -> None:
    """Up to a month of changes, and every look is the next of them."""
    oracle, ours = Oracle(plan), timelines_of(plan)
    start = data.draw(moments(plan["site"]["timezone"]))
    load = data.draw(st.sampled_from(list(ours)))
    timeline = ours[load]
    end = start + data.draw(st.integers(0, 30 * DAY_MS))
    walked = list(oracle.changes(load, start, end))
    assert list(timeline.changes(start, end)) == walked
    looked = [timeline.look(at) for at in (start, *(at for at, _ in walked[:20]))]
    assert [(look.until, look.is_change) for look in looked[: len(walked[:20])]] == [
        (at, True) for at, _ in walked[:20]
    ]


@examples(8)
@given(st.data(), timeline_plans())
def test_a_look_tells_the_state_and_when_it_changes(data: st.DataObject, plan: Document) -> None:
    """The next change of the oracle; without one in sight the state lasts for all of it."""
    oracle, ours = Oracle(plan), timelines_of(plan)
    at = data.draw(moments(plan["site"]["timezone"]))
    load = data.draw(st.sampled_from(list(ours)))
    look = ours[load].look(at)
    following = next(oracle.changes(load, at, max(look.until + 1, at + 7 * DAY_MS)), None)
    assert look.is_on is oracle.state(load, at)
    assert look.piece.start <= at < look.piece.end
    assert (look.until, look.is_change) == (
        (at + LOOK_DAYS * DAY_MS, False) if following is None else (following[0], True)
    )


@examples(10)
@given(st.data(), timeline_plans(least_ms=MINUTE_MS))
def test_pieces_tile_time_as_walked(data: st.DataObject, plan: Document) -> None:
    """Neither gap nor overlap, the oracle's spans, and each instant has the piece it lies in."""
    oracle, ours = Oracle(plan), timelines_of(plan)
    start = data.draw(moments(plan["site"]["timezone"]))
    load = data.draw(st.sampled_from(list(ours)))
    timeline = ours[load]
    end = start + data.draw(st.integers(1, 12 * DAY_MS))
    pieces = list(timeline.pieces(start, end))
    assert pieces[0].start <= start < pieces[0].end
    assert pieces[-1].start < end <= pieces[-1].end
    assert [a.end for a in pieces[:-1]] == [b.start for b in pieces[1:]]
    assert all(piece.start < piece.end for piece in pieces)
    assert [timeline.piece_at(at) for p in pieces for at in inside(p.start, p.end)] == [
        p for p in pieces for _ in inside(p.start, p.end)
    ]
    walked = oracle.stretches(load, start, end)
    assert stretches_of(timeline, start, end) == cut_holes(walked, start, end)


def inside(start: int, end: int) -> tuple[int, int, int]:
    """Both ends of a half-open interval and its middle."""
    return start, (start + end) // 2, end - 1


@examples(6)
@given(st.data(), timeline_plans())
def test_answers_do_not_depend_on_what_was_asked_before(
    data: st.DataObject, plan: Document
) -> None:
    """Forwards, backwards, fresh for each, and with a memory of eight days."""
    start = data.draw(moments(plan["site"]["timezone"]))
    instants = data.draw(st.lists(st.integers(start, start + 40 * DAY_MS), min_size=4, max_size=8))
    load = data.draw(st.sampled_from(list(plan["loads"])))
    alone = [timelines_of(plan)[load].look(at) for at in instants]
    onward, back = timelines_of(plan)[load], timelines_of(plan)[load]
    assert [onward.look(at) for at in instants] == alone
    assert [back.look(at) for at in reversed(instants)] == alone[::-1]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(calendar, "_REMEMBERED_MAX", 8)
        forgetful = timelines_of(plan)[load]
        assert [forgetful.look(at) for at in instants] == alone


@examples(8)
@given(st.data(), timeline_plans(least_ms=5 * MINUTE_MS))
def test_the_first_change_of_a_date_is_the_walked_one(data: st.DataObject, plan: Document) -> None:
    """On each date around, to on and to off; none where the oracle has none."""
    oracle, ours = Oracle(plan), timelines_of(plan)
    number = data.draw(moments(plan["site"]["timezone"])) // DAY_MS
    load = data.draw(st.sampled_from(list(ours)))
    asked: Sequence[tuple[int, bool]] = [
        (day, to_on) for day in range(number - 2, number + 3) for to_on in (True, False)
    ]
    assert [ours[load].first_change_on(day, to_on=to_on) for day, to_on in asked] == [
        oracle.first_change(load, date_of_number(day), "on" if to_on else "off")
        for day, to_on in asked
    ]
