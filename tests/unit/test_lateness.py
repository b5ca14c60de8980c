"""Figures of how late switchings were."""

from __future__ import annotations

import pytest

from controller.daemon.lateness import Lateness, LatenessFigures


@pytest.mark.parametrize(
    ("late_ms", "figures"),
    [
        pytest.param([], LatenessFigures(0, None, None, None), id="none yet"),
        pytest.param([3.0], LatenessFigures(1, 3.0, 3.0, 3.0), id="one is all of them"),
        pytest.param(
            [*map(float, range(100))], LatenessFigures(100, 50.0, 99.0, 99.0), id="a hundred"
        ),
        pytest.param(
            [1.0] * 990 + [9.0] * 10, LatenessFigures(1000, 1.0, 9.0, 9.0), id="one in a hundred"
        ),
        pytest.param(
            [1_000.0] + [1.0] * 4096, LatenessFigures(4097, 1.0, 1.0, 1.0), id="the last ones count"
        ),
    ],
)
def test_the_figures_are_of_the_last_switchings(
    late_ms: list[float], figures: LatenessFigures
) -> None:
    """The count is of all; nearest-rank percentiles over the last 4,096."""
    lateness = Lateness()
    for one in late_ms:
        lateness.add(one)
    assert lateness.figures() == figures
