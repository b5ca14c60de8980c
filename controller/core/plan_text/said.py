"""The parts of sentences about a plan, by their places: keys, values, lines to write, headers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_text.place import dotted, header_text
from controller.core.sentence import Part

if TYPE_CHECKING:
    from controller.core.plan_text.place import Place


def key(place: Place) -> Part:
    """The name of the key at a place: `longest_on`."""
    return Part("key", _name(place), dotted(place))


def value(place: Place, source: str) -> Part:
    """What the key at a place has or may have, as the file writes it: `"low"`, `17`."""
    return Part("value", source, dotted(place), _typed(source))


def word(place: Place, text: str) -> Part:
    """As `value`, for one of the words that a key takes, told as a word of the sentence."""
    return Part("value", text, dotted(place), text)


def line(place: Place, source: str) -> Part:
    """A key with the value to give it: `longest_on = "45m"`, of `"45m"` with its quotes."""
    return Part("line", f"{_name(place)} = {source}", dotted(place), _typed(source))


def fill_in(place: Place, source: str) -> Part:
    """That a key which is not there is to have a value: `add longest_on = "45m"`."""
    return Part("fill_in", f"add {_name(place)} = {source}", dotted(place), _typed(source))


def fill_in_what(place: Place, *, verb: str = "add ") -> Part:
    """As `fill_in`, where the words that follow tell which value: `add line = and`."""
    return Part("fill_in", f"{verb}{_name(place)} = and", dotted(place))


def leave_out(place: Place) -> Part:
    """That a key is to be left out: `delete longest_on`."""
    return Part("leave_out", f"delete {_name(place)}", dotted(place))


def missing(place: Place, text: str) -> Part:
    """That the key at a place is not there, in the words of the text."""
    return Part("missing", text, dotted(place))


def table(place: Place, text: str = "") -> Part:
    """A table's header: `[loads.pump.lift]`, `[[loads.pump.spans]] number 2`, or as the text has
    it."""
    written = text or header_text(place)
    *outer, last = place or (written,)
    name = f"{outer[-1]} number {last + 1}" if isinstance(last, int) else last
    return Part("table", written, dotted(place), name)


def in_file(text: str) -> Part:
    """What matters only to those who write the file."""
    return Part("in_file", text)


def _name(place: Place) -> str:
    return str(place[-1])


def _typed(source: str) -> str:
    """What stands in a field for what stands in a file."""
    return source[1:-1] if source[:1] == '"' else source
