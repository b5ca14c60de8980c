"""What `check` says of a pump's curve that is none: one slip each."""

from __future__ import annotations

import pytest

from controller.core.findings import Finding
from tests.plan_texts import COLUMNS, changed, findings_in

CURVE = "curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]"
SLIPS = [
    pytest.param(
        "curve = [[1000, 0.0], [700, 2.5], [0, 2.0]]",
        [
            Finding(
                "error",
                "loads.pump.lift.curve",
                (
                    "the curve rises from 0 L/h at 2 m to 700 L/h at 2.5 m: a pump delivers less "
                    "against a higher head; see whether a point is [L/h, m] the wrong way round"
                ),
                "write it like curve = [[1000, 0.0], [700, 1.0], [0, 2.0]], in L/h and m",
                19,
            )
        ],
        id="a curve that rises",
    ),
    pytest.param(
        "curve = [[1000, 0.0], [700], [0, 2.0]]",
        [
            Finding(
                "error",
                "loads.pump.lift.curve",
                "curve: point 2, [700], is not a flow in L/h and a head in m",
                "write it like curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]",
                19,
            )
        ],
        id="a point of one number",
    ),
    pytest.param(
        'curve = [[1000, 0.0], [700, "x"], [0, 2.0]]',
        [
            Finding(
                "error",
                "loads.pump.lift.curve",
                "curve: the head of point 2 is 'x'; allowed is 0 to 100 m",
                "write it like curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]",
                19,
            )
        ],
        id="a text in a point",
    ),
    pytest.param(
        "curve = 5",
        [
            Finding(
                "error",
                "loads.pump.lift.curve",
                "curve: 5 is no list of points, each a flow in L/h and a head in m",
                "write it like curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]",
                19,
            )
        ],
        id="no points",
    ),
    pytest.param(
        'curve = "0 L/h at 2 m"',
        [
            Finding(
                "error",
                "loads.pump.lift.curve",
                ("curve: '0 L/h at 2 m' is no list of points, each a flow in L/h and a head in m"),
                "write it like curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]",
                19,
            )
        ],
        id="a text for points",
    ),
    pytest.param(
        "curve = [[1000, 0.0]]",
        [
            Finding(
                "error",
                "loads.pump.lift.curve",
                "curve: it has 1 point; allowed are 2 to 50",
                "write it like curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]",
                19,
            )
        ],
        id="one point",
    ),
    pytest.param(
        "curve = [[1e-9, 0.0], [0, 2.0]]",
        [
            Finding(
                "error",
                "loads.pump.lift.curve",
                "curve: its greatest flow is 1e-09 L/h; a pump that lifts has 1 L/h or more",
                "write it like curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]",
                19,
            )
        ],
        id="a pump that moves nothing",
    ),
    pytest.param(
        "curve = [[1000, 0.0], [0, 0.04]]",
        [
            Finding(
                "error",
                "loads.pump.lift.curve",
                "curve: its greatest head is 0.04 m; a pump that lifts has 0.05 m or more",
                "write it like curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]",
                19,
            )
        ],
        id="a pump that lifts to no height",
    ),
]


@pytest.mark.parametrize(("new", "found"), SLIPS)
def test_a_slip_is_told_with_line_place_and_mend(new: str, found: list[Finding]) -> None:
    """Where it is, what was given, what is allowed, and what to write; nothing beside it."""
    assert findings_in(changed(CURVE, new, text=COLUMNS)) == found
