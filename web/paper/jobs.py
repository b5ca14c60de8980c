"""What a worker can be asked for; mistakes of the plan are told, and end nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.errors import PlanRefusedError, RootclockError
from controller.core.plan_text.schema import schema
from web.paper.checking import check
from web.paper.dry_run import dry_run
from web.paper.editing import edit
from web.paper.preview import preview

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

_JOBS: Mapping[str, Callable[[Mapping[str, Any]], object]] = {
    "check": check,
    "edit": edit,
    "preview": preview,
    "dry-run": dry_run,
    "schema": lambda _: schema(),
    "wake": lambda _: None,  # so that a first job finds everything loaded
}


def answer(message: Mapping[str, Any]) -> dict[str, Any]:
    """A job's outcome: `result`, or `refused` with a sentence, and findings about a plan."""
    try:
        return {"result": _JOBS[message["job"]](message)}
    except PlanRefusedError as error:
        findings = [finding.as_json() for finding in error.findings]
        return {"refused": str(error), "findings": findings}
    except RootclockError as error:
        return {"refused": str(error)}
    except MemoryError:
        return {"too_much": "it needs more memory than there is for it: ask for less"}
