"""The points of a pump's curve, edited as the one value that they are."""

from __future__ import annotations

import tomllib

import pytest

from controller.core.errors import BadRequestError, PlanRefusedError
from tests.plan_edits import add_table, set_value
from tests.plan_texts import COLUMNS, SMALLEST
from tests.unit.test_plan_edit import difference

PUMP = SMALLEST.replace("lamp", "pump")


def test_the_points_of_a_curve_are_set_as_one_value() -> None:
    """The comment behind them stays."""
    done = set_value(COLUMNS, "loads.pump.lift.curve", [[900, 0.0], [0, 2.5]])
    assert difference(COLUMNS, done)[1:] == [
        "-curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]   # from the maker's chart",
        "+curve = [[900, 0.0], [0, 2.5]]   # from the maker's chart",
    ]


def test_a_table_with_points_is_added_with_them_on_a_line() -> None:
    """Points are a value, not tables."""
    lift = {
        "height_m": 1.2,
        "curve": [[900, 0], [0, 2.5]],
        "hose_bore_mm": 13,
        "hose_length_m": 2,
        "fittings": {"elbow": 1},
    }
    assert add_table(PUMP, "loads.pump.lift", lift) == PUMP + (
        "\n[loads.pump.lift]\n"
        "height_m = 1.2\n"
        "curve = [[900, 0], [0, 2.5]]\n"
        "hose_bore_mm = 13\n"
        "hose_length_m = 2\n"
        "\n[loads.pump.lift.fittings]\n"
        "elbow = 1\n"
    )


MAKER = COLUMNS.replace(
    "curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]   # from the maker's chart",
    """curve = [   # from the maker's chart
    [1000, 0.0],  # nothing lifted
    # read with a ruler
    [700, 1.0],   # about
    [0, 2.0],     # at the label's height
]""",
)


@pytest.mark.parametrize(
    ("points", "changes"),
    [
        pytest.param(
            [[1000, 0], [650, 1.1], [0, 2]],
            ["-    [700, 1.0],   # about", "+    [650, 1.1],   # about"],
            id="one point is another",
        ),
        pytest.param(
            [[1000, 0], [0, 2]],
            ["-    # read with a ruler", "-    [700, 1.0],   # about"],
            id="one goes, with the comment that is its own",
        ),
        pytest.param(
            [[1000, 0], [700, 1], [300, 1.7], [0, 2]],
            ["+    [300, 1.7],"],
            id="one comes between two",
        ),
        pytest.param(
            [[1000, 0], [700, 1], [0, 2], [1200, 0]],
            ["+    [1200, 0],"],
            id="one comes last",
        ),
        pytest.param([[1000, 0.0], [700, 1.0], [0, 2.0]], [], id="all stay"),
        pytest.param(
            [[1000, 0], [0, 2.2]],
            [
                "-    [700, 1.0],   # about",
                "-    [0, 2.0],     # at the label's height",
                "+    [0, 2.2],   # about",
            ],
            id="one goes and another changes",
        ),
    ],
)
def test_comments_between_points_stay(points: list[object], changes: list[str]) -> None:
    """Only the points that are others are written anew; the plan has what was asked for."""
    done = set_value(MAKER, "loads.pump.lift.curve", points)
    assert sorted(difference(MAKER, done)[1:]) == sorted(changes)
    assert tomllib.loads(done)["loads"]["pump"]["lift"]["curve"] == points


def test_a_point_that_is_no_number_is_the_reader_s_to_refuse() -> None:
    """It says which point, and what is allowed."""
    with pytest.raises(PlanRefusedError) as refused:
        set_value(COLUMNS, "loads.pump.lift.curve", [[900, "high"], [0, 2.5]])
    (found,) = (one for one in refused.value.findings if one.level == "error")
    assert (found.where, found.message) == (
        "loads.pump.lift.curve",
        "curve: the head of point 1 is 'high'; allowed is 0 to 100 m",
    )


@pytest.mark.parametrize("value", [[], [1, 2], [[True]], [[]], [{}, [1]]])
def test_a_list_that_is_no_curve_is_no_value(value: object) -> None:
    """It is refused before anything is written."""
    with pytest.raises(BadRequestError, match="is no value of a plan"):
        set_value(COLUMNS, "loads.pump.lift.curve", value)
