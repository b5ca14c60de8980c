"""What the examination of a plan found, as values that pass between two processes as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from controller.core.findings import LEVELS, Finding

if TYPE_CHECKING:
    from collections.abc import Mapping

    from controller.core.units import Instant


class LoadFigures(NamedTuple):
    """What one load does in a dry run. A dry gap of None: it was never off."""

    name: str
    kind: str
    starts: int
    on_ms: int
    longest_dry_gap_ms: int | None
    longest_dry_gap_from: Instant | None


class TrialRun(NamedTuple):
    """The dry run of one stretch of time; `name` is "next days" or "hottest day".

    `findings` has an error for each limit that the plan states and that the run broke, or of
    which it could not tell; `air` says whence the run's air temperature came.
    """

    name: str
    start: Instant
    end: Instant
    loads: tuple[LoadFigures, ...]
    findings: tuple[Finding, ...]
    air: str


class Examination(NamedTuple):
    """What is known of a plan before it is taken: findings worst first, and trial runs.

    A plan with an error among its findings has no runs.
    """

    findings: tuple[Finding, ...]
    runs: tuple[TrialRun, ...] = ()

    @property
    def is_fit(self) -> bool:
        """Whether nothing forbids to run it."""
        return all(finding.level != "error" for finding in self.findings)

    @property
    def broken_limits(self) -> tuple[Finding, ...]:
        """The limits that a trial run broke, each as it was broken first."""
        first: dict[str, Finding] = {}
        for run in self.runs:
            for finding in run.findings:
                if finding.level == "error":
                    first.setdefault(finding.where, finding)
        return tuple(first.values())

    def as_json(self) -> dict[str, object]:
        """The examination as JSON has it; `from_json` takes it back."""
        return {
            "findings": [finding.as_json() for finding in self.findings],
            "runs": [_run_json(run) for run in self.runs],
        }

    @classmethod
    def from_json(cls, value: Mapping[str, Any]) -> Examination:
        """The examination of that JSON.

        Raises:
            KeyError, TypeError, ValueError: it is none.
        """
        return cls(
            findings=tuple(_finding(item) for item in value["findings"]),
            runs=tuple(_run(item) for item in value["runs"]),
        )


def _run_json(run: TrialRun) -> dict[str, object]:
    return {
        **run._asdict(),
        "loads": [load._asdict() for load in run.loads],
        "findings": [finding.as_json() for finding in run.findings],
    }


def _finding(value: Mapping[str, Any]) -> Finding:
    finding = Finding(**value)
    if finding.level not in LEVELS:
        raise ValueError(f"no level {finding.level}")
    return finding


def _run(value: Mapping[str, Any]) -> TrialRun:
    return TrialRun(
        name=value["name"],
        start=int(value["start"]),
        end=int(value["end"]),
        loads=tuple(LoadFigures(**load) for load in value["loads"]),
        findings=tuple(_finding(item) for item in value["findings"]),
        air=value["air"],
    )
