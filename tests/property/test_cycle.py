"""Any cycle, against a walk through its steps."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import example, given
from hypothesis import strategies as st

from controller.core.cycle import Cycle, Step, parse_cycle
from controller.core.errors import BadCycleError
from tests.oracle import folded_state
from tests.strategies import DAY_MS, HOUR_MS, cycle_texts, examples


@st.composite
def small_cycles(draw: st.DrawFn) -> tuple[str, Cycle]:
    """Cycles of a few milliseconds, whose every millisecond can be looked at."""
    text = draw(cycle_texts(most_ms=12))
    return text, parse_cycle(text)


@examples(60)
@given(cycle_texts(), st.integers(0, 400 * DAY_MS))
def test_the_state_is_that_of_the_walk(text: str, elapsed_ms: int) -> None:
    """At any time after the cycle began."""
    assert parse_cycle(text).state_at(elapsed_ms) is folded_state(text, elapsed_ms)


@examples(20)
@given(small_cycles(), st.integers(0, 10**9))
def test_a_small_cycle_tells_what_every_millisecond_shows(
    cycle: tuple[str, Cycle], periods: int
) -> None:
    """State, next change and beginning over three periods, at the start and far on."""
    text, ours = cycle
    period_ms = sum(step.length_ms for step in ours.steps) or 1
    for base in {0, periods * period_ms}:
        walked = {ms: folded_state(text, base + ms) for ms in range(3 * period_ms)}
        changes = [ms for ms, following in pairwise(walked) if walked[ms] is not walked[following]]
        looks = [
            (
                walked[ms],
                next((base + change + 1 for change in changes if change >= ms), None),
            )
            for ms in range(period_ms)
        ]
        assert [ours.look_ms(base + ms) for ms in range(period_ms)] == looks
        began = [
            base + max((change + 1 for change in changes if change < ms), default=0)
            for ms in range(2 * period_ms)
        ]
        # Before the first change shown, the state of a later period began in the one before.
        known = [ms for ms in range(2 * period_ms) if base == 0 or began[ms] > base]
        assert [ours.segment_start_ms(base + ms) for ms in known] == [began[ms] for ms in known]


@examples(20)
@given(small_cycles())
def test_longest_stretches_are_those_that_the_milliseconds_show(cycle: tuple[str, Cycle]) -> None:
    """Of either state, over the wrap; none where a state never ends."""
    text, ours = cycle
    period_ms = sum(step.length_ms for step in ours.steps) or 1
    states = [folded_state(text, ms) for ms in range(3 * period_ms)]
    for is_on, found in ((True, ours.watering_ms), (False, ours.dry_gap_ms)):
        runs = "".join("x" if state is is_on else " " for state in states).split()
        longest = max((len(run) for run in runs), default=0)
        assert found == (None if longest == len(states) else longest)


@examples(40)
@given(cycle_texts(), st.integers(0, 40 * HOUR_MS))
def test_looks_lead_from_change_to_change(text: str, elapsed_ms: int) -> None:
    """The state holds from the beginning to 1 ms before the change, and is another at it."""
    cycle = parse_cycle(text)
    is_on, change_ms = cycle.look_ms(elapsed_ms)
    begun_ms = cycle.segment_start_ms(elapsed_ms)
    assert 0 <= begun_ms <= elapsed_ms
    assert folded_state(text, begun_ms) is is_on
    assert begun_ms == 0 or folded_state(text, begun_ms - 1) is not is_on
    if change_ms is None:
        assert {step.is_on for step in cycle.steps} <= {is_on}
    else:
        assert change_ms > elapsed_ms
        assert folded_state(text, change_ms - 1) is is_on
        assert folded_state(text, change_ms) is not is_on


@examples(40)
@given(cycle_texts())
def test_a_cycle_written_reads_back_as_the_same(text: str) -> None:
    """Whatever the spaces, units and zeros of the first text."""
    cycle = parse_cycle(text)
    assert parse_cycle(str(cycle)) == cycle


@examples(40)
@given(st.lists(st.builds(Step, st.booleans(), st.integers(1, 7 * DAY_MS)), min_size=1, max_size=9))
def test_a_cycle_of_steps_is_written_for_reading(steps: list[Step]) -> None:
    """Steps survive the text."""
    assert parse_cycle(str(Cycle(tuple(steps)))).steps == tuple(steps)


@examples(60)
@given(
    st.one_of(
        st.text(),
        st.text(alphabet="15mhs.,; onfON"),
        st.lists(
            st.sampled_from(["15m", "1h", "15", "on", "off", ",", "OFF", "min"]), max_size=9
        ).map(" ".join),
    )
)
@example("15m on 15m off 15m")
def test_any_text_is_a_cycle_or_an_error_with_a_sound_hint(text: str) -> None:
    """Never another exception; and what is offered instead can be read."""
    try:
        cycle = parse_cycle(text)
    except BadCycleError as error:
        _, _, hint = str(error).partition("(did you mean ")
        for likely in hint.removesuffix("?)").split(" or ") if hint else []:
            assert parse_cycle(likely if likely[-1] in "nf" else f"{likely} on")
    else:
        assert parse_cycle(str(cycle)) == cycle
