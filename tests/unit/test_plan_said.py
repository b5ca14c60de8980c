"""What the plan's reader says, by its parts: no form has to look for keys in the words."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import controller.core
from controller.core.plan_text import said
from controller.core.plan_text.keys import keys
from controller.core.plan_text.tell import tell
from controller.core.sentence import Part, Sentence, for_form, parts_of
from tests.plan_texts import COLUMNS, PLAN, changed, findings_in
from tests.unit.test_plan_demand import SLIPS as DEMAND_SLIPS
from tests.unit.test_plan_errors import BROKEN
from tests.unit.test_plan_rules import ADVICE
from tests.unit.test_plan_water import SLIPS as WATER_SLIPS

if TYPE_CHECKING:
    from collections.abc import Iterator

CORE = Path(controller.core.__file__).parent
# Where sentences are made that a form may show.
MAKERS = [
    *sorted((CORE / "plan_rules").glob("*.py")),
    *sorted((CORE / "year").glob("*.py")),
    *(CORE / "plan_text" / f"{name}.py" for name in ("keys", "misfits", "tell")),
]
_SNAKE = sorted({key for table in keys().values() for key in table if "_" in key})
_KEY = re.compile(rf"\b(?:{'|'.join(_SNAKE)})\b")
_OF_A_FILE = re.compile(rf"{_KEY.pattern}|\w = |\[[a-z]|in quotes|, a (?:text|number)")
# Texts with one mistake: what is replaced by what, in which plan.
MISTAKES = [
    *((*one.values[:2], PLAN) for one in (*BROKEN, *ADVICE)),
    *((*one.values[:2], COLUMNS) for one in (*DEMAND_SLIPS, *WATER_SLIPS)),
]
# What is built otherwise than a plan can only be mended in its text, and is told as there.
_OF_THE_TEXT = {
    "elevation", "latitude = 22", 'spans = { from = "00:00", cycle = "on" }', '"04:00"',
    "[[loads.lamp]]", "[heads]", "[tank]", "[lamp]",
}  # fmt: skip
PLACE = ("loads", "pump", "spans", 1, "longest_rest")


@pytest.mark.parametrize(
    ("part", "text", "value"),
    [
        pytest.param(said.key(PLACE), "longest_rest", "", id="key"),
        pytest.param(said.value(PLACE, '"45m"'), '"45m"', "45m", id="value in quotes"),
        pytest.param(said.value(PLACE, "45"), "45", "45", id="value without quotes"),
        pytest.param(said.word(PLACE, "flow"), "flow", "flow", id="word"),
        pytest.param(said.line(PLACE, '"45m"'), 'longest_rest = "45m"', "45m", id="line"),
        pytest.param(said.fill_in(PLACE, '"45m"'), 'add longest_rest = "45m"', "45m", id="fill in"),
        pytest.param(said.fill_in_what(PLACE), "add longest_rest = and", "", id="fill in what"),
        pytest.param(said.leave_out(PLACE), "delete longest_rest", "", id="leave out"),
        pytest.param(said.missing(PLACE, "it has no rest"), "it has no rest", "", id="missing"),
        pytest.param(
            said.table(PLACE[:-1]), "[[loads.pump.spans]] number 2", "spans number 2", id="item"
        ),
        pytest.param(said.table(("loads", "pump")), "[loads.pump]", "pump", id="table"),
        pytest.param(said.table(()), "the plan", "the plan", id="the whole plan"),
        pytest.param(said.table(("a",), "[[a]]"), "[[a]]", "a", id="header as told"),
        pytest.param(said.in_file(" in quotes"), " in quotes", "", id="of a file"),
    ],
)
def test_a_part_reads_as_the_file_has_it(part: Part, text: str, value: str) -> None:
    """And knows what one would type instead."""
    assert (part.text, part.value) == (text, value)


def test_a_part_knows_its_place() -> None:
    """As findings tell theirs, so that a form can compare them."""
    assert said.key(PLACE).at == "loads.pump.spans.1.longest_rest"
    assert said.table(()).at == ""


_HEADS = {"at": "stands.heads.medium_ml"}


@pytest.mark.parametrize(
    ("old", "new", "message", "mend"),
    [
        pytest.param(
            "medium_ml = 90",
            'medium_ml = "90ml"',
            [
                {"kind": "key", **_HEADS, "value": ""},
                *(" is ", '"90ml"', "; allowed is ", "a number from 1 to 5,000"),
            ],
            ["write ", {"kind": "line", **_HEADS, "value": "90"}],
            id="a value that does not fit",
        ),
        pytest.param(
            "plants_per_m2 = 25\n",
            "",
            [
                {"kind": "missing", "at": "stands.heads.plants_per_m2", "value": ""},
                *("; it needs ", "a number from 1 to 400"),
            ],
            [{"kind": "fill_in", "at": "stands.heads.plants_per_m2", "value": "25"}],
            id="a key that must be there",
        ),
        pytest.param(
            'place = "outdoors"',
            'place = "outside"',
            [
                {"kind": "key", "at": "stands.heads.place", "value": ""},
                *(" is ", '"outside"', "; allowed is ", "one of "),
                {"kind": "value", "at": "place", "value": "outdoors"},
                ", ",
                {"kind": "value", "at": "place", "value": "under-glass"},
                ", ",
                {"kind": "value", "at": "place", "value": "under-lamps"},
            ],
            ["write it like ", {"kind": "line", "at": "stands.heads.place", "value": "outdoors"}],
            id="one of some words",
        ),
        pytest.param(
            "medium_ml = 90\n",
            "",
            [
                "heads",
                " has ",
                {"kind": "line", "at": "stands.heads.medium", "value": "expanded-clay"},
                " and no ",
                {"kind": "key", **_HEADS, "value": ""},
                ": what a plant holds could not be told",
            ],
            [
                {"kind": "fill_in", **_HEADS, "value": "90"},
                " for a net pot of 5 cm, or 25 for a plug",
            ],
            id="a rule over two keys",
        ),
    ],
)
def test_a_form_is_told_what_is_meant(
    old: str, new: str, message: list[object], mend: list[object]
) -> None:
    """Which key, which value, and which words are its own to choose."""
    [finding] = findings_in(changed(old, new, text=COLUMNS))
    assert (for_form(finding.message), for_form(finding.mend)) == (message, mend)


def test_no_sentence_is_written_with_a_key_among_its_words() -> None:
    """Nor with a line to write or a header; a name in braces stands for a part."""
    words = [
        (f"{path.name}:{line}", re.sub(r"\{\w+\}", "", text))
        for path in MAKERS
        for line, text in _words_in(ast.parse(path.read_text(encoding="utf-8")))
    ]
    assert len(words) > 300
    assert [(where, text) for where, text in words if _OF_A_FILE.search(text)] == []


def _words_in(node: ast.AST, *, is_told: bool = False) -> Iterator[tuple[int, str]]:
    """The plain words of whatever is told below a node, without those of marked parts."""
    if isinstance(node, ast.Call):
        called = ast.unparse(node.func)
        is_told |= called in ("Found", "Sentence", "Sentence.of")
        is_told &= not called.startswith(("said.", "in_file", "value"))
    match node:
        case ast.Constant(value=str(text), lineno=line) if is_told and not text.isidentifier():
            yield line, text
    for child in ast.iter_child_nodes(node):
        yield from _words_in(child, is_told=is_told)


@pytest.mark.parametrize(
    ("old", "new", "text"), [one for one in MISTAKES if one[1] not in _OF_THE_TEXT]
)
def test_no_plain_words_that_are_told_have_a_key_among_them(old: str, new: str, text: str) -> None:
    """Whatever a sentence was made of."""
    found = findings_in(changed(old, new, text=text))
    told = [for_form(sentence) for one in found for sentence in (one.message, one.mend)]
    plain = ["".join(part if isinstance(part, str) else "…" for part in parts) for parts in told]
    assert [words for words in plain if _OF_A_FILE.search(words)] == []


def test_parts_are_bounded_as_the_text_is() -> None:
    """One line of what can be shown, and no more than a person reads."""
    foreign = Part("value", "\x1b[31m", "loads.pump.line", "\x1b[31m")
    [told, key, rest] = parts_of(
        tell("error", (), Sentence(foreign, said.key(PLACE), "\n"), "").message
    )
    assert told == Part("value", r"\x1b[31m", "loads.pump.line", r"\x1b[31m")
    assert (key, rest) == (said.key(PLACE), r"\n")
    long = tell("error", (), Sentence("x" * 395, said.key(PLACE), "more"), "").message
    assert long == "x" * 395 + "longe…"
    assert parts_of(long) == ("x" * 395, "longe…")
