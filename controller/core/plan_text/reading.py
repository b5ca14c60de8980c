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
from controller.core.plan_text.syntax import read_toml
from controller.core.plan_text.tell import tell

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from controller.core.plan import Plan
    from controller.core.plan_rules.rule import Found
    from controller.core.plan_text.form import Misfit
    from controller.core.plan_text.lines import Lines

FINDINGS_MAX = 100  # more at once help nobody; the rest is counted
_BLANKS = b" \t\r\n"  # an empty file says nothing, which TOML can be


@dataclass(frozen=True, slots=True)
class ReadPlan:
    """A plan that holds, the warnings and notes about it, and its places' lines."""

    plan: Plan
    findings: tuple[Finding, ...]
    lines: Lines


@dataclass(frozen=True, slots=True)
class Reading:
    """All that came of reading a text once.

    `document` is what the text says, be it a plan or not; None where it cannot be read as TOML,
    whatever was meant. `plan` is None where the text is no plan. `findings` are then its errors,
    all of them, in file order, with the warnings and notes too where nothing keeps those from
    being known; else the plan's.
    """

    document: Mapping[str, Any] | None
    plan: ReadPlan | None
    findings: tuple[Finding, ...]

    def plan_of(self, source: str) -> ReadPlan:
        """The plan; `source` is the file's name, for messages.

        Raises:
            PlanRefusedError: there is none; it carries the findings.
        """
        if self.plan is None:
            raise PlanRefusedError(source, self.findings)
        return self.plan


def read_plan(data: bytes, source: str) -> ReadPlan:
    """The plan in a file's bytes.

    Args:
        data: the whole file.
        source: its name, for messages.

    Raises:
        PlanRefusedError: the plan has errors; it carries the findings of its reading.
    """
    return reading_of(data).plan_of(source)


def reading_of(data: bytes) -> Reading:
    """What the bytes of a whole file come to, be it a plan or not."""
    text = text_of(data)
    if isinstance(text, Finding):
        return Reading(None if data.strip(_BLANKS) else {}, None, (text,))
    draft = read_toml(text)
    if draft.document is None:
        return Reading(None, None, draft.errors)
    document = None if draft.errors else draft.document
    plan, misfits = read_form(draft.document)
    if plan is None:
        found, untold = _misfit(draft.document, misfits, draft.lines)
        findings = _in_file_order([*draft.errors, *found], untold)
        return Reading(document, None, findings)
    findings = _in_file_order([*draft.errors, *_told(found_in(plan), draft.lines)])
    if any(finding.level == "error" for finding in findings):
        return Reading(document, None, findings)
    return Reading(document, ReadPlan(plan, findings, draft.lines), findings)


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
    """As many as help somebody, and how many there are more; errors are the last to be left out."""
    ordered = sorted(findings, key=_line_of)
    if len(ordered) > FINDINGS_MAX:
        untold += len(ordered) - FINDINGS_MAX
        worst_first = sorted(ordered, key=lambda finding: finding.level != "error")
        ordered = sorted(worst_first[:FINDINGS_MAX], key=_line_of)
    if not untold:
        return tuple(ordered)
    message = f"{untold:,} more findings are not shown"
    last = tell("note", (), message, "mend the ones above, then check the plan again")
    return (*ordered, last)


def _line_of(finding: Finding) -> int:
    return finding.line or 1
