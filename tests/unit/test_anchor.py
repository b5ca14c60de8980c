"""Anchors: what is read and refused, and that they are written as they were read."""

from __future__ import annotations

import pytest

from controller.core.anchor import (
    OFFSET_MS_MAX,
    Anchor,
    ClockTime,
    LoadChange,
    SunEvent,
    parse_anchor,
)
from controller.core.errors import BadAnchorError
from controller.core.units import HOUR_MS, MINUTE_MS, SECOND_MS
from tests.work import counted_work

FORM = (
    "is not a moment of the day: write a time like 06:30, sunrise, sunset, dawn, dusk, or a "
    "load's change like lamp on, each also with an offset like sunrise - 30m"
)
LENGTH = "is not a duration: write hours, minutes and seconds like 1h30m, 15m or 90s"
HALF_PAST_SIX = ClockTime(6 * HOUR_MS + 30 * MINUTE_MS)


@pytest.mark.parametrize(
    ("text", "anchor"),
    [
        ("06:30", Anchor(HALF_PAST_SIX)),  # contract.md
        ("00:00", Anchor(ClockTime(0))),  # the first of the day
        ("23:59:59", Anchor(ClockTime(24 * HOUR_MS - SECOND_MS))),  # the last
        ("06:30 - 12h", Anchor(HALF_PAST_SIX, -OFFSET_MS_MAX)),  # reaches into yesterday
        ("06:30+0s", Anchor(HALF_PAST_SIX)),  # an offset of nothing
        ("sunrise", Anchor(SunEvent.SUNRISE)),  # contract.md
        ("sunrise - 30m", Anchor(SunEvent.SUNRISE, -30 * MINUTE_MS)),  # contract.md
        ("sunrise-30m", Anchor(SunEvent.SUNRISE, -30 * MINUTE_MS)),  # no spaces
        ("sunset + 1h 30m", Anchor(SunEvent.SUNSET, 90 * MINUTE_MS)),  # a spaced duration
        ("dusk + 0.5s", Anchor(SunEvent.DUSK, 500)),  # a fraction
        ("dawn +12h", Anchor(SunEvent.DAWN, OFFSET_MS_MAX)),  # the farthest
        ("lamp on", Anchor(LoadChange("lamp", True))),  # contract.md
        ("lamp on + 10m", Anchor(LoadChange("lamp", True), 10 * MINUTE_MS)),  # a lamp's change
        ("lamp  off-5m", Anchor(LoadChange("lamp", False), -5 * MINUTE_MS)),  # no spaces
        ("lamp-2 on", Anchor(LoadChange("lamp-2", True))),  # a minus in the name
        ("lamp-2h on - 2h", Anchor(LoadChange("lamp-2h", True), -2 * HOUR_MS)),  # like an offset
        ("on off", Anchor(LoadChange("on", False))),  # a name like a state
        (" \t06:30 \n", Anchor(HALF_PAST_SIX)),  # space around
    ],
)
def test_an_anchor_is_read(text: str, anchor: Anchor) -> None:
    """A base and an offset."""
    assert parse_anchor(text) == anchor


@pytest.mark.parametrize(
    "text",
    ["06:30", "06:30:05 - 1h", "sunrise", "sunrise - 30m", "dusk + 0.5s", "lamp-2 off + 1h30m"],
)
def test_an_anchor_is_written_as_it_was_read(text: str) -> None:
    """The normal form of the text."""
    assert str(parse_anchor(text)) == text


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        ("", ""),  # nothing
        ("24:00", "00:00"),  # the end of the day is the start of the next
        ("24:00:00", "00:00"),  # with seconds
        ("24:01", ""),  # no such time
        ("06:60", ""),  # nor this
        ("6:30", "06:30"),  # one digit
        ("6.30", "06:30"),  # a point
        ("6h30", "06:30"),  # the French way
        ("6:30 pm", "18:30"),  # the American way
        ("12:30am", "00:30"),  # half past midnight
        ("12:30pm", "12:30"),  # half past noon
        ("6:30 - 1h", "06:30 - 1h"),  # the offset is kept
        ("6:30 + 1h 5m", "06:30 + 1h 5m"),  # an offset in order is left alone
        ("6.30pm + 10 min", "18:30 + 10m"),  # two slips at once
        ("06:30 − 30m", "06:30 - 30m"),  # a typographer's minus
        ("sunrise – 30m", "sunrise - 30m"),  # a dash
        ("Sunrise", "sunrise"),  # capitals
        ("sun rise -30m", "sunrise - 30m"),  # two words
        ("sunrize", "sunrise"),  # a slip of the finger
        ("sunsett+1h", "sunset + 1h"),  # and an offset
        ("sunrise + 30 min", "sunrise + 30m"),  # another unit's name
        ("sunrise+", "sunrise"),  # an offset forgotten
        ("sunrise + 1h - 5m", ""),  # two offsets: not for us to add
        ("sunrise + -5m", ""),  # two signs
        ("sunrise 30m", ""),  # before or after?
        ("sunrise - 13 hours", ""),  # would be too far
        ("Lamp ON", "Lamp on"),  # capitals of the state, not of the name
        ("lamp on + 30 min", "lamp on + 30m"),  # another unit's name
        ("lamp on off", ""),  # two states
        ("lamp", ""),  # no state
        ("2lamp on", ""),  # a name begins with a letter
        ("noon", ""),  # not in the list
        ("٠٦:٣٠", ""),  # digits of another script
        ("０６:３０", ""),  # of another width
        ("06:30\0", ""),  # NUL
        ("sunrise + 1h\0", ""),  # NUL at the end of an offset
        ("sun\ud800rise", ""),  # half a character
    ],
)
def test_an_anchor_is_refused(text: str, likely: str) -> None:
    """The error shows the text, the forms, and a likely meaning only if it would be accepted."""
    with pytest.raises(BadAnchorError) as caught:
        parse_anchor(text)
    hint = f" (did you mean {likely}?)" if likely else ""
    shown = ascii(text) if not text.isprintable() else repr(text)
    assert str(caught.value) == f"{shown} {FORM}{hint}"
    assert not likely or str(parse_anchor(likely)).replace(" ", "") == likely.replace(" ", "")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "sunrise - 30",
            f"in 'sunrise - 30': '30' {LENGTH} (did you mean 30m or 30s?)",
        ),  # no unit
        ("lamp on + 1m1h", f"in 'lamp on + 1m1h': '1m1h' {LENGTH}"),  # the wrong way round
        (
            "sunset + 12h0.001s",
            "'sunset + 12h0.001s' is more than 12h from its anchor: choose a nearer anchor",
        ),  # 1 ms too far
        (
            "06:30 - 999h",
            "in '06:30 - 999h': '999h' is longer than a week (168h)",
        ),  # longer than any duration
    ],
)
def test_an_offset_is_refused(text: str, message: str) -> None:
    """The error tells what is wrong with the offset alone."""
    with pytest.raises(BadAnchorError) as caught:
        parse_anchor(text)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    "text",
    ["sunrise" * 1_500_000, "06:30 - " * 1_250_000, " " * 10_000_000, "lamp on + 1h" + " " * 90],
    ids=["word", "offsets", "space", "hundred"],
)
def test_a_huge_text_is_refused_at_once(text: str) -> None:
    """Over a hundred characters nothing is searched."""
    with counted_work() as work, pytest.raises(BadAnchorError) as caught:
        parse_anchor(text)
    assert (work.calls < 50, len(str(caught.value)) < 300) == (True, True)
