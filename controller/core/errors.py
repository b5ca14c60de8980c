"""Every error that rootclock raises on purpose, each also a fitting builtin."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from controller.core.findings import Finding


class RootclockError(Exception):
    """The base: its text says where, what was given, what is allowed, what to do."""


class BadDurationError(RootclockError, ValueError):
    """A text that was to be a duration is none."""


class BadInstantError(RootclockError, ValueError):
    """A text that was to be a date or an instant is none, or is out of range."""


class BadCycleError(RootclockError, ValueError):
    """A text that was to be a cycle is none."""


class BadAnchorError(RootclockError, ValueError):
    """A text that was to be an anchor of the day is none."""


class UnknownZoneError(RootclockError, LookupError):
    """No time zone of that name is known to the system or to tzdata."""


class PlanRefusedError(RootclockError, ValueError):
    """A plan has at least one error; `findings` tells them all, in file order."""

    def __init__(self, source: str, findings: Sequence[Finding]) -> None:
        self.source = source
        self.findings = tuple(findings)
        errors = sum(1 for finding in self.findings if finding.level == "error")
        super().__init__(f"{source}: {errors} error{'s' if errors != 1 else ''} in the plan")


class BadWeatherError(RootclockError, ValueError):
    """A weather file cannot be read as any format that rootclock knows."""


class BadFaultScriptError(RootclockError, ValueError):
    """A fault script has a mistake; its text tells all of them, one a line."""


class BadRequestError(RootclockError, ValueError):
    """A person's request names something that the plan does not have."""


class UnusableFileError(RootclockError, OSError):
    """A file cannot be opened, read or written; says which, and why."""
