"""Weight and colour on a terminal that has them; plain text otherwise."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from controller.core.findings import Level

# Select Graphic Rendition of ECMA-48; from memory. Colours repeat what words say.
_BOLD, _FAINT = "1", "2"
_OF_LEVEL: dict[str, str] = {"error": "1;31", "warning": "33", "note": "36"}


class Ink(NamedTuple):
    """Marks text up, without changing how wide it is."""

    is_colour: bool

    def heading(self, text: str) -> str:
        """The text as a heading."""
        return self._in(_BOLD, text)

    def faint(self, text: str) -> str:
        """The text as something less important."""
        return self._in(_FAINT, text)

    def level(self, level: Level, text: str) -> str:
        """The text in the colour of a finding's level."""
        return self._in(_OF_LEVEL[level], text)

    def _in(self, code: str, text: str) -> str:
        return f"\x1b[{code}m{text}\x1b[0m" if self.is_colour and text else text
