"""Reservoirs: nothing is lost, nothing is less than none, and more draw never leaves more.

The reference goes by small steps; the code under test never does.
"""

from __future__ import annotations

from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.units import DAY_MS, HOUR_MS, Instant
from controller.core.water.bounds import Bounds
from controller.core.water.draw import Draw
from controller.core.water.reservoir import Reservoir, Solution, TopUp
from controller.core.water.reservoir_outlook import DrawBounds, look_ahead
from controller.core.water.reservoir_run import ReservoirRun, follow_reservoir

START: Instant = 1_780_000_000_000


@st.composite
def reservoirs(draw: st.DrawFn) -> Reservoir:
    """One of 5 to 500 L, with its marks in order."""
    full_l = draw(st.floats(5, 500))
    inlet_at_l = full_l * draw(st.floats(0, 0.5))
    mark = draw(st.none() | st.floats(0, 0.98))
    return Reservoir(
        full_l=full_l,
        inlet_at_l=inlet_at_l,
        top_up_at_l=None if mark is None else inlet_at_l + mark * (full_l - inlet_at_l),
        losses_l_per_day=draw(st.just(0.0) | st.floats(0.001, 20)),
    )


amounts = st.lists(st.just(0.0) | st.floats(0, 5), min_size=1, max_size=24)


def hourly(litres: list[float]) -> Draw:
    """A draw of an hour each."""
    return Draw([START + hour * HOUR_MS for hour in range(len(litres) + 1)], litres)


@st.composite
def runs(draw: st.DrawFn) -> ReservoirRun:
    """A run with anything that may happen in it."""
    reservoir, litres = draw(reservoirs()), draw(amounts)
    span_ms = len(litres) * HOUR_MS
    top_up = st.builds(
        TopUp, st.integers(START, START + span_ms - 1), st.floats(0, 100), st.floats(0, 4)
    )
    water_l = draw(st.floats(0, 1)) * reservoir.full_l
    return follow_reservoir(
        reservoir,
        hourly(litres),
        solution=Solution.of_ec(water_l, ec_ms_per_cm=draw(st.floats(0, 4))),
        uptake_ec=draw(st.just(0.0) | st.floats(0, 4)),
        top_ups=draw(st.lists(top_up, max_size=3)),
        refill_to_ec=draw(st.none() | st.floats(0, 4)),
    )


@given(run=runs())
def test_no_water_is_made_or_lost(run: ReservoirRun) -> None:
    """What was in it and was poured is what plants took, the air took, ran over or is left;
    and what plants wanted they took or it is told."""
    gone = run.gone()
    came_l = run.stretches[0].solution.water_l + gone.poured_l
    went_l = gone.taken_l + gone.lost_l + gone.run_over_l + run.at(run.end).water_l
    assert isclose(came_l, went_l, rel_tol=1e-9, abs_tol=1e-9)
    wanted_l = run.stretches[0].draw.between(run.start, run.end)
    assert isclose(gone.taken_l + gone.unmet_l, wanted_l, rel_tol=1e-9, abs_tol=1e-9)


@given(run=runs())
def test_no_salt_is_made_or_lost(run: ReservoirRun) -> None:
    """Between top-ups what plants took is missing, and at each what did not run over comes in."""
    for one in run.stretches:
        left = one.solution_at(one.end).salts + one.gone_by(one.end).salts_taken
        assert isclose(left, one.solution.salts, rel_tol=1e-9, abs_tol=1e-9)
    for before, after in zip(run.stretches, run.stretches[1:], strict=False):
        assert after.top_up is not None
        fits_l = after.top_up.litres - after.run_over_l
        came = before.solution_at(before.end).salts + fits_l * after.top_up.ec_ms_per_cm
        assert isclose(came, after.solution.salts, rel_tol=1e-9, abs_tol=1e-7)


@given(run=runs(), share=st.floats(0, 1))
def test_nothing_is_less_than_none(run: ReservoirRun, share: float) -> None:
    """At any instant: not the water, not the salts; and it never holds more than it can."""
    at = run.start + round(share * (run.end - run.start))
    solution = run.at(at)
    assert 0 <= solution.water_l <= run.stretches[0].reservoir.full_l + 1e-9
    assert solution.salts >= 0
    assert all(figure >= -1e-12 for figure in run.gone())


@given(run=runs(), share=st.floats(0, 1))
def test_a_mark_is_reached_at_its_first_instant(run: ReservoirRun, share: float) -> None:
    """There it holds no more than that, a millisecond before it holds more; if the instant is
    None, it holds more at every hour."""
    full_l = run.stretches[0].reservoir.full_l
    level_l = share * full_l
    at = run.falls_to(level_l)
    slack_l = 1e-9 * full_l
    hours = range(run.start, run.end if at is None else at, HOUR_MS)
    assert all(run.at(hour).water_l > level_l - slack_l for hour in hours)
    if at is not None and not any(one.start == at for one in run.stretches[1:]):
        assert run.at(at).water_l <= level_l + slack_l
        if at > run.start:
            assert run.at(at - 1).water_l >= level_l - slack_l


def stepped(reservoir: Reservoir, litres: list[float], water_l: float) -> tuple[float, float]:
    """The water left and what plants did not get, by small steps; the reference."""
    unmet_l, steps = 0.0, 150
    for amount in litres:
        for _ in range(steps):
            wanted_l, lost_l = amount / steps, reservoir.losses_l_per_day / 24 / steps
            has_water = water_l > reservoir.inlet_at_l
            unmet_l += 0.0 if has_water else wanted_l
            water_l = max(0.0, water_l - lost_l - (wanted_l if has_water else 0.0))
    return water_l, unmet_l


@given(reservoir=reservoirs(), litres=amounts, share=st.floats(0, 1))
def test_a_run_is_what_small_steps_give(
    reservoir: Reservoir, litres: list[float], share: float
) -> None:
    """To within one step of the reference."""
    water_l = share * reservoir.full_l
    run = follow_reservoir(reservoir, hourly(litres), solution=Solution(water_l))
    expected_l, unmet_l = stepped(reservoir, litres, water_l)
    step_l = (max(litres) + reservoir.losses_l_per_day / 24) / 150
    assert run.at(run.end).water_l == pytest.approx(expected_l, abs=2 * step_l + 1e-6)
    assert run.gone().unmet_l == pytest.approx(unmet_l, abs=2 * step_l + 1e-6)


@given(
    reservoir=reservoirs(),
    litres=amounts,
    more=st.floats(1, 3),
    water_share=st.floats(0, 1),
    at_share=st.floats(0, 1),
)
def test_more_draw_leaves_less(
    reservoir: Reservoir, litres: list[float], more: float, water_share: float, at_share: float
) -> None:
    """At any instant, and any mark is reached no later."""
    solution = Solution(water_share * reservoir.full_l)
    slow = follow_reservoir(reservoir, hourly(litres), solution=solution)
    fast = follow_reservoir(reservoir, hourly([one * more for one in litres]), solution=solution)
    at = START + round(at_share * (slow.end - START))
    assert fast.at(at).water_l <= slow.at(at).water_l + 1e-9
    level_l = at_share * reservoir.full_l
    latest, earliest = slow.falls_to(level_l), fast.falls_to(level_l)
    if latest is not None:
        assert earliest is not None
        assert earliest <= latest + 1


@given(
    reservoir=reservoirs(),
    litres=amounts,
    factors=st.tuples(st.floats(0.2, 1), st.floats(1, 3), st.floats(0, 1)),
    uptake=st.tuples(st.floats(0, 2), st.floats(0, 2), st.floats(0, 1)),
    at_share=st.floats(0, 1),
)
def test_an_outlook_s_corners_bound_all_between_them(
    reservoir: Reservoir,
    litres: list[float],
    factors: tuple[float, float, float],
    uptake: tuple[float, float, float],
    at_share: float,
) -> None:
    """Until the inlet draws air, level and strength of any run between the corners lie within."""
    low, high, between = factors
    weak, strong = sorted(uptake[:2])
    some_draw, some_uptake = low + between * (high - low), weak + uptake[2] * (strong - weak)
    solution = Solution.of_ec(reservoir.full_l, ec_ms_per_cm=1.6)
    draws = [hourly([one * by for one in litres]) for by in (low, some_draw, high)]
    seen = look_ahead(
        reservoir,
        DrawBounds(*draws),
        solution=solution,
        uptake_ec=Bounds(weak, (weak + strong) / 2, strong),
    )
    run = follow_reservoir(reservoir, draws[1], solution=solution, uptake_ec=some_uptake)
    at = START + round(at_share * (seen.end - START))
    least, _, most = seen.water_l(at)
    assert least - 1e-9 <= run.at(at).water_l <= most + 1e-9
    strength, bounds = run.at(at).ec_ms_per_cm, seen.ec_ms_per_cm(at)
    drew_air = seen.corners[2].inlet_drew_air_at
    if strength is not None and bounds is not None and (drew_air is None or at <= drew_air):
        assert bounds.low - 1e-9 <= strength <= bounds.high + 1e-9


@given(days=st.integers(1, 400), litres=st.floats(0.1, 20))
def test_a_long_run_is_as_exact_as_a_short_one(days: int, litres: float) -> None:
    """Filled again and again for up to 400 days, nothing is made or lost."""
    tank = Reservoir(full_l=60.0, inlet_at_l=8.0, top_up_at_l=20.0, losses_l_per_day=0.5)
    draw = Draw([START + day * DAY_MS for day in range(days + 1)], [litres] * days)
    run = follow_reservoir(tank, draw, solution=Solution(60.0, 96.0), refill_to_ec=1.6)
    gone = run.gone()
    left_l = 60.0 + gone.poured_l - gone.taken_l - gone.lost_l
    assert run.at(run.end).water_l == pytest.approx(left_l, rel=1e-9)
    assert gone.unmet_l == 0
    assert gone.taken_l == pytest.approx(litres * days, rel=1e-9)
