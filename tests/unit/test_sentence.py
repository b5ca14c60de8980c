"""Sentences: a text, and the parts that a form words in its own way."""

from __future__ import annotations

import ast
import copy
import json
from pathlib import Path
from string import Formatter
from typing import get_args

import pytest

from controller.core.findings import Finding
from controller.core.sentence import Part, PartKind, Sentence, for_form, joined, parts_of
from web.shapes.finding import Finding as FindingShape
from web.shapes.finding import FindingPart

ROOT = Path(__file__).resolve().parents[2]
KEY = Part("key", "longest_on", "loads.pump.longest_on")
LINE = Part("line", 'longest_on = "45m"', "loads.pump.longest_on", "45m")
ASIDE = Part("in_file", " in quotes")


def test_a_sentence_is_its_text() -> None:
    """It compares, prints and goes into JSON as the text that it stands for."""
    sentence = Sentence("write ", LINE, ASIDE, ", or less")
    assert sentence == 'write longest_on = "45m" in quotes, or less'
    assert f"{sentence}." == 'write longest_on = "45m" in quotes, or less.'
    assert json.loads(json.dumps({"mend": sentence})) == {"mend": str(sentence)}
    assert sentence.parts == ("write ", LINE, ASIDE, ", or less")


def test_sentences_within_one_are_its_parts() -> None:
    """Nothing that a part of a sentence knows is lost in the whole; what is empty is no part."""
    inner = Sentence(KEY, "", " is 5s")
    assert Sentence(inner, "", " here").parts == (KEY, " is 5s", " here")
    assert joined(" and ", [KEY, inner]).parts == (KEY, " and ", KEY, " is 5s")
    assert joined(", ", []) == ""


def test_a_template_has_its_parts_by_their_names() -> None:
    """What is foreign is put in as it is, be there braces in it."""
    sentence = Sentence.of("{name} has no {key}: {{so}}", name="{key} {", key=KEY)
    assert sentence == "{key} { has no longest_on: {so}"
    assert KEY in sentence.parts


def test_a_copy_has_its_parts_too() -> None:
    """Findings are copied with another line in place of theirs, and within what holds them."""
    sentence = Sentence("write ", LINE)
    for other in (copy.copy(sentence), copy.deepcopy(sentence)):
        assert other == sentence
        assert parts_of(other) == ("write ", LINE)


def test_a_plain_text_is_its_only_part() -> None:
    """Most sentences have nothing that a form would word otherwise."""
    assert parts_of("nothing more") == ("nothing more",)
    assert for_form("nothing more") == ["nothing more"]


def test_a_form_is_not_told_what_only_a_file_has() -> None:
    """It gets the rest in order: texts, and what it words by itself."""
    line = {"kind": "line", "at": "loads.pump.longest_on", "value": "45m"}
    assert for_form(Sentence("write ", LINE, ASIDE, " or less")) == ["write ", line, " or less"]
    assert for_form(Sentence(ASIDE)) == []


def test_a_finding_s_json_is_texts_alone_but_for_a_form() -> None:
    """The parts come beside the texts, and in the shape that the API describes."""
    finding = Finding("error", "loads.pump", Sentence(KEY, " is 5s"), "write it", 3)
    plain = {
        "level": "error",
        "where": "loads.pump",
        "line": 3,
        "message": "longest_on is 5s",
        "mend": "write it",
    }
    assert finding.as_json() == plain
    key = {"kind": "key", "at": "loads.pump.longest_on", "value": ""}
    told = finding.as_form_json()
    assert told == {**plain, "message_parts": [key, " is 5s"], "mend_parts": ["write it"]}
    shape = FindingShape.model_validate(told)
    assert shape.message_parts == [FindingPart.model_validate(key), " is 5s"]


def test_the_api_describes_every_kind_of_part() -> None:
    """All but the one of which no form is told."""
    described = set(get_args(FindingPart.model_fields["kind"].annotation))
    assert described == set(get_args(PartKind)) - {"in_file"}


def _templates() -> list[tuple[str, ast.Call]]:
    """Each call of `Sentence.of`, with where it stands."""
    return [
        (f"{path.relative_to(ROOT)}:{node.lineno}", node)
        for path in sorted((ROOT / "controller").rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "Sentence.of"
    ]


def test_there_are_templates_to_read() -> None:
    """The next test holds over all of them, so there must be some."""
    assert len(_templates()) > 20


@pytest.mark.parametrize(("where", "call"), _templates())
def test_a_template_names_the_parts_that_it_is_given(where: str, call: ast.Call) -> None:
    """It is a literal, and lacks none of its parts wherever somebody may come to read it."""
    [template] = call.args
    text = ast.literal_eval(template)
    named = {name for _, name, _, _ in Formatter().parse(text) if name is not None}
    assert named == {keyword.arg for keyword in call.keywords}, where
