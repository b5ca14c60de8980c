"""Mistakes of our own that the watering survives: told in full to the system's log, in a line each
to the journal, where a grower looks."""

from __future__ import annotations

import traceback
from typing import TYPE_CHECKING, Any

from controller.core.journal_entry import Deed
from controller.core.units import HOUR_MS

if TYPE_CHECKING:
    import asyncio
    from collections.abc import Callable

    from controller.core.observation import Tick

# A mistake that is made every second would push everything else out of the journal.
_AGAIN_MS = HOUR_MS
# So many are told apart; of more, the ones told first may be told once more within the hour.
_KINDS_MAX = 100
_LINE_CHARACTERS_MAX = 400


class Mistakes:
    """Tells of each mistake. `note` writes to the journal, `tell` to the terminal or the
    system's log, and `tick` is the time since the board's start."""

    def __init__(
        self,
        *,
        note: Callable[[Deed, str], None],
        tell: Callable[[str], None],
        tick: Callable[[], Tick],
    ) -> None:
        self._note = note
        self._tell = tell
        self._tick = tick
        self._noted: dict[str, Tick] = {}

    def on_mistake(self, loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
        """Something raised where nobody catches: the event loop's handler."""
        del loop
        self.happened(str(context.get("message")), context.get("exception"))

    def happened(self, what: str, error: BaseException | None) -> None:
        """Tells of one mistake: the journal hears of the same one once in an hour."""
        trace = "" if error is None else "\n" + "".join(traceback.format_exception(error))
        self._tell(f"a mistake in the controller, which goes on: {what}{trace}".rstrip())
        line = _line_of(what, error)
        tick, noted = self._tick(), self._noted.pop(line, None)
        if noted is not None and tick - noted < _AGAIN_MS:
            self._noted[line] = noted
            return
        if len(self._noted) == _KINDS_MAX:
            del self._noted[next(iter(self._noted))]
        self._noted[line] = tick
        self._note(Deed.MISTAKE, f"{line}; the controller goes on, and the system's log has more")


def _line_of(what: str, error: BaseException | None) -> str:
    """What happened, in one line of bounded length."""
    words = what if error is None else f"{what} ({type(error).__name__}: {error})"
    line = " ".join(words.split())
    if len(line) <= _LINE_CHARACTERS_MAX:
        return line
    return line[: _LINE_CHARACTERS_MAX - 1] + "…"
