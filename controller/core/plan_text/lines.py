"""Which line of the file a place of the plan stands on."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from controller.core.plan_text.place import parse_place
from controller.core.plan_text.scan import Shape, scan

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.plan_text.place import Place
    from controller.core.plan_text.tokens import Tokens


class Lines:
    """The lines of one text of valid TOML, counted from 1; looked for when somebody asks, since
    most plans give no reason to.

    Args:
        text: the text.
        tokens: all of its tokens, where somebody has cut it already.
    """

    def __init__(self, text: str, tokens: Tokens | None = None) -> None:
        self._text = text
        self._tokens = tokens

    @cached_property
    def _lines(self) -> Mapping[Place, int]:
        lines = line_map(self._text, self._tokens)
        self._tokens = None  # nobody needs them any more
        return lines

    def at(self, place: Place) -> int:
        """The line of a place; of something missing, the line of what it is missing from.

        What is missing from the top of the plan is missing from line 1.
        """
        while place:
            line = self._lines.get(place)
            if line is not None:
                return line
            place = place[:-1]
        return 1

    def of(self, where: str) -> int:
        """The line of a dotted place, as `at`.

        Raises:
            BadRequestError: the text is no dotted place.
        """
        return self.at(parse_place(where))


def line_map(text: str, tokens: Tokens | None = None) -> Mapping[Place, int]:
    """The line on which each place of a valid TOML text is written.

    A table has the line of its header, a value that of its key. A table that only the
    names of others imply (`loads` of `[loads.pump]`) has the line that first implies it.
    """
    lines: dict[Place, int] = {}
    for mark in scan(text, tokens):
        place = mark.place
        if mark.shape is Shape.TABLE:
            lines[place] = mark.line  # over an earlier line that only implied it
        else:
            lines.setdefault(place, mark.line)
        parent = place[:-1]
        while parent and parent not in lines:
            lines[parent] = mark.line
            parent = parent[:-1]
    return lines
