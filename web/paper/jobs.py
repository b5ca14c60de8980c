"""What a worker can be asked for; mistakes of the plan are told, and end nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.errors import RootclockError
from controller.core.plan_text.schema import schema
from web.paper.checking import check
from web.paper.editing import edit
from web.paper.fault_check import check_faults
from web.paper.preview import preview
from web.paper.refusals import refusal

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

_JOBS: Mapping[str, Callable[[Mapping[str, Any]], object]] = {
    "check": check,
    "edit": edit,
    "preview": lambda message: preview(message).as_texts(),
    "faults": check_faults,
    "schema": lambda _: schema(),
    "wake": lambda _: None,  # so that a first job finds everything loaded
}


def answer(
    message: Mapping[str, Any], tell: Callable[[dict[str, Any]], None] = lambda _: None
) -> dict[str, Any]:
    """A job's outcome: `result`, or what `web.paper.refusals` says; a dry run tells its
    `progress` meanwhile, from 0 to 1."""
    try:
        if message["job"] == "dry-run":
            # Weather and pictures take a while to load, and who waits for a preview needs neither.
            from web.paper.dry_run import dry_run

            return {"result": dry_run(message, lambda share: tell({"progress": share}))}
        return {"result": _JOBS[message["job"]](message)}
    except RootclockError as error:
        return refusal(error)
    except MemoryError:
        return {"too_much": "it needs more memory than there is for it: ask for less"}
