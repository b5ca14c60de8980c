"""Places in a plan as dotted text, there and back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.core.errors import BadRequestError
from controller.core.plan_text.place import Place, dotted, header_text, parse_place


@pytest.mark.parametrize(
    ("place", "text"),
    [
        pytest.param((), "", id="the whole plan"),
        pytest.param(("loads", "pump", "spans", 0, "from"), "loads.pump.spans.0.from", id="plain"),
        pytest.param(("loads", "my pump"), 'loads."my pump"', id="a blank"),
        pytest.param(("loads", "a.b"), 'loads."a.b"', id="a point within a key"),
        pytest.param(("loads", "0"), 'loads."0"', id="a key of digits is no number"),
        pytest.param(("loads", 'a"b\\'), r'loads."a\"b\\"', id="marks within a key"),
        pytest.param(("", "\x1b[31m"), r'""."\u001b[31m"', id="what a terminal would obey"),
    ],
)
def test_a_place_reads_back_as_itself(place: Place, text: str) -> None:
    """Keys are quoted where a point, a blank or digits would mislead."""
    assert dotted(place) == text
    assert parse_place(text) == place


@given(st.lists(st.one_of(st.integers(0, 999), st.text(max_size=50))).map(tuple))
def test_every_place_reads_back(place: Place) -> None:
    """Whatever the keys are, the dotted text leads to the same place."""
    assert parse_place(dotted(place)) == place


def test_a_very_long_key_is_cut_for_people() -> None:
    """No key makes a message endless."""
    assert dotted(("x" * 100_000,)) == f'"{"x" * 60}…"'


@pytest.mark.parametrize(
    "text", ["a..b", ".a", "a.", "a b", '"a', "a.-.ü", '"\\q"', '"a\nb"', "[loads]"]
)
def test_what_is_no_place_is_refused(text: str) -> None:
    """The message shows how a place is written, or which key is badly quoted."""
    with pytest.raises(BadRequestError, match=r"write it like loads|badly quoted"):
        parse_place(text)


@pytest.mark.parametrize(
    ("place", "text"),
    [
        pytest.param((), "the plan", id="the top"),
        pytest.param(("loads", "pump"), "[loads.pump]", id="a table"),
        pytest.param(
            ("loads", "p", "variants", 1, "spans", 2),
            "[[loads.p.variants.spans]] number 3",
            id="an item, counted as people do",
        ),
    ],
)
def test_a_table_is_named_as_the_file_heads_it(place: Place, text: str) -> None:
    """Messages speak of headers."""
    assert header_text(place) == text
