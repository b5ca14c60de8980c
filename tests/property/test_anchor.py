"""Any text as an anchor, a duration or an instant: read and written, or refused in words."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

from hypothesis import given
from hypothesis import strategies as st

from controller.core.anchor import (
    OFFSET_MS_MAX,
    Anchor,
    ClockTime,
    LoadChange,
    SunEvent,
    parse_anchor,
)
from controller.core.errors import BadAnchorError, BadDurationError, BadInstantError
from controller.core.units import (
    DURATION_MS_MAX,
    duration_text,
    instant_of,
    parse_duration_ms,
    parse_rfc3339,
    rfc3339,
    shown,
    utc_datetime,
)
from tests.oracle import length_ms
from tests.strategies import SECOND_MS, anchor_texts, duration_texts, examples

BASES = st.one_of(
    st.integers(0, 86_399).map(lambda second: ClockTime(second * SECOND_MS)),
    st.sampled_from(SunEvent),
    st.builds(
        LoadChange, st.from_regex(r"[A-Za-z][A-Za-z0-9_-]{0,20}", fullmatch=True), st.booleans()
    ),
)
ANCHORS = st.builds(Anchor, BASES, st.integers(-OFFSET_MS_MAX, OFFSET_MS_MAX))


@examples(50)
@given(ANCHORS)
def test_an_anchor_written_reads_back_as_the_same(anchor: Anchor) -> None:
    """Whatever its base and offset, and whatever its load is called."""
    assert parse_anchor(str(anchor)) == anchor


@examples(40)
@given(anchor_texts(lamps=("lamp", "lamp-2", "on-2h")))
def test_an_anchor_read_is_written_for_reading(text: str) -> None:
    """Whatever the spaces, units and zeros of the first text."""
    assert parse_anchor(str(parse_anchor(text))) == parse_anchor(text)


WORDS = [
    "06:30",
    "6.30",
    "24:00",
    "pm",
    "sunrise",
    "Sun",
    "rise",
    "lamp",
    "on",
    "ON",
    "+",
    "-",
    "−",
]
WORDS += ["30", "30m", "30min", "1h", "13h", "dusk", "noon"]


@examples(70)
@given(st.one_of(st.text(), st.lists(st.sampled_from(WORDS), max_size=6).map(" ".join)))
def test_any_text_is_an_anchor_or_an_error_with_a_sound_hint(text: str) -> None:
    """Never another exception; and what is offered instead can be read."""
    try:
        anchor = parse_anchor(text)
    except BadAnchorError as error:
        _, _, hint = str(error).partition("(did you mean ")
        # An error inside of an anchor is its offset's.
        read = parse_duration_ms if str(error).startswith("in ") else parse_anchor
        for likely in hint.removesuffix("?)").split(" or ") if hint else []:
            read(likely)
    else:
        assert parse_anchor(str(anchor)) == anchor


# Durations and instants


@examples(50)
@given(st.integers(0, DURATION_MS_MAX))
def test_a_length_written_reads_back_as_the_same(length: int) -> None:
    """To the millisecond, from nothing to a week."""
    assert parse_duration_ms(duration_text(length)) == length


@examples(50)
@given(duration_texts())
def test_a_duration_has_the_length_that_its_digits_say(text: str) -> None:
    """Counted with fractions, digit by digit."""
    assert parse_duration_ms(text) == length_ms(text)


@examples(70)
@given(st.one_of(st.text(), st.text(alphabet="0123456789.hms minute,and")))
def test_any_text_is_a_duration_or_an_error_with_a_sound_hint(text: str) -> None:
    """Never another exception; and what is offered instead can be read."""
    try:
        length = parse_duration_ms(text)
    except BadDurationError as error:
        _, _, hint = str(error).partition("(did you mean ")
        for likely in hint.removesuffix("?)").split(" or ") if hint else []:
            assert parse_duration_ms(likely) >= 0
    else:
        assert parse_duration_ms(duration_text(length)) == length


MOMENTS = st.datetimes(
    datetime(1971, 1, 1),  # noqa: DTZ001  hypothesis adds the zone
    datetime(2199, 12, 30),  # noqa: DTZ001
    timezones=st.integers(-1439, 1439).map(lambda n: timezone(timedelta(minutes=n))),
).map(lambda moment: moment.replace(microsecond=moment.microsecond // 1000 * 1000))


@examples(50)
@given(MOMENTS)
def test_an_instant_written_reads_back_as_the_same(moment: datetime) -> None:
    """With any offset, and as the standard library reads it."""
    instant = parse_rfc3339(moment.isoformat())
    assert instant == instant_of(moment)
    assert parse_rfc3339(rfc3339(instant)) == instant
    assert utc_datetime(instant) == moment


@examples(70)
@given(st.one_of(st.text(), st.text(alphabet="0123456789-T:.Z+ ", max_size=30)))
def test_any_text_is_an_instant_or_an_error(text: str) -> None:
    """Never another exception."""
    try:
        instant = parse_rfc3339(text)
    except BadInstantError:
        return
    assert parse_rfc3339(rfc3339(instant)) == instant


@examples(30)
@given(st.one_of(st.text(), st.recursive(st.floats(), st.lists), st.integers(), st.binary()))
def test_any_value_is_shown_in_a_bounded_printable_line(value: object) -> None:
    """Fit for an error message on any terminal."""
    text = shown(value)
    assert len(text) <= 61
    assert text.isprintable()
