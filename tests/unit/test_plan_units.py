"""A number that somebody has written with another unit is turned into the key's, or not guessed."""

from __future__ import annotations

import pytest

from tests.plan_texts import COLUMNS, changed, findings_in


@pytest.mark.parametrize(
    ("old", "new", "mend"),
    [
        pytest.param("height_m = 1.5", 'height_m = "5 ft"', "height_m = 1.524", id="feet"),
        pytest.param("height_m = 1.5", 'height_m = "150cm"', "height_m = 1.5", id="centimetres"),
        pytest.param("height_m = 1.5", 'height_m = "1.5 m"', "height_m = 1.5", id="its own unit"),
        pytest.param("height_m = 1.5", 'height_m = "1,5"', "height_m = 1.5", id="no unit"),
        pytest.param(
            "hose_bore_mm = 13", 'hose_bore_mm = "0.5 in"', "hose_bore_mm = 12.7", id="inches"
        ),
        pytest.param("full_l = 60", 'full_l = "900 mL"', "full_l = 0.9", id="millilitres"),
        pytest.param(
            "reserve = 0.3", 'reserve = "25 %"', "reserve = 0.25", id="percent of a share"
        ),
        pytest.param("reserve = 0.3", 'reserve = "0.5%"', "reserve = 0.005", id="half a percent"),
    ],
)
def test_a_unit_that_is_plain_is_turned_into_the_key_s(old: str, new: str, mend: str) -> None:
    """By the units' own definitions."""
    [found] = findings_in(changed(old, new, text=COLUMNS))
    assert found.mend == f"write {mend}"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        pytest.param("full_l = 60", 'full_l = "15 gal"', id="two kinds of gallons"),
        pytest.param("height_m = 1.5", 'height_m = "5 feets"', id="no unit that is known"),
        pytest.param("height_m = 1.5", 'height_m = "5 L"', id="a unit of something else"),
    ],
)
def test_a_unit_that_nobody_can_turn_is_not_dropped(old: str, new: str) -> None:
    """The example says how to write it: the bare number would be another amount."""
    [found] = findings_in(changed(old, new, text=COLUMNS))
    assert found.mend.startswith("write it like ")
