"""What is refused of a job that has several parts: told with which part it was."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from controller.core.errors import BadFaultScriptError, PlanRefusedError, RootclockError

if TYPE_CHECKING:
    from collections.abc import Iterator


class PartRefusedError(RootclockError):
    """One part of what was asked for does not fit; `part` is its key in the request."""

    def __init__(self, part: str, error: RootclockError) -> None:
        self.part = part
        self.error = error
        super().__init__(str(error))


@contextmanager
def part(name: str, *, plan_name: str = "") -> Iterator[None]:
    """Whatever is refused within is a fault of that part, or of one named more closely. A fault
    script that does not fit a plan is said to be unfit for `plan_name`, if that is given.

    Raises:
        PartRefusedError: something was refused.
    """
    try:
        yield
    except PartRefusedError:
        raise
    except BadFaultScriptError as error:  # a plan's run finds out whether the script fits it
        complaints = [
            (where, f"{plan_name}: {text}" if plan_name else text)
            for where, text in error.complaints
        ]
        raise PartRefusedError("faults", BadFaultScriptError(complaints)) from error
    except RootclockError as error:
        raise PartRefusedError(name, error) from error


def refusal(error: RootclockError) -> dict[str, Any]:
    """What was refused as the worker tells it: `refused` is a sentence; `findings` are about a
    plan, `complaints` (`where`, `message`) about a fault script, `about` is the part."""
    if isinstance(error, PartRefusedError):
        return {**refusal(error.error), "about": error.part}
    told: dict[str, Any] = {"refused": str(error)}
    if isinstance(error, PlanRefusedError):
        told["findings"] = [finding.as_form_json() for finding in error.findings]
    if isinstance(error, BadFaultScriptError):
        told["complaints"] = complaints_json(error)
    return told


def complaints_json(error: BadFaultScriptError) -> list[dict[str, str]]:
    """What is wrong with a fault script, place by place."""
    return [{"where": where, "message": message} for where, message in error.complaints]
