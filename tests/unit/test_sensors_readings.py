"""The door for readings: what comes in, what is refused, what is told and summed up."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.errors import NoReadingError
from controller.core.journal_entry import Summary
from controller.core.observation import Reading, Tick
from controller.core.plan import Quantity
from controller.core.units import Instant
from controller.shell.sensors.readings import Readings
from tests.strategies import examples

QUANTITIES: dict[str, Quantity] = {"air": "air_temperature", "float": "level"}
BEGAN: Instant = 1_782_900_000_000


class Door:
    """A door with a clock that stands until it is moved, and a count of what it told."""

    def __init__(self) -> None:
        self.tick: Tick = 1_000
        self.news = 0
        self.readings = Readings(lambda: (BEGAN + self.tick, self.tick), self._on_news)
        self.readings.expect(QUANTITIES, kept=())

    def _on_news(self) -> None:
        self.news += 1


def test_a_reading_is_there_and_told() -> None:
    """Each one wakes whoever decides, the same value again too: it keeps the sensor fresh."""
    door = Door()
    door.readings.put("air", 21.5, 900)
    door.readings.put("air", 21.5, 1_000)
    assert dict(door.readings.latest) == {"air": Reading(21.5, 1_000)}
    assert door.news == 2


def test_readings_are_one_object_until_something_is_read() -> None:
    """Who has looked at it need not look again; nobody can change it."""
    door = Door()
    door.readings.put("air", 21.5, 900)
    before = door.readings.latest
    assert door.readings.latest is before
    door.readings.put("float", 1.0, 950)
    assert door.readings.latest is not before
    assert dict(before) == {"air": Reading(21.5, 900)}
    with pytest.raises(TypeError):
        door.readings.latest["air"] = Reading(0.0, 0)  # type: ignore[index]


@pytest.mark.parametrize(
    ("sensor", "value", "taken", "why"),
    [
        pytest.param("wind", 3.0, 1_000, "the plan has no sensor 'wind'", id="not of the plan"),
        pytest.param(
            "\x1b[31m" * 99, 3.0, 0, "the plan has no sensor '\\x1b[31m", id="a hostile name"
        ),
        pytest.param("air", math.nan, 1_000, "it says something that is no number", id="nan"),
        pytest.param("air", 99.0, 1_000, "it says 99 °C; believed is -60 to 80 °C", id="too hot"),
        pytest.param("air", 21.0, 1_001, "it is 1 ms from the future", id="from the future"),
        pytest.param("air", 21.0, 899, "it is 1 ms older than the one before", id="late"),
    ],
)
def test_what_cannot_be_believed_is_refused(
    sensor: str, value: float, taken: Tick, why: str
) -> None:
    """The reading before it stays and grows old; nobody is woken."""
    door = Door()
    door.readings.put("air", 20.0, 900)
    before = door.readings.latest
    with pytest.raises(NoReadingError) as refusal:
        door.readings.put(sensor, value, taken)
    assert str(refusal.value).startswith(why)
    assert str(refusal.value).isprintable()
    assert len(str(refusal.value)) < 200
    assert door.readings.latest is before
    assert door.news == 1


def test_a_source_that_nobody_waits_for_leaves_its_reason() -> None:
    """The reason stands until the next reading that can be believed."""
    door = Door()
    assert door.readings.why_silent == {
        "air": "it has not been read yet",
        "float": "it has not been read yet",
    }
    door.readings.take("air", 99.0, 1_000)
    door.readings.miss("float", "its wire is off")
    door.readings.miss("wind", "not of the plan, and not remembered")
    assert door.readings.why_silent == {
        "air": "it says 99 °C; believed is -60 to 80 °C",
        "float": "its wire is off",
    }
    door.readings.take("air", 21.0, 1_000)
    assert door.readings.why_silent == {"float": "its wire is off"}


def test_another_plan_drops_what_it_does_not_keep() -> None:
    """Readings, reasons and sums of other sensors go."""
    door = Door()
    door.readings.put("air", 21.5, 900)
    door.readings.put("float", 1.0, 900)
    door.readings.expect({"float": "level", "new": "humidity"}, kept=("float",))
    assert dict(door.readings.latest) == {"float": Reading(1.0, 900)}
    assert door.readings.why_silent == {"new": "it has not been read yet"}
    assert [summary.sensor for summary in door.readings.summaries()] == ["float"]


def test_the_same_plan_again_changes_nothing() -> None:
    """Not even the object."""
    door = Door()
    door.readings.put("air", 21.5, 900)
    before = door.readings.latest
    door.readings.expect(QUANTITIES, kept=tuple(QUANTITIES))
    assert door.readings.latest is before


def test_readings_are_summed_up_since_the_last_time() -> None:
    """From the last call to this one, by sensor; who was silent has no line."""
    door = Door()
    for value in (20.0, 23.0, 21.5):
        door.readings.put("air", value, 1_000)
    door.tick = 61_000
    assert door.readings.summaries() == [
        Summary("air", BEGAN + 1_000, BEGAN + 61_000, 3, 20.0, 21.5, 23.0)
    ]
    door.tick = 121_000
    door.readings.put("float", 1.0, 121_000)
    assert door.readings.summaries() == [
        Summary("float", BEGAN + 61_000, BEGAN + 121_000, 1, 1.0, 1.0, 1.0)
    ]
    assert door.readings.summaries() == []


@given(st.lists(st.floats(-60, 80).filter(lambda v: round(v, 3) != 85.0), min_size=1, max_size=50))
@examples(100)
def test_sums_are_those_of_the_list(values: list[float]) -> None:
    """Least and most to the bit, the mean within its own rounding and between the two."""
    door = Door()
    for value in values:
        door.readings.put("air", value, 1_000)
    (summary,) = door.readings.summaries()
    assert (summary.count, summary.least, summary.most) == (len(values), min(values), max(values))
    assert summary.mean == pytest.approx(math.fsum(values) / len(values), abs=1e-9)
    assert summary.least - 1e-12 <= summary.mean <= summary.most + 1e-12
