"""The points of a pump's curve, edited as the one value that they are."""

from __future__ import annotations

import pytest

from controller.core.errors import BadRequestError
from tests.plan_edits import add_table, set_value
from tests.plan_texts import COLUMNS, SMALLEST
from tests.unit.test_plan_edit import difference

PUMP = SMALLEST.replace("lamp", "pump")


def test_the_points_of_a_curve_are_set_as_one_value() -> None:
    """What stood between the brackets goes, the comment behind them stays."""
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


@pytest.mark.parametrize("value", [[], [1, 2], [[1, "x"]], [[True]], [[]], [{}, [1]]])
def test_a_list_that_is_no_curve_is_no_value(value: object) -> None:
    """It is refused before anything is written."""
    with pytest.raises(BadRequestError, match="is no value of a plan"):
        set_value(COLUMNS, "loads.pump.lift.curve", value)
