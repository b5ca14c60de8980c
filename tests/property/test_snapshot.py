"""What was written down decides as what was remembered; and no text brings a reader down."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from controller.core.decide import decide
from controller.core.memory import Memory
from controller.core.plan import Plan
from controller.core.snapshot import restored_boot, restored_memory, snapshot_text
from tests.gardens import Happening, befall, gardens, histories
from tests.strategies import examples
from tests.worlds import Driver

Course = list[tuple[int, Happening]]


@st.composite
def courses(draw: st.DrawFn) -> tuple[Plan, Course]:
    """A garden and what befalls it."""
    plan = draw(gardens())
    return plan, draw(histories(tuple(plan.loads)))


def _darkened(happening: Happening, *, is_seen: bool) -> Happening:
    """The happening; if it is an outage, one that somebody saw begin, or nobody."""
    what, told, keys = happening
    return what, told, keys | ({"is_seen": is_seen} if what in {"lose_power", "crash"} else {})


@given(courses(), st.booleans(), st.booleans())
@examples(30)
def test_a_controller_that_reads_its_memory_back_does_the_same(
    course: tuple[Plan, Course], is_settled: bool, is_seen: bool
) -> None:
    """Through every crash and power cut of a history: the same orders, notices and memory as
    one that simply remembers."""
    plan, happenings = course
    mindful = Driver(plan, is_settled=is_settled)
    forgetful = Driver(mindful.schedule, is_settled=is_settled, restores=True)
    for gap_ms, happening in [*happenings, (1, ("lose_power", (600_000,), {}))]:
        for driver in (mindful, forgetful):
            driver.advance(gap_ms)
            befall(driver, _darkened(happening, is_seen=is_seen))
    for driver in (mindful, forgetful):
        driver.advance("2h")
    assert forgetful.changes == mindful.changes
    assert forgetful.notices == mindful.notices
    assert forgetful.memory == mindful.memory


@given(courses())
@examples(30)
def test_a_snapshot_is_small_and_reads_back_as_itself(course: tuple[Plan, Course]) -> None:
    """Written again, what was read back is the same text; and a card is spared."""
    plan, happenings = course
    driver = Driver(plan)
    for gap_ms, happening in happenings:
        driver.advance(gap_ms)
        befall(driver, happening)
        assert driver.memory is not None
        text = snapshot_text(driver.schedule, driver.memory, kernel_boot="b")
        restored = restored_memory(driver.schedule, text, driver.seen(), kernel_boot="b")
        assert restored.memory is not None
        assert (restored.refused, restored.notices, restored.down_ms_max) == ("", (), 0)
        assert snapshot_text(driver.schedule, restored.memory, kernel_boot="b") == text
        assert restored_boot(text) == driver.boot
        parts = json.loads(text)
        for its in parts.pop("loads").values():
            assert len(json.dumps(its, separators=(",", ":"))) < 300
        parts["alarms"] = []
        assert len(json.dumps(parts, separators=(",", ":"))) < 300


_JUNK: st.SearchStrategy[Any] = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(),
        st.floats(),
        st.text(max_size=5),
        st.sampled_from((10**15, -(10**13), -(10**15), -(10**17), "on", "15m on", "plan")),
    ),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=6,
)


def _paths(value: object, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The way to every value within a value."""
    inner: list[tuple[Any, object]] = []
    if isinstance(value, dict):
        inner = list(value.items())
    elif isinstance(value, list):
        inner = list(enumerate(value))
    return [path, *(way for key, part in inner for way in _paths(part, (*path, key)))]


@given(courses(), st.data())
@examples(30)
def test_a_damaged_text_gives_a_usable_memory_or_none_and_says_why(
    course: tuple[Plan, Course], data: st.DataObject
) -> None:
    """Whatever stands where in a text: no memory and a reason, or one that decides."""
    plan, happenings = course
    driver = Driver(plan)
    for gap_ms, happening in happenings:
        driver.advance(gap_ms)
        befall(driver, happening)
    assert driver.memory is not None
    whole = json.loads(snapshot_text(driver.schedule, driver.memory, kernel_boot="b"))
    way = data.draw(st.sampled_from(_paths(whole)))
    if way:
        place = whole
        for key in way[:-1]:
            place = place[key]
        if data.draw(st.booleans()):
            del place[way[-1]]
        else:
            place[way[-1]] = data.draw(_JUNK)
    else:
        whole = data.draw(_JUNK)
    _must_be_taken(driver, json.dumps(whole))


@given(gardens(), st.text())
@examples(30)
def test_any_text_at_all_may_be_given(plan: Plan, text: str) -> None:
    """Texts that are no snapshots give no memory and a reason."""
    driver = Driver(plan)
    _must_be_taken(driver, text)
    assert driver.memory is not None
    whole = snapshot_text(driver.schedule, driver.memory, kernel_boot="b")
    _must_be_taken(driver, whole[: len(text)])
    _must_be_taken(driver, text + whole)


def _must_be_taken(driver: Driver, text: str) -> None:
    seen = driver.seen()
    restored = restored_memory(driver.schedule, text, seen, kernel_boot="b")
    assert restored_boot(text) >= 0
    if restored.memory is None:
        assert restored.refused
        restored.refused.encode()
        return
    for trusted in (True, False):
        later = seen._replace(boot=restored.memory.boot + 1, is_clock_trusted=trusted)
        for down_ms in (None, restored.down_ms_max):
            memory: Memory | None = restored.memory
            for after_ms in (0, 1_000, 3_600_000):
                decision = decide(
                    driver.schedule,
                    memory,
                    later._replace(
                        now=later.now + after_ms, tick=later.tick + after_ms, down_ms=down_ms
                    ),
                )
                memory = decision.memory
                assert decision.wake > later.tick + after_ms
            snapshot_text(driver.schedule, decision.memory, kernel_boot="b").encode()
