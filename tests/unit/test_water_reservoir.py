"""What is in a reservoir, worked by hand."""

from __future__ import annotations

import pytest

from controller.core.units import DAY_MS, HOUR_MS
from controller.core.water.bounds import Bounds
from controller.core.water.draw import Draw
from controller.core.water.reservoir import (
    Reservoir,
    Solution,
    TopUp,
    ec_to_pour,
    ec_when_filled,
    topped_up,
)
from controller.core.water.reservoir_outlook import DrawBounds, ReservoirOutlook, look_ahead
from controller.core.water.reservoir_run import Gone, follow_reservoir

START = 1_780_000_000_000
TANK = Reservoir(full_l=60.0, inlet_at_l=8.0, top_up_at_l=20.0)
FULL = Solution.of_ec(60.0, ec_ms_per_cm=1.6)


def days(count: float) -> int:
    """The instant so many days after the start."""
    return START + round(count * DAY_MS)


def steady(litres_a_day: float, length_days: int) -> Draw:
    """The same draw every hour."""
    hours = 24 * length_days
    edges = [START + hour * HOUR_MS for hour in range(hours + 1)]
    return Draw(edges, [litres_a_day / 24] * hours)


# Level


def test_a_level_falls_by_what_plants_draw_and_the_air_takes() -> None:
    """4 L a day and 0.5 L a day of losses: 60 L are 46.5 L after three days."""
    tank = Reservoir(full_l=60.0, inlet_at_l=8.0, losses_l_per_day=0.5)
    run = follow_reservoir(tank, steady(4.0, 10), solution=FULL)
    assert run.at(days(3)).water_l == pytest.approx(46.5)
    assert run.at(days(0)) == FULL


def test_marks_are_reached_at_their_instants() -> None:
    """60 L at 4 L a day: 20 L after ten days, the inlet's 8 L after thirteen."""
    run = follow_reservoir(TANK, steady(4.0, 20), solution=FULL)
    assert run.falls_to(20.0) == pytest.approx(days(10), abs=1)
    assert run.falls_to(8.0) == run.inlet_drew_air_at == pytest.approx(days(13), abs=1)
    assert run.falls_to(60.0) == START
    assert run.falls_to(7.9) is None


def test_at_the_inlet_plants_get_nothing_and_it_is_told() -> None:
    """Seven days of 4 L are not met; 52 L were; the level stays at 8 L."""
    run = follow_reservoir(TANK, steady(4.0, 20), solution=FULL)
    gone = run.gone()
    assert (gone.taken_l, gone.unmet_l, gone.lost_l) == pytest.approx((52.0, 28.0, 0.0), abs=1e-6)
    assert run.at(run.end).water_l == pytest.approx(8.0)


def test_below_the_inlet_losses_go_on_until_it_is_dry() -> None:
    """From 8 L at half a litre a day: 6 L after four days, nothing after sixteen, and then
    the salts lie dry."""
    tank = Reservoir(full_l=60.0, inlet_at_l=8.0, losses_l_per_day=0.5)
    start = Solution.of_ec(8.0, ec_ms_per_cm=1.6)
    run = follow_reservoir(tank, steady(4.0, 20), solution=start)
    assert run.inlet_drew_air_at == START
    assert run.falls_to(6.0) == pytest.approx(days(4), abs=1)
    assert run.falls_to(0.0) == pytest.approx(days(16), abs=1)
    assert run.at(days(18)) == Solution(0.0, 8.0 * 1.6)
    assert run.at(days(18)).ec_ms_per_cm is None
    assert run.gone().unmet_l == pytest.approx(80.0)


def test_a_reservoir_that_nobody_draws_from_stays() -> None:
    """And reaches no mark."""
    run = follow_reservoir(TANK, steady(0.0, 3), solution=FULL)
    assert run.at(run.end) == FULL
    assert [run.falls_to(20.0), run.inlet_drew_air_at] == [None, None]


# Top-ups


def test_a_top_up_raises_the_level_at_its_instant() -> None:
    """40 L on the eleventh day, at 20 L: full again; a millisecond before, it is not."""
    top_up = TopUp(days(10), 40.0, 1.6)
    run = follow_reservoir(TANK, steady(4.0, 12), solution=FULL, top_ups=[top_up])
    assert run.at(days(10) - 1).water_l == pytest.approx(20.0)
    assert run.at(days(10)).water_l == pytest.approx(60.0)
    assert run.at(days(12)).water_l == pytest.approx(52.0)
    assert run.top_ups == [top_up]


def test_what_has_no_room_runs_over_with_its_salts() -> None:
    """50 L into 20 L of a 60 L reservoir: 10 L run over, and carry the salts of 10 L."""
    poured = Solution.of_ec(50.0, ec_ms_per_cm=1.0)
    after, over = topped_up(Solution(20.0, 40.0), TANK, poured)
    assert after == pytest.approx(Solution(60.0, 80.0))
    assert over == pytest.approx(Solution(10.0, 10.0))
    run = follow_reservoir(
        TANK, steady(4.0, 12), solution=FULL, top_ups=[TopUp(days(10), 50.0, 1.0)]
    )
    assert run.gone().run_over_l == pytest.approx(10.0)


def test_it_is_filled_whenever_it_falls_to_its_mark() -> None:
    """40 L at 4 L a day last ten days: filled after ten, twenty and thirty of 35."""
    run = follow_reservoir(TANK, steady(4.0, 35), solution=FULL, refill_to_ec=1.6)
    assert [one.at for one in run.top_ups] == pytest.approx([days(10), days(20), days(30)], abs=5)
    assert [one.litres for one in run.top_ups] == pytest.approx([40.0] * 3)
    assert run.at(run.end).water_l == pytest.approx(40.0)
    assert run.gone().unmet_l == 0


def test_nobody_fills_it_more_often_than_once_an_hour() -> None:
    """A mark a drop under the rim, and 24 L a day: 1 L each hour, not a thousand drops."""
    tank = Reservoir(full_l=60.0, top_up_at_l=59.999)
    run = follow_reservoir(tank, steady(24.0, 1), solution=FULL, refill_to_ec=1.6)
    assert len(run.top_ups) == 24
    assert run.top_ups[1].at - run.top_ups[0].at == HOUR_MS


def test_a_mark_that_nobody_gave_fills_nothing() -> None:
    """It runs down to its inlet."""
    tank = Reservoir(full_l=60.0, inlet_at_l=8.0)
    run = follow_reservoir(tank, steady(4.0, 20), solution=FULL, refill_to_ec=1.6)
    assert run.top_ups == []
    assert run.inlet_drew_air_at is not None


def test_top_ups_that_somebody_made_and_refills_go_together() -> None:
    """20 L on the fifth day put off the filling by five days; two at one instant are both
    poured."""
    given = [TopUp(days(5), 12.0, 1.6), TopUp(days(5), 8.0, 1.6)]
    run = follow_reservoir(TANK, steady(4.0, 16), solution=FULL, top_ups=given, refill_to_ec=1.6)
    assert [one.at for one in run.top_ups] == pytest.approx([days(5), days(5), days(15)], abs=5)


# Strength


def test_where_salts_stay_strength_grows_as_water_goes() -> None:
    """Half of the water gone, twice the strength: 60 L of 1.6 become 30 L of 3.2."""
    run = follow_reservoir(TANK, steady(4.0, 10), solution=FULL)
    assert run.at(days(7.5)).ec_ms_per_cm == pytest.approx(3.2)


def test_plants_that_drink_what_is_there_change_nothing() -> None:
    """An uptake of 1.6 keeps a solution of 1.6."""
    run = follow_reservoir(TANK, steady(4.0, 10), solution=FULL, uptake_ec=1.6)
    assert run.at(days(9)).ec_ms_per_cm == pytest.approx(1.6)


def test_strength_by_hand_with_uptake_and_losses() -> None:
    """60 L of 1.6 are 96 mS/cm × L. 20 days of 1.5 L at 0.8 take 24, 0.5 L a day of losses
    take none: 72 in 20 L are 3.6."""
    tank = Reservoir(full_l=60.0, inlet_at_l=8.0, losses_l_per_day=0.5)
    run = follow_reservoir(tank, steady(1.5, 25), solution=FULL, uptake_ec=0.8)
    assert run.at(days(20)).ec_ms_per_cm == pytest.approx(3.6)


def test_a_weak_solution_is_used_up_and_no_more() -> None:
    """60 L of 0.2 at an uptake of 0.8: nothing is left in it after 15 L."""
    weak = Solution.of_ec(60.0, ec_ms_per_cm=0.2)
    run = follow_reservoir(TANK, steady(4.0, 10), solution=weak, uptake_ec=0.8)
    assert run.at(days(2)).ec_ms_per_cm == pytest.approx((12 - 6.4) / 52)
    assert run.at(days(5)).salts == 0
    assert run.gone().salts_taken == pytest.approx(12.0)


def test_filling_with_water_thins_and_with_solution_may_strengthen() -> None:
    """20 L of 3.6 (72 mS/cm × L) and 40 L: of water 1.2, of tap water with 0.3 it is 1.4, of
    solution with 1.6 it is 2.2667."""
    rest = Solution.of_ec(20.0, ec_ms_per_cm=3.6)
    filled = [ec_when_filled(rest, TANK, ec_ms_per_cm=ec) for ec in (0.0, 0.3, 1.6)]
    assert filled == pytest.approx([1.2, 1.4, 136 / 60])
    assert ec_when_filled(FULL, TANK, ec_ms_per_cm=0.0) == pytest.approx(1.6)


def test_what_brings_it_back_to_its_strength_by_hand() -> None:
    """20 L of 3.0 (60 mS/cm × L) to 60 L of 1.6 (96): 40 L of 0.9. Of 6.0 they have more than
    that already: water alone leaves 2.0."""
    assert ec_to_pour(Solution(20.0, 60.0), TANK, to_ec=1.6) == pytest.approx(0.9)
    assert ec_to_pour(Solution(20.0, 120.0), TANK, to_ec=1.6) == 0
    assert ec_to_pour(FULL, TANK, to_ec=3.0) == 0


def test_filled_to_its_strength_it_begins_anew_each_time() -> None:
    """With an uptake of 0.7, 40 L took 28 of 96: 40 L of 0.7 bring 1.6 back, each time."""
    run = follow_reservoir(TANK, steady(4.0, 35), solution=FULL, uptake_ec=0.7, refill_to_ec=1.6)
    assert [one.ec_ms_per_cm for one in run.top_ups] == pytest.approx([0.7] * 3)
    strengths = [run.at(one.at).ec_ms_per_cm for one in run.top_ups]
    assert strengths == pytest.approx([1.6] * 3)


def test_filled_at_the_very_inlet_nothing_is_missed() -> None:
    """A mark at the inlet: at that millisecond it is filled, and no plant goes without."""
    tank = Reservoir(full_l=60.0, inlet_at_l=8.0, top_up_at_l=8.0)
    run = follow_reservoir(tank, steady(4.1, 30), solution=FULL, refill_to_ec=1.6)
    gone = run.gone()
    assert len(run.top_ups) == 2
    assert run.inlet_drew_air_at is None
    assert gone.unmet_l < 1e-6  # the millisecond to which the instant is rounded
    assert 60.0 + gone.poured_l == pytest.approx(gone.taken_l + run.at(run.end).water_l, abs=1e-9)


# Outlook


def outlook(*, refill_to_ec: float | None = None) -> ReservoirOutlook:
    """25 days of 3, 4 or 5 L a day."""
    draws = DrawBounds(steady(3.0, 25), steady(4.0, 25), steady(5.0, 25))
    uptake = Bounds(0.3, 0.7, 1.3)
    return look_ahead(TANK, draws, solution=FULL, uptake_ec=uptake, refill_to_ec=refill_to_ec)


def test_an_outlook_has_the_earliest_the_likely_and_the_latest() -> None:
    """40 L last 8, 10 or 13.3 days; 52 L last 10.4, 13 or 17.3."""
    seen = outlook()
    assert seen.falls_to(20.0) == pytest.approx((days(8), days(10), days(40 / 3)), abs=1)
    assert seen.falls_to(8.0) == pytest.approx((days(10.4), days(13), days(52 / 3)), abs=1)
    assert seen.water_l(days(4)) == pytest.approx((40.0, 44.0, 48.0))
    assert seen.unmet_l() == pytest.approx((23.0, 48.0, 73.0), abs=1e-6)


def test_strength_lies_between_the_extremes_of_draw_and_uptake() -> None:
    """After four days at most 96 - 6 in 40 L, at least 96 - 15.6 in 48 L, likely 96 - 11.2
    in 44 L."""
    strength = outlook().ec_ms_per_cm(days(4))
    assert strength == pytest.approx((80.4 / 48, 84.8 / 44, 90 / 40))


def test_a_mark_may_be_reached_only_at_the_earliest() -> None:
    """Where the time is too short for the likely draw, that is said."""
    draws = DrawBounds(steady(3.0, 9), steady(4.0, 9), steady(5.0, 9))
    seen = look_ahead(TANK, draws, solution=FULL, uptake_ec=Bounds(0, 0, 0))
    earliest, likely, latest = seen.falls_to(20.0)
    assert earliest == pytest.approx(days(8), abs=1)
    assert (likely, latest) == (None, None)


def test_a_dry_reservoir_has_no_strength() -> None:
    """Not even between bounds."""
    tank = Reservoir(full_l=60.0, losses_l_per_day=1.0)
    draws = DrawBounds(steady(0.0, 25), steady(1.0, 25), steady(5.0, 25))
    seen = look_ahead(tank, draws, solution=FULL, uptake_ec=Bounds(0, 0, 0))
    assert seen.ec_ms_per_cm(days(5)) is not None
    assert seen.ec_ms_per_cm(days(20)) is None


def test_refills_are_counted_in_each_run() -> None:
    """25 days: 40 L once, twice or three times."""
    assert outlook(refill_to_ec=1.6).poured_l() == pytest.approx((40.0, 80.0, 120.0), abs=1e-3)


# What is refused


@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ({"full_l": 60.0, "inlet_at_l": 60.0}, "inlet_at_l"),
        ({"full_l": 60.0, "inlet_at_l": -1.0}, "inlet_at_l"),
        ({"full_l": float("inf")}, "full_l"),
        ({"full_l": 60.0, "inlet_at_l": 8.0, "top_up_at_l": 7.0}, "top_up_at_l"),
        ({"full_l": 60.0, "top_up_at_l": 60.0}, "top_up_at_l"),
        ({"full_l": 60.0, "losses_l_per_day": -0.1}, "losses_l_per_day"),
        ({"full_l": 60.0, "losses_l_per_day": float("nan")}, "losses_l_per_day"),
    ],
)
def test_a_reservoir_that_cannot_be_is_refused(facts: dict[str, float], told: str) -> None:
    """With the key that is wrong."""
    with pytest.raises(ValueError, match=told):
        Reservoir(**facts)


def test_a_run_that_cannot_be_is_refused() -> None:
    """More in it than it holds, a top-up outside, a negative uptake, other times."""
    draw = steady(4.0, 2)
    with pytest.raises(ValueError, match="holds 0 to 60"):
        follow_reservoir(TANK, draw, solution=Solution(61.0, 0.0))
    with pytest.raises(ValueError, match="outside of the run"):
        follow_reservoir(TANK, draw, solution=FULL, top_ups=[TopUp(draw.end, 1.0)])
    with pytest.raises(ValueError, match="taken up"):
        follow_reservoir(TANK, draw, solution=FULL, uptake_ec=-0.1)
    with pytest.raises(ValueError, match="begin and end together"):
        look_ahead(
            TANK,
            DrawBounds(draw, draw, steady(4.0, 3)),
            solution=FULL,
            uptake_ec=Bounds(0, 0, 0),
        )
    with pytest.raises(ValueError, match="lies outside"):
        follow_reservoir(TANK, draw, solution=FULL).at(draw.end + 1)
    with pytest.raises(ValueError, match="not negative"):
        Solution.of_ec(-1.0, ec_ms_per_cm=1.6)


def test_a_run_without_anything_has_an_account() -> None:
    """Every figure is there, and nothing."""
    run = follow_reservoir(TANK, steady(0.0, 1), solution=FULL)
    assert run.gone() == Gone()
