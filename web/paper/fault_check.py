"""A fault script looked at before anything is run by it."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Any

from controller.core.errors import BadFaultScriptError, PlanRefusedError
from controller.core.findings import Finding
from controller.core.plan_text.bounds import bounded_tokens
from controller.dry_run.fault_clock import FaultClock
from controller.dry_run.fault_script import read_fault_script
from web.paper.checking import in_json, read, schedule_of
from web.paper.refusals import complaints_json

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.dry_run.faults import FaultFile

SOURCE = "the fault script"


def check_faults(message: Mapping[str, Any]) -> dict[str, Any]:
    """What is wrong with a fault script, for a plan too where that can be read.

    Args:
        message: `text`; `plan`, a plan's text, or None.
    """
    text = message["text"]
    try:
        script = script_of(text)
        _fit(script, message["plan"])
    except BadFaultScriptError as error:
        complaints = complaints_json(error)
    else:
        complaints = []
    return {"is_fit": not complaints, "complaints": complaints, "document": _document_of(text)}


def _document_of(text: str) -> Any:
    """A script's text as JSON has it; None where it is no TOML, or beyond what is read."""
    if isinstance(bounded_tokens(text), Finding):
        return None
    try:
        return in_json(tomllib.loads(text))
    except ValueError:
        return None


def script_of(text: str) -> FaultFile:
    """The fault script in a text.

    Raises:
        BadFaultScriptError: it has mistakes.
    """
    return read_fault_script(text.encode("utf-8", "replace"), SOURCE)


def _fit(script: FaultFile, plan: str | None) -> None:
    if plan is None:
        return
    try:
        schedule = schedule_of(read(plan))
    except PlanRefusedError:  # told where the plan is chosen
        return
    FaultClock(schedule, script)
