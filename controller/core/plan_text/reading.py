"""Reading a plan: from a file's bytes to a plan that holds, or to all that is wrong.

The stages are bytes, TOML, form, rules. Each tells everything that it can find, also past
mistakes of the stage before it where those leave enough to go on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from controller.core.errors import PlanRefusedError
from controller.core.findings import Finding
from controller.core.plan_rules.rulebook import found_in, sound_errors
from controller.core.plan_text.encoding import text_of
from controller.core.plan_text.form import read_form
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.syntax import read_toml
from controller.core.plan_text.tell import tell

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from controller.core.plan import Plan
    from controller.core.plan_rules.rule import Found
    from controller.core.plan_text.form import Misfit

FINDINGS_MAX = 100  # more at once help nobody; the rest is counted


@dataclass(frozen=True, slots=True)
class ReadPlan:
    """A plan that holds, the warnings and notes about it, and its places' lines."""

    plan: Plan
    findings: tuple[Finding, ...]
    lines: Lines


def read_plan(data: bytes, source: str) -> ReadPlan:
    """The plan in a file's bytes.

    Args:
        data: the whole file.
        source: its name, for messages.

    Raises:
        PlanRefusedError: the plan has errors; it carries all of them in file order, with
            the warnings and notes too where nothing keeps those from being known.
    """
    text = text_of(data)
    if isinstance(text, Finding):
        raise PlanRefusedError(source, (text,))
    draft = read_toml(text)
    if draft.document is None:
        raise PlanRefusedError(source, draft.errors)
    lines = Lines(draft.text)
    plan, misfits = read_form(draft.document)
    if plan is None:
        findings, untold = _misfit(draft.document, misfits, lines)
        raise PlanRefusedError(source, _in_file_order([*draft.errors, *findings], untold))
    findings = [*draft.errors, *_told(found_in(plan), lines)]
    if any(finding.level == "error" for finding in findings):
        raise PlanRefusedError(source, _in_file_order(findings))
    return ReadPlan(plan, _in_file_order(findings), lines)


def _misfit(
    document: Mapping[str, Any], misfits: Sequence[Misfit], lines: Lines
) -> tuple[list[Finding], int]:
    """What does not fit the form, and what breaks a rule in the sound rest.

    Also how many misfits more there are: sentences take time, and nobody reads so many.
    """
    # Only plans with errors need these.
    from controller.core.plan_text.echoes import without_echoes
    from controller.core.plan_text.misfits import sentences
    from controller.core.plan_text.salvage import salvage

    salvaged = salvage(document, misfits)
    broken = [] if salvaged is None else _told(sound_errors(*salvaged), lines)
    listed = sorted(without_echoes(misfits), key=lambda misfit: lines.at(misfit.place))
    told = [
        tell("error", misfit.place, *sentences(misfit, document), lines.at(misfit.place))
        for misfit in listed[:FINDINGS_MAX]
    ]
    return [*told, *broken], len(listed) - len(told)


def _told(found: Iterable[Found], lines: Lines) -> list[Finding]:
    return [tell(f.level, f.place, f.message, f.mend, lines.at(f.place)) for f in found]


def _in_file_order(findings: Sequence[Finding], untold: int = 0) -> tuple[Finding, ...]:
    ordered = sorted(findings, key=lambda finding: finding.line or 1)
    more = len(ordered[FINDINGS_MAX:]) + untold
    if not more:
        return tuple(ordered)
    message = f"{more:,} more mistakes are not shown"
    last = tell("note", (), message, "mend the ones above, then check the plan again")
    return (*ordered[:FINDINGS_MAX], last)
