"""What keeps a proposed plan from being taken besides its own errors."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import BadRequestError, LimitBrokenError, PlanConflictError
from controller.core.units import shown
from controller.shell.plan_store.revision import NOTE_LENGTH_MAX

if TYPE_CHECKING:
    from controller.shell.plan_store.examination import Examination
    from controller.shell.plan_store.revision import Revision


def refuse_unfit_note(note: str) -> None:
    """A note stands in lists and in the journal.

    Raises:
        BadRequestError: it is too long, or is more than one line of letters.
    """
    if len(note) > NOTE_LENGTH_MAX or not note.isprintable():
        raise BadRequestError(
            f"a note is one line of at most {NOTE_LENGTH_MAX} characters, and this is {shown(note)}"
        )


def refuse_outdated(based_on: int | None, in_force: Revision) -> None:
    """Of two people who edit at once, the second must see what the first has done.

    Raises:
        PlanConflictError: another revision is in force by now.
    """
    if based_on is not None and based_on != in_force.number:
        raise PlanConflictError(
            f"your plan was made from revision {based_on}, and by now revision {in_force.number} "
            f"is in force, {in_force.how.value}: look at what that changed, then send yours again"
        )


def refuse_broken_limits(examination: Examination) -> None:
    """A limit that the plan states itself is not broken without a word.

    Raises:
        LimitBrokenError: a trial run broke one.
    """
    broken = examination.broken_limits
    if not broken:
        return
    told = "; ".join(f"{finding.where}: {finding.message}" for finding in broken[:3])
    more = f"; and {len(broken) - 3} more" if len(broken) > 3 else ""
    raise LimitBrokenError(
        f"on paper this plan breaks limits that it states itself ({told}{more}): mend it, or say "
        "in a note why it shall run all the same",
        broken,
    )
