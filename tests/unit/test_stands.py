"""A plan's stands as the water models are told them."""

from __future__ import annotations

from datetime import date

import pytest

from controller.core.plan_text.reading import read_plan
from controller.core.stands import StandFacts, stands_of
from tests.plan_texts import COLUMNS


def heads(age: str) -> StandFacts:
    """The columns' heads with a line of TOML that tells their age, or with none."""
    assert COLUMNS.count("age_days = 35\n") == 1
    text = COLUMNS.replace("age_days = 35\n", age)
    return stands_of(read_plan(text.encode(), "plan.toml").plan)[0]


@pytest.mark.parametrize(
    ("sown", "day", "age_days"),
    [
        pytest.param("2026-06-01", date(2026, 7, 6), 35, id="five weeks on"),
        pytest.param("2026-06-01", date(2026, 6, 1), 0, id="the day itself"),
        pytest.param("2026-06-01", date(2026, 5, 31), None, id="the day before: no plants yet"),
        pytest.param("2028-02-28", date(2028, 3, 1), 2, id="over a leap day"),
    ],
)
def test_plants_age_from_the_day_on_which_they_were_sown(
    sown: str, day: date, age_days: int | None
) -> None:
    """By local dates, whatever hour it is."""
    assert heads(f"sown = {sown}\n").age_days_on(day) == age_days


def test_a_stated_age_is_the_same_on_every_day() -> None:
    """It serves to ask what a heat wave would do to heads of five weeks."""
    facts = heads("age_days = 35\n")
    assert {facts.age_days_on(date(2026, month, 1)) for month in range(1, 13)} == {35}
