"""A draw as a sum along straight pieces."""

from __future__ import annotations

import pytest

from controller.core.units import HOUR_MS
from controller.core.water.draw import Draw

START = 1_780_000_000_000
HOURS = [START + hour * HOUR_MS for hour in range(5)]
# 0.2 L, nothing, 0.4 L, 0.1 L.
DRAW = Draw(HOURS, [0.2, 0.0, 0.4, 0.1])


@pytest.mark.parametrize(
    ("hours", "litres"),
    [(0, 0.0), (0.5, 0.1), (1, 0.2), (1.7, 0.2), (2, 0.2), (2.25, 0.3), (3, 0.6), (4, 0.7)],
)
def test_the_sum_grows_evenly_within_an_hour(hours: float, litres: float) -> None:
    """And is exact at the edges."""
    assert DRAW.until(START + round(hours * HOUR_MS)) == pytest.approx(litres, abs=1e-12)


@pytest.mark.parametrize(
    ("litres", "hours"), [(0.0, 0), (0.1, 0.5), (0.2, 1), (0.3, 2.25), (0.6, 3), (0.7, 4)]
)
def test_a_sum_is_reached_at_its_first_instant(litres: float, hours: float) -> None:
    """0.2 L are reached after one hour, though the second draws nothing either."""
    at = DRAW.reaching(litres, after=START)
    assert at is not None
    assert abs(at - (START + hours * HOUR_MS)) <= 1  # a millisecond: it is rounded up


def test_a_sum_is_counted_from_a_later_instant_on() -> None:
    """From the middle of the third hour: 0.2 L by its end, 0.25 L half an hour later."""
    middle = START + HOUR_MS * 5 // 2
    assert DRAW.reaching(0.1, after=middle) == pytest.approx(middle + HOUR_MS // 4, abs=1)
    assert DRAW.reaching(0.25, after=middle) == pytest.approx(START + HOUR_MS * 7 // 2, abs=1)
    assert DRAW.reaching(0.31, after=middle) is None


def test_a_steady_loss_hastens_it() -> None:
    """With 0.1 L an hour beside it, 0.3 L are gone after an hour, and 0.4 after two."""
    rate = 0.1 / HOUR_MS
    assert DRAW.reaching(0.3, after=START, lost_l_per_ms=rate) == pytest.approx(HOURS[1], abs=1)
    assert DRAW.reaching(0.4, after=START, lost_l_per_ms=rate) == pytest.approx(HOURS[2], abs=1)
    assert DRAW.reaching(1.2, after=START, lost_l_per_ms=rate) is None


def test_nothing_is_reached_at_once() -> None:
    """At the instant itself, wherever it lies."""
    assert DRAW.reaching(0.0, after=HOURS[2]) == HOURS[2]
    assert DRAW.reaching(-1.0, after=HOURS[4]) == HOURS[4]


@pytest.mark.parametrize(
    ("edges", "litres", "told"),
    [
        ([START], [], "one at least"),
        (HOURS, [0.1], "edges were given"),
        ([START, START], [0.1], "must rise"),
        (HOURS[:2], [-0.1], "not negative"),
        (HOURS[:2], [float("nan")], "not negative"),
        (HOURS[:2], [float("inf")], "not negative"),
    ],
)
def test_what_is_no_draw_is_refused(edges: list[int], litres: list[float], told: str) -> None:
    """With what is wrong."""
    with pytest.raises(ValueError, match=told):
        Draw(edges, litres)


def test_an_instant_outside_is_refused() -> None:
    """Nothing is known there."""
    for instant in (START - 1, HOURS[-1] + 1):
        with pytest.raises(ValueError, match="lies outside"):
            DRAW.until(instant)
        with pytest.raises(ValueError, match="lies outside"):
            DRAW.reaching(0.0, after=instant)
