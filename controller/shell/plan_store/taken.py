"""What became of a plan that came: which one is in force now, and what to tell of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import PlanRefusedError

if TYPE_CHECKING:
    from controller.core.errors import RootclockError
    from controller.shell.plan_store.examination import Examination
    from controller.shell.plan_store.prepared import Prepared
    from controller.shell.plan_store.revision import Revision


class Taken(NamedTuple):
    """The plan in force after something came.

    `is_new` tells that it is another revision than was told before; `is_news` that this, or
    what is wrong with the plan file, is another than before. `refused` is what is wrong with
    the plan file, `remarks` what else a grower should know, in sentences without a full stop.
    `examination` is there where one was made: not at the start, which must be quick.
    """

    revision: Revision
    prepared: Prepared
    is_new: bool
    is_news: bool
    refused: RootclockError | None = None
    remarks: tuple[str, ...] = ()
    examination: Examination | None = None

    @property
    def sentence(self) -> str:
        """What runs now, and why not something else, for journal and people."""
        number = self.revision.number
        if self.refused is not None:
            return f"{refusal_words(self.refused)}; plan revision {number} runs on"
        note = f" ({self.revision.note})" if self.revision.note else ""
        return f"plan revision {number} is in force, {self.revision.how.value}{note}"


def refusal_words(error: RootclockError) -> str:
    """An error about a plan in one line, with the first thing to mend."""
    if not isinstance(error, PlanRefusedError):
        return str(error)
    first = next((one for one in error.findings if one.level == "error"), None)
    if first is None:
        return str(error)
    place = ", ".join(
        part for part in (f"line {first.line}" if first.line else "", first.where) if part
    )
    return f"{error}; first {place + ': ' if place else ''}{first.message}"
