"""A sentence about a plan: its text, and the parts that a form words in its own way.

Who reads a file reads the text, with keys and lines as the file has them. A form has fields of
other names, so it is told which words are a key, a value or a line to write, and puts these in
the words of its fields. It never has to look for them in the text.
"""

from __future__ import annotations

from string import Formatter
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Iterable

PartKind: TypeAlias = Literal[
    "key",  # the name of a key
    "value",  # what a key may have or has
    "line",  # a key with the value to give it
    "fill_in",  # that a key is to be given a value; an empty one: words follow that tell which
    "leave_out",  # that a key is to be left out
    "missing",  # that a key which must be there is not
    "table",  # a table's header; the value is its name alone
    "in_file",  # what matters only to those who write the file
]


class Part(NamedTuple):
    """Some words of a sentence that a form puts otherwise.

    `text` is how they read in the file's words. `at` is the dotted place of the key or table that
    they are about, `value` what somebody would type into a field: without the quotation marks of
    a file.
    """

    kind: PartKind
    text: str
    at: str = ""
    value: str = ""

    def as_json(self) -> dict[str, str]:
        """The part as a form needs it."""
        return {"kind": self.kind, "at": self.at, "value": self.value}


class Sentence(str):
    """A text that knows its parts; plain words among them are plain texts.

    It is equal to its text, and whoever adds to it has a plain text.
    """

    __slots__ = ("parts",)
    parts: tuple[str | Part, ...]

    def __new__(cls, *parts: str | Part) -> Sentence:
        """The sentence of these parts, which may be sentences themselves."""
        told = tuple(inner for part in parts for inner in parts_of(part) if inner)
        sentence = super().__new__(cls, "".join(map(_text_of, told)))
        sentence.parts = told
        return sentence

    @classmethod
    def of(cls, template: str, /, **parts: str | Part) -> Sentence:
        """The sentence of a template, with a part where it has the part's name in braces.

        The template is a literal: what is foreign comes as a part, whatever it has in it.
        """
        told: list[str | Part] = []
        for words, name, _, _ in Formatter().parse(template):
            told += [words] if name is None else [words, parts[name]]
        return cls(*told)


def parts_of(text: str | Part) -> tuple[str | Part, ...]:
    """The parts of a sentence; of anything else, itself alone."""
    return text.parts if isinstance(text, Sentence) else (text,)


def for_form(text: str) -> list[str | dict[str, str]]:
    """The parts of a text as JSON, without those that matter only in a file."""
    return [
        part if isinstance(part, str) else part.as_json()
        for part in parts_of(text)
        if isinstance(part, str) or part.kind != "in_file"
    ]


def joined(glue: str, parts: Iterable[str | Part]) -> Sentence:
    """The parts with a text between each two of them, as `str.join` has it."""
    return Sentence(*[one for part in parts for one in (glue, part)][1:])


def _text_of(part: str | Part) -> str:
    return part if isinstance(part, str) else part.text
