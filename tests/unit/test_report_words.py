"""Moments, lengths, amounts and lines of text as a report prints them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core import phrases
from controller.core.calendar import Calendar
from controller.core.plan import Site
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, parse_rfc3339
from controller.report.text_cells import printable, shortened, width_of, wrapped

ZURICH = Calendar(Site(latitude=47.1, longitude=8.3, timezone="Europe/Zurich"))
S, M, H = 1_000, MINUTE_MS, HOUR_MS


@pytest.mark.parametrize(
    ("length_ms", "words"),
    [
        (0, "0 s"),  # nothing
        (80, "0.1 s"),  # tenths below a minute
        (5_000, "5 s"),  # whole seconds without them
        (59_949, "59.9 s"),  # just not a minute
        (59_950, "1 min"),  # rounds up to the next unit
        (90 * S, "1 min 30 s"),  # two units
        (15 * M, "15 min"),  # the second is left out where it is nothing
        (H - 400, "1 h"),  # rounds up to an hour, not to 60 min
        (H + 29 * S, "1 h"),  # seconds do not count any more
        (25 * H + 30 * S, "25 h 1 min"),  # hours up to two days, halves rounded up
        (2 * DAY_MS - 1, "2 days"),  # rounds up to two days
        (3 * DAY_MS + 4 * H, "3 days 4 h"),  # days and hours
        (365 * DAY_MS, "365 days"),  # long ones
    ],
)
def test_a_length_is_told_in_two_units(length_ms: int, words: str) -> None:
    """Rounded to the smaller one."""
    assert phrases.length_words(length_ms) == words


@pytest.mark.parametrize(
    ("length_ms", "words"),
    [
        (0, "0 s"),  # nothing
        (500, "0.5 s"),  # a fraction
        (50 * M, "50 min"),  # no seconds
        (H + 500, "1 h 0.5 s"),  # what rounding would hide
        (26 * H + 3 * M + 7 * S, "26 h 3 min 7 s"),  # all units
    ],
)
def test_an_exact_length_hides_nothing(length_ms: int, words: str) -> None:
    """So that a limit missed by half a second does not look kept."""
    assert phrases.exact_length_words(length_ms) == words


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        (0.0, "0"),  # nothing
        (0.01234, "0.0123"),  # three figures of small ones
        (8.08, "8.08"),  # as written
        (5.900, "5.9"),  # no zeros at the end
        (123.4, "123"),  # no fraction of large ones
        (17_520.4, "17,520"),  # thousands apart
        (1e-9, "0"),  # too small to tell
    ],
)
def test_an_amount_has_three_figures(amount: float, words: str) -> None:
    """And no exponent."""
    assert phrases.amount_words(amount) == words


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "0 %"),  # exactly nothing
        (0.0004, "< 0.1 %"),  # not nothing
        (0.5, "50 %"),  # whole
        (0.4463, "44.6 %"),  # a tenth
        (0.9996, "> 99.9 %"),  # not all
        (1.0, "100 %"),  # exactly all
        (4.2, "420 %"),  # more than all: a contact used up four times a year
    ],
)
def test_a_share_is_never_rounded_to_nothing_or_all(share: float, words: str) -> None:
    """A grower must see that something is left."""
    assert phrases.percent_words(share) == words


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "> 100 years"),  # never switched
        (0.01, "> 100 years"),  # a hundred years
        (0.1752, "5.7 years"),  # quarters all day
        (0.5, "2.0 years"),  # the border between years and days
        (1.051896, "347 days"),  # less than two years in days
    ],
)
def test_a_contact_lasts_years_or_days(share: float, words: str) -> None:
    """By the share of its life that a year takes."""
    assert phrases.years_words(share) == words


def test_a_stretch_within_a_date_tells_the_date_once() -> None:
    """The end is a time of day only; seconds where there are some."""
    start, end = parse_rfc3339("2025-06-30T12:15:00Z"), parse_rfc3339("2025-06-30T13:00:07Z")
    assert phrases.between_words(start, end, ZURICH) == "Mon 30 Jun 14:15 to 15:00:07"


def test_a_stretch_over_midnight_tells_both_dates() -> None:
    """Local midnight, not that of UTC."""
    start, end = parse_rfc3339("2025-06-30T21:45:00Z"), parse_rfc3339("2025-06-30T22:30:00Z")
    assert phrases.between_words(start, end, ZURICH) == "Mon 30 Jun 23:45 to Tue 1 Jul 00:30"


def test_a_time_that_comes_twice_is_told_apart() -> None:
    """02:30 on the night on which the clocks go back."""
    first, second = parse_rfc3339("2025-10-26T00:30:00Z"), parse_rfc3339("2025-10-26T01:30:00Z")
    assert [phrases.clock_words(at, ZURICH) for at in (first, second)] == [
        "02:30",
        "02:30 (the second time)",
    ]


@pytest.mark.parametrize(
    ("a_day", "words"),
    [
        (48.0, "48"),  # whole
        (0.986, "1"),  # once a day in a run of 73 h
        (41.43, "41.4"),  # a tenth
        (1_440.0, "1,440"),  # thousands apart
        (1 / 365, "0.00274"),  # once a year is not never
    ],
)
def test_a_rate_is_told_to_a_tenth(a_day: float, words: str) -> None:
    """Finer only where that would be nothing."""
    assert phrases.rate_words(a_day) == words


@pytest.mark.parametrize(("count", "words"), [(1, "once"), (2, "twice"), (1_200, "1,200 times")])
def test_how_often_is_told_as_people_say_it(count: int, words: str) -> None:
    """Once, twice, three times."""
    assert phrases.times_words(count) == words


@pytest.mark.parametrize("kind", ["pump", "valve", "lamp", "fan", "heater"])
def test_every_kind_of_load_has_its_words(kind: str) -> None:
    """One and many turns, and the gap between them."""
    words = {phrases.turn_words(kind, 1), phrases.turn_words(kind, 2), phrases.gap_words(kind)}
    assert len(words) == 3


@given(text=st.text(max_size=80), width=st.integers(1, 60), first=st.sampled_from(("", "  ", "- ")))
def test_wrapped_text_is_never_wider_than_told(text: str, width: int, first: str) -> None:
    """Whatever the words: combining, wide or without a space. One wide character alone may
    be wider than a line of one cell."""
    lines = wrapped(printable(text), width, first=first, rest="    ")
    assert all(width_of(line) <= max(width, 2) for line in lines)


@given(text=st.text(st.characters(codec="utf-8"), max_size=120), width=st.integers(1, 40))
def test_wrapped_text_loses_no_letter(text: str, width: int) -> None:
    """Only spaces may go."""
    plain = printable(text)
    assert "".join("".join(wrapped(plain, width)).split()) == "".join(plain.split())


def test_wrapped_text_hangs_behind_its_first_line() -> None:
    """The first line and the others each begin with what is told."""
    assert wrapped("water more often by day", 14, first="- ", rest="  ") == [
        "- water more",
        "  often by day",
    ]


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [
        ("漢字", 2, ["漢", "字"]),  # wide characters take two cells
        ("漢", 1, ["漢", ""]),  # one that fits nowhere is shown all the same
        ("e\u0301e\u0301e\u0301", 2, ["e\u0301e\u0301", "e\u0301"]),  # combining ones take none
    ],
)
def test_cells_are_counted_not_characters(text: str, width: int, lines: list[str]) -> None:
    """As a terminal shows them."""
    assert wrapped(text, width) == lines


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a\nb\tc", "a b c"),  # one line
        ("red \x1b[31m", "red �[31m"),  # nothing that a terminal obeys
        ("a\u202eb", "a�b"),  # nothing that turns the direction of writing
        ("25 °C × 2", "25 °C × 2"),  # what people write stays
    ],
)
def test_foreign_text_is_made_printable(text: str, shown: str) -> None:
    """Names and notes come from files that anybody may have written."""
    assert printable(text) == shown


@pytest.mark.parametrize(
    ("name", "width", "short"),
    [
        ("pump", 4, "pump"),  # fits
        ("row_east_01", 7, "row…_01"),  # the ends tell names apart
        ("pump", 1, "…"),  # hardly any room
    ],
)
def test_a_name_is_cut_in_its_middle(name: str, width: int, short: str) -> None:
    """Names that differ differ at their ends as a rule."""
    assert shortened(name, width) == short
