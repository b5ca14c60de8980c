"""Guesses at what was meant; each that is made is one that the plan takes."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.anchor import parse_anchor
from controller.core.cycle import parse_cycle
from controller.core.plan_text.likely import (
    likely_anchor,
    likely_clock,
    likely_cycle,
    likely_date,
    likely_duration,
    likely_name,
    likely_span_cycle,
    likely_word,
)
from controller.core.units import parse_duration_ms


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        pytest.param("15min on, 15m off", "15m on, 15m off", id="a longer unit"),
        pytest.param("15/15", "15m on, 15m off", id="two numbers"),
        pytest.param("10 on / 20 off", "10m on, 20m off", id="no units"),
        pytest.param("15-45", "15m on, 45m off", id="a dash"),
        pytest.param("on 15m, off 45m", "15m on, 45m off", id="states first"),
        pytest.param("on for 15 minutes then off for 45", "15m on, 45m off", id="a sentence"),
        pytest.param("15m on 15m of", "15m on, 15m off", id="a letter and a comma short"),
        pytest.param("30s on; 5 min off", "30s on, 5m off", id="a semicolon"),
        pytest.param("15on 15off", "15m on, 15m off", id="no blanks"),
        pytest.param("1h30 on, 15 off", "1h30m on, 15m off", id="minutes behind an hour"),
        pytest.param("1 hour 30 minutes on, 15 m off", "1h30m on, 15m off", id="two parts"),
        pytest.param("15m on, 15m off,", "15m on, 15m off", id="a comma at the end"),
        pytest.param("ON", "on", id="a capital"),
        pytest.param("15m on, wibble, 15m off", None, id="a word that would be lost"),
        pytest.param("15 on 15", None, id="half a step"),
        pytest.param("", None, id="nothing"),
        pytest.param("15m on, " * 200, None, id="too long to see the slip"),
    ],
)
def test_a_cycle_is_recognised_in_everyday_spellings(text: str, likely: str | None) -> None:
    """Only spellings whose every word has its part are recognised."""
    assert likely_cycle(text) == likely


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        pytest.param("6:30", "06:30", id="one digit"),
        pytest.param("6.30 am", "06:30", id="a point, and which half of the day"),
        pytest.param("12:15 am", "00:15", id="after midnight"),
        pytest.param("12 pm", "12:00", id="noon in English"),
        pytest.param("06h30", "06:30", id="an h"),
        pytest.param("24:00", "00:00", id="the end of the day"),
        pytest.param("25:00", None, id="no hour"),
        pytest.param("6", None, id="a number is no time"),
        pytest.param("noon", "12:00", id="a word"),
        pytest.param("Sunrise", "sunrise", id="a capital"),
        pytest.param("sunrize - 30m", "sunrise - 30m", id="a slip"),
        pytest.param("sunrise -30", "sunrise - 30m", id="no unit"),
        pytest.param("sunrise – 30m", "sunrise - 30m", id="a dash from a word processor"),
        pytest.param("30 min before sun rise", "sunrise - 30m", id="as one says it"),
        pytest.param("1h after sunset", "sunset + 1h", id="after"),
        pytest.param("at 7:00", "07:00", id="a word too many"),
        pytest.param("Lamp ON", "Lamp on", id="a load keeps its capital"),
        pytest.param("lamp on + 10 min", "lamp on + 10m", id="a load and a unit"),
        pytest.param("teatime", None, id="no moment"),
        pytest.param("x" * 101, None, id="too long"),
    ],
)
def test_a_moment_is_recognised_in_everyday_spellings(text: str, likely: str | None) -> None:
    """Clock times, the sun and loads, each with its offset."""
    assert likely_anchor(text) == likely


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        pytest.param("15", "15m", id="minutes are what growers mean"),
        pytest.param("15 minutes", "15m", id="in full"),
        pytest.param("1:30", "1h30m", id="as a clock"),
        pytest.param("0:15", "15m", id="as a clock, without hours"),
        pytest.param("1 hour and 30 minutes", "1h30m", id="two parts"),
        pytest.param("1h30", "1h30m", id="minutes behind an hour"),
        pytest.param("5 sec", "5s", id="seconds"),
        pytest.param("2 days", None, id="days are not written"),
        pytest.param("200 h", None, id="longer than a week"),
    ],
)
def test_a_duration_is_recognised_in_everyday_spellings(text: str, likely: str | None) -> None:
    """Units in full, left out, or as on a clock."""
    assert likely_duration(text) == likely


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        pytest.param("longest on", "longest_on", id="a blank"),
        pytest.param("Longest-On", "longest_on", id="capitals and a dash"),
        pytest.param("longestonn", "longest_on", id="a letter too many"),
        pytest.param("wibble", None, id="nothing like it"),
        pytest.param("x" * 100_000, None, id="endless"),
    ],
)
def test_a_word_is_recognised(text: str, likely: str | None) -> None:
    """Case, blanks and a slip or two are forgiven in a guess."""
    assert likely_word(text, ["line", "longest_on", "shortest_on"]) == likely


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        ("my pump", "my_pump"),
        ("pump #2", "pump_2"),
        ("2", None),
        ("ä", None),
        ("pump", None),
        ("a" * 41, "a" * 40),
    ],
)
def test_a_name_is_made_of_what_it_may_have(text: str, likely: str | None) -> None:
    """A name that is right already, or that nothing is left of, has no guess."""
    assert likely_name(text) == likely


_WORDS = st.sampled_from(
    [*"0159:.-+/,;'\"", " ", "h", "m", "s", "min", "hour", "on", "off", "of", "before", "sunrise"]
)
_GUESSES: list[tuple[Callable[[str], str | None], Callable[[str], object]]] = [
    (likely_cycle, parse_cycle),
    (likely_anchor, parse_anchor),
    (likely_duration, parse_duration_ms),
]


@given(st.one_of(st.text(max_size=60), st.lists(_WORDS, max_size=30).map("".join)))
def test_what_is_guessed_is_taken(text: str) -> None:
    """Every guess for any text is read by the parser that it is meant for."""
    for guess, parse in _GUESSES:
        likely = guess(text)
        if likely is not None:
            parse(likely)


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        pytest.param("Demand", "demand", id="a capital"),
        pytest.param("on demand", "demand", id="two words"),
        pytest.param("by-demand", "demand", id="another two"),
        pytest.param("demnd", "demand", id="a slip"),
        pytest.param("15/15", "15m on, 15m off", id="a cycle after all"),
        pytest.param("water on high demand", None, id="a sentence"),
        pytest.param("", None, id="nothing"),
    ],
)
def test_a_demand_is_recognised_in_everyday_spellings(text: str, likely: str | None) -> None:
    """Beside whatever a cycle may be."""
    assert likely_span_cycle(text) == likely


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        pytest.param("10 pm", "22:00", id="half of the day"),
        pytest.param("7.30", "07:30", id="a point"),
        pytest.param("midnight", "00:00", id="a word"),
        pytest.param("sunset", None, id="the sun has no time of the clock"),
        pytest.param("22:00 + 1h", None, id="nor has an offset"),
    ],
)
def test_a_time_of_the_clock_is_recognised(text: str, likely: str | None) -> None:
    """As for moments, where they are times."""
    assert likely_clock(text) == likely


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        pytest.param("2026/6/1", "2026-06-01", id="strokes"),
        pytest.param("2026.06.01.", "2026-06-01", id="points"),
        pytest.param("1.6.2026", None, id="day or month first, nobody knows"),
        pytest.param("2026-13-01", None, id="no month"),
        pytest.param("June", None, id="a word"),
    ],
)
def test_a_date_is_recognised_where_the_year_comes_first(text: str, likely: str | None) -> None:
    """Else a guess could be a month wrong."""
    assert likely_date(text) == likely
