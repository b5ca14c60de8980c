"""Plans as people may write them: lines of all places, and findings that are fit to be read."""

from __future__ import annotations

import copy
import re
import tomllib
from datetime import date, datetime, time
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from controller.core.errors import PlanRefusedError
from controller.core.plan_edit.write import inline
from controller.core.plan_text.lines import Lines, line_map
from controller.core.plan_text.place import dotted
from controller.core.plan_text.reading import read_plan
from controller.core.plan_text.tokens import tokens_of
from tests.plan_texts import COLUMNS, PLAN, findings_in
from tests.strategies import Document, examples, plans
from tests.toml_writer import TomlWriter, written

_KEYS = st.one_of(
    st.sampled_from(["a", "b", "spans", "x-1", "0", "12", "a.b", "a b", "", "é", "'", '"#"', "="]),
    st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=5),
)
_TEXTS = st.one_of(
    st.sampled_from(["", "on", "# no", '"', "'", "[x]", "a = 1", "\\", "a\nb", "}", "06:30"]),
    st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=8),
)
_SCALARS: st.SearchStrategy[Any] = st.one_of(
    _TEXTS, st.integers(-(2**40), 2**40), st.booleans(), st.floats(-1e6, 1e6)
)
_DOCUMENTS: st.SearchStrategy[Document] = st.dictionaries(
    _KEYS,
    st.recursive(
        _SCALARS,
        lambda inner: st.one_of(
            st.dictionaries(_KEYS, inner, max_size=3),
            st.lists(inner, max_size=3),
            st.lists(st.dictionaries(_KEYS, inner, max_size=3), min_size=1, max_size=3),
        ),
        max_leaves=12,
    ),
    max_size=5,
)


@given(written(_DOCUMENTS))
@examples(200)
def test_every_place_has_the_line_on_which_it_was_written(writer: TomlWriter) -> None:
    """Headers, dotted keys, braces and lists in any mixture: all lines are as written."""
    assert tomllib.loads(writer.text) == writer.document
    assert line_map(writer.text) == writer.lines


_PIECES = st.sampled_from([*"[]{}=,.\"'#\n \t\\\v\0é", '"""', "'''", "\r\n", "a1", "# x", '\\"'])
_BETWEEN = re.compile(r"(?:[ \t\r]|#[^\n]*)*")
_SIGNS = set("[]{}=,.")


@given(st.lists(_PIECES, max_size=40).map("".join), st.integers(0, 40))
@examples(500)
def test_any_text_is_cut_into_tokens(text: str, count: int) -> None:
    """Nothing but blanks and comments stands between them; signs tell their own kind."""
    tokens = tokens_of(text)
    past = 0
    for kind, start, end in zip(*tokens, strict=True):
        assert past <= start < end
        assert _BETWEEN.fullmatch(text[past:start])
        assert (kind == "newline") is (text[start] == "\n")
        assert (kind == "string") is (text[start] in "\"'")
        assert (kind == text[start:end]) is (text[start] in _SIGNS)
        past = end
    assert _BETWEEN.fullmatch(text[past:])
    kinds, starts, ends = tokens
    assert tokens_of(text, count) == (kinds[:count], starts[:count], ends[:count])


@given(written(plans(loads_max=2)))
def test_a_plan_in_any_writing_reads_as_the_same_plan(writer: TomlWriter) -> None:
    """However it is written, a plan has the same findings, each on the line of its place."""
    # Tables that dotted keys imply may stand in another order, in which the first is named.
    plain = findings_in(_on_one_line_each(tomllib.loads(writer.text)))
    expected = sorted((f.level, f.where, f.message) for f in plain)
    findings = findings_in(writer.text)
    assert sorted((f.level, f.where, f.message) for f in findings) == expected
    lines = Lines(writer.text)
    assert [f.line for f in findings] == [lines.of(f.where) for f in findings]
    assert [f.line for f in findings] == sorted(f.line or 0 for f in findings)


def _on_one_line_each(document: Document) -> str:
    return "".join(f"{key} = {_toml(value)}\n" for key, value in document.items())


# Values of every kind, for places where they do not belong.
_MISFITS: list[Any] = [
    *(5, -1, 10**18, 10**30, 1.5, float("nan"), float("inf"), True, False),
    *("", "x", "on", "15", "15m", "lamp on", "pump on", "\x1b[31m", "é" * 50, "x" * 500),
    *([], {}, [1], [{}], {"a": 1}, [[]], [{"from": 3}], {"from": "06:00", "cycle": "on"}),
    *(date(1, 1, 1), time(6, 30), datetime(9999, 12, 31, 23, 59, 59)),  # noqa: DTZ001 - as TOML
]
_FAMILIES = {"loads", "sensors", "stands", "reservoirs"}
_ODD_KEYS = ["lin", "from_", "x y", "", "é", "kind", "from", "a" * 80, "0", "[key]"]
_JARGON = ("pydantic", "Input should", "https", "Value error", "NoneType", "tuple", "instance")


def _spoil(document: Document, data: st.DataObject) -> None:
    """One change by chance: another value, no value, or a value under another key."""
    place = data.draw(st.sampled_from([p for p in _places_of(document) if p]))
    holder: Any = document
    for part in place[:-1]:
        holder = holder[part]
    way = data.draw(st.sampled_from(["replace", "delete", "rename", "add"]))
    if way == "replace":
        holder[place[-1]] = copy.deepcopy(data.draw(st.sampled_from(_MISFITS)))
    elif way == "delete":
        del holder[place[-1]]
    elif isinstance(holder, dict):
        key = data.draw(st.sampled_from(_ODD_KEYS))
        holder[key] = holder.pop(place[-1]) if way == "rename" else 1


def _places_of(value: Any, place: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = [place]
    if isinstance(value, dict):
        for key, one in value.items():
            found += _places_of(one, (*place, key))
    elif isinstance(value, list):
        for number, one in enumerate(value):
            found += _places_of(one, (*place, number))
    return found


def _toml(value: Any) -> str:
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(k)} = {_toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    return inline(value) if not isinstance(value, int) or isinstance(value, bool) else str(value)


def _key(key: str) -> str:
    return inline({key: 1})[2:-6]


@given(st.integers(1, 4), st.data())
@examples(300)
def test_a_spoilt_plan_is_told_in_plain_words(count: int, data: st.DataObject) -> None:
    """One to four values, keys or tables that do not belong: each finding can be read."""
    document = tomllib.loads(data.draw(st.sampled_from([PLAN, COLUMNS])))
    for _ in range(count):
        _spoil(document, data)
    text = "".join(f"{_key(key)} = {_toml(value)}\n" for key, value in document.items())
    if not text:
        return
    for finding in findings_in(text):
        assert finding.message
        assert finding.mend
        for sentence in (finding.where, finding.message, finding.mend):
            assert sentence.isprintable()
            assert not [word for word in _JARGON if word in sentence]


@given(st.data())
def test_one_spoilt_place_is_told_at_that_place(data: st.DataObject) -> None:
    """A value that no key takes is told where it stands, and nothing is told beside it."""
    document = tomllib.loads(data.draw(st.sampled_from([PLAN, COLUMNS])))
    # A curve is one value: what is wrong in it is told of it.
    leaves = [
        p for p in _places_of(document) if p and p[-1] not in _FAMILIES and "curve" not in p[:-1]
    ]
    place = data.draw(st.sampled_from(leaves))
    holder: Any = document
    for part in place[:-1]:
        holder = holder[part]
    holder[place[-1]] = [[]]
    text = "".join(f"{_key(key)} = {_toml(value)}\n" for key, value in document.items())
    try:
        read_plan(text.encode(), "plan.toml")
    except PlanRefusedError as refusal:
        wheres = [finding.where for finding in refusal.findings]
    assert {where[: len(dotted(place))] for where in wheres} == {dotted(place)}
