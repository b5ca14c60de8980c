"""Cycles: what is read and refused, and what they say at the borders of their steps."""

from __future__ import annotations

import pytest

from controller.core.cycle import (
    STEADY_OFF,
    STEADY_ON,
    STEPS_MAX,
    Cycle,
    Step,
    parse_cycle,
    refuse_hasty,
)
from controller.core.errors import BadCycleError
from controller.core.units import HOUR_MS, MINUTE_MS
from tests.work import counted_work

M = MINUTE_MS
FORM = "is not a duration and a state: write steps like 15m on, 15m off, or only on or off"
LENGTH = "is not a duration: write hours, minutes and seconds like 1h30m, 15m or 90s"


@pytest.mark.parametrize(
    ("text", "cycle"),
    [
        ("15m on, 15m off", Cycle((Step(True, 15 * M), Step(False, 15 * M)))),  # the everyday one
        ("15m off, 15m on", Cycle((Step(False, 15 * M), Step(True, 15 * M)))),  # off first
        ("15m on,15m off", Cycle((Step(True, 15 * M), Step(False, 15 * M)))),  # no space
        (" 1h 30m  on ,\n2.5s off ", Cycle((Step(True, 90 * M), Step(False, 2_500)))),  # many
        ("on", STEADY_ON),  # steady
        (" off\n", STEADY_OFF),  # steady, with space around
        ("5m on", Cycle((Step(True, 5 * M),))),  # one step: steady, and says so as written
    ],
)
def test_a_cycle_is_read(text: str, cycle: Cycle) -> None:
    """Steps in their order, or a steady state."""
    assert parse_cycle(text) == cycle


@pytest.mark.parametrize(
    "text", ["15m on, 15m off", "on", "off", "5m on", "1h30m off, 2.5s on, 1s on, 20m off"]
)
def test_a_cycle_is_written_as_it_was_read(text: str) -> None:
    """The normal form of the text, steps not joined."""
    assert str(parse_cycle(text)) == text


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", f"step 1, '', {FORM}"),  # nothing
        ("15m on, 15m off,", f"step 3, '', {FORM}"),  # a comma too many
        ("15m on,, 15m off", f"step 2, '', {FORM}"),  # two commas
        ("15mon, 15m off", f"step 1, '15mon', {FORM} (did you mean 15m on?)"),  # no space
        ("on 15m, off 15m", f"step 1, 'on 15m', {FORM} (did you mean 15m on?)"),  # state first
        ("15m ON", f"step 1, '15m ON', {FORM} (did you mean 15m on?)"),  # capitals
        ("ON", f"step 1, 'ON', {FORM} (did you mean on?)"),  # capitals, steady
        (
            "15m on 30m off",
            f"step 1, '15m on 30m off', {FORM} (did you mean 15m on, 30m off?)",
        ),  # the comma forgotten
        (
            "15m on; 15m off",
            f"step 1, '15m on; 15m off', {FORM} (did you mean 15m on, 15m off?)",
        ),  # another mark for the comma
        (
            "15m on and 15m on",
            f"step 1, '15m on and 15m on', {FORM} (did you mean 15m on, 15m on?)",
        ),  # the same twice is told twice
        (
            "99h99m on 5m off",
            f"step 1, '99h99m on 5m off', {FORM} (did you mean 99h99m on, 5m off?)",
        ),
        ("9999h on 5m off", f"step 1, '9999h on 5m off', {FORM}"),  # longer than a week
        ("15m/15m", f"step 1, '15m/15m', {FORM}"),  # no states
        ("5m on, 15m", f"step 2, '15m', {FORM}"),  # one state missing
        ("15m an, 15m aus", f"step 1, '15m an', {FORM}"),  # another language
        ("\0on", rf"step 1, '\x00on', {FORM}"),  # NUL
        ("15m o\ud800n", rf"step 1, '15m o\ud800n', {FORM}"),  # half a character
        ("15 on, 15 off", f"step 1: '15' {LENGTH} (did you mean 15m or 15s?)"),  # no units
        ("5m on, 15min off", f"step 2: '15min' {LENGTH} (did you mean 15m?)"),  # another unit
        ("１５m on, 5m off", f"step 1: '１５m' {LENGTH}"),  # digits of another width
        ("-5m on, 5m off", f"step 1: '-5m' {LENGTH}"),  # negative
        ("5m on, 169h off", "step 2: '169h' is longer than a week (168h)"),  # too long
        ("5m on, 0s off", "step 2, '0s off', lasts no time: leave it out"),  # no length
    ],
)
def test_a_cycle_is_refused(text: str, message: str) -> None:
    """The error names the step, counted from 1, and offers only what would be accepted."""
    with pytest.raises(BadCycleError) as caught:
        parse_cycle(text)
    assert str(caught.value) == message


def test_no_cycle_is_faster_than_a_relay() -> None:
    """A tenth of a second is followed; what is less is told by its step."""
    for text in ("0.1s on, 0.1s off", "on", "off"):
        assert refuse_hasty(parse_cycle(text)) == parse_cycle(text)
    with pytest.raises(BadCycleError) as caught:
        refuse_hasty(parse_cycle("5m on, 0.099s off"))
    assert str(caught.value) == (
        "step 2, 0.099s off, is shorter than 0.1s: no relay is made to switch as fast as that"
    )


def test_a_cycle_has_at_most_five_hundred_steps() -> None:
    """The last that fits, and one more."""
    assert len(parse_cycle(", ".join(["1s on"] * STEPS_MAX)).steps) == STEPS_MAX
    with pytest.raises(BadCycleError) as caught:
        parse_cycle(", ".join(["1s on"] * (STEPS_MAX + 1)))
    assert str(caught.value) == "a cycle has at most 500 steps; this one has 501"


@pytest.mark.parametrize(
    "text",
    [
        "on off " * 1_500_000,  # words that look like steps
        "15m " * 2_500_000,  # lengths without end
        " " * 5_000_000 + "15m" + " " * 5_000_000,  # space
        "," * 10_000_000,  # steps without content
    ],
    ids=["words", "lengths", "space", "commas"],
)
def test_ten_megabytes_are_refused_at_once(text: str) -> None:
    """An error of a few lines, in far less than a second."""
    with counted_work() as work, pytest.raises(BadCycleError) as caught:
        parse_cycle(text)
    assert (work.calls < 50, len(str(caught.value)) < 300) == (True, True)


# What a cycle says

THREE = parse_cycle("5m on, 10m off, 2m on")  # on across the wrap: 2m + 5m
EVERYDAY = parse_cycle("15m on, 45m off")


@pytest.mark.parametrize(
    ("cycle", "elapsed_ms", "is_on", "change_ms", "began_ms"),
    [
        (EVERYDAY, 0, True, 15 * M, 0),  # a step begins
        (EVERYDAY, 15 * M - 1, True, 15 * M, 0),  # its last millisecond
        (EVERYDAY, 15 * M, False, 60 * M, 15 * M),  # the border belongs to the next
        (EVERYDAY, 60 * M - 1, False, 60 * M, 15 * M),  # the last of the period
        (EVERYDAY, 60 * M, True, 75 * M, 60 * M),  # the first of the next period
        (EVERYDAY, 600 * HOUR_MS, True, 600 * HOUR_MS + 15 * M, 600 * HOUR_MS),  # far on
        (THREE, 0, True, 5 * M, 0),  # at first nothing lies before
        (THREE, 5 * M, False, 15 * M, 5 * M),  # the middle
        (THREE, 15 * M, True, 22 * M, 15 * M),  # the last step runs on into the first
        (THREE, 17 * M, True, 22 * M, 15 * M),  # at the wrap
        (THREE, 22 * M - 1, True, 22 * M, 15 * M),  # and until the first step ends
        (THREE, 22 * M, False, 32 * M, 22 * M),  # the middle again
        (STEADY_ON, 5, True, None, 0),  # steady
        (STEADY_OFF, 5, False, None, 0),  # steady
        (parse_cycle("5m on, 5m on"), 5 * M, True, None, 0),  # steady by its steps
        (parse_cycle("5m on, 5m on, 5m off"), 5 * M, True, 10 * M, 0),  # two steps, one segment
    ],
)
def test_a_cycle_tells_state_change_and_beginning(
    cycle: Cycle, elapsed_ms: int, is_on: bool, change_ms: int | None, began_ms: int
) -> None:
    """At both ends of every half-open step."""
    assert (
        cycle.state_at(elapsed_ms),
        cycle.look_ms(elapsed_ms),
        cycle.segment_start_ms(elapsed_ms),
    ) == (is_on, (is_on, change_ms), began_ms)


@pytest.mark.parametrize(
    ("text", "dry_gap_ms", "watering_ms"),
    [
        ("15m on, 45m off", 45 * M, 15 * M),  # the everyday one
        ("5m on, 10m off, 2m on", 10 * M, 7 * M),  # on across the wrap
        ("5m off, 10m on, 2m off", 7 * M, 10 * M),  # off across the wrap
        ("1m on, 9m off, 3m on, 2m off", 9 * M, 3 * M),  # the longest of several
        ("2m on, 3m on, 4m off, 5m off", 9 * M, 5 * M),  # neighbours joined
        ("on", 0, None),  # never off, on for ever
        ("off", None, 0),  # never on, off for ever
        ("5m off", None, 0),  # steady by its steps
    ],
)
def test_a_cycle_knows_its_longest_stretches(
    text: str, dry_gap_ms: int | None, watering_ms: int | None
) -> None:
    """Joined across neighbours and across the wrap."""
    cycle = parse_cycle(text)
    assert (cycle.dry_gap_ms, cycle.watering_ms) == (dry_gap_ms, watering_ms)
