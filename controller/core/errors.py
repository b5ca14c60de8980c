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


class BadPumpCurveError(RootclockError, ValueError):
    """What was given as a pump's curve is none; the text says where, and how to mend it."""


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


class NoAdviceError(RootclockError, ValueError):
    """Plan, weather or options leave nothing to advise on; says what is missing."""


class BadFaultScriptError(RootclockError, ValueError):
    """A fault script has mistakes; its text tells all of them, one a line.

    `complaints` are the same as (place in the script, what is wrong there); the place is empty
    where it is the whole script.
    """

    def __init__(self, complaints: Sequence[tuple[str, str]], source: str = "") -> None:
        self.complaints = tuple(complaints)
        super().__init__(
            "\n".join(": ".join(filter(None, (source, *one))) for one in self.complaints)
        )


class BadRequestError(RootclockError, ValueError):
    """A person's request names something that the plan does not have."""


class UnusableFileError(RootclockError, OSError):
    """A file cannot be opened, read or written; says which, and why."""


class BusyError(RootclockError):
    """More is asked at once than is taken; the same may be asked again in a moment."""


class RequestRefusedError(RootclockError, ValueError):
    """A request over the control socket has an error for an answer.

    `code` is the error's number (`messages.codes.ErrorCode`), `data` what is told besides the
    text: any JSON value.
    """

    def __init__(self, code: int, message: str, data: object = None) -> None:
        self.code = int(code)
        self.data = data
        super().__init__(message)


class NoDaemonError(RootclockError, ConnectionError):
    """No daemon answers at the control socket; says why, and what to do."""


class UnusableSocketError(RootclockError, OSError):
    """The control socket cannot be opened where it was to be; says why, and what to do."""


class PlanConflictError(RootclockError, RuntimeError):
    """Another plan came into force, or onto the disk, since the editor of this one looked."""


class LimitBrokenError(RootclockError, ValueError):
    """A plan breaks a limit that it states itself, and nobody has said why it should run;
    `findings` tells which."""

    def __init__(self, message: str, findings: Sequence[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__(message)


class UnwatchedError(RootclockError, OSError):
    """The system does not tell of changes to a file; its text says what to do instead."""


class UnusableBoardError(RootclockError, OSError):
    """The board's GPIO lines cannot be used at all; says why, and what to do."""


class UnusableLineError(RootclockError, OSError):
    """One GPIO line cannot be used as asked; says which, and why."""


class BadStatusError(RootclockError, ValueError):
    """What a daemon tells is no status that this version can read."""


class BadSnapshotError(RootclockError, ValueError):
    """The controller's state, as it was written down, cannot be read back; says why."""


class NoReadingError(RootclockError, ValueError):
    """A sensor gives no reading that can be believed; says why, without the sensor's name."""


class DamagedJournalError(RootclockError, ValueError):
    """What a journal's file holds cannot be what was written to it."""


class AnotherControllerError(RootclockError, RuntimeError):
    """Another controller is at work with the same state; says how to find it."""


class PageNotSafeError(RootclockError, ValueError):
    """The page would be open to people whom nobody let in; says what to do."""


class UnusablePasscodeError(RootclockError, ValueError):
    """A passcode, or the file that keeps it, cannot be used; says why, and what to do."""


class PaperError(RootclockError, RuntimeError):
    """A plan could not be tried on paper for want of time, memory or room; says what to do."""


class SupersededError(RootclockError):
    """The same client has asked for something newer since."""
