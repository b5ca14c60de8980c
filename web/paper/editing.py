"""Edits of a plan's text that leave comments and the order of the rest as they are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.plan_edit.edit import Change, edited
from web.paper.checking import in_json, keep_known, known_reading

if TYPE_CHECKING:
    from collections.abc import Mapping


def edit(message: Mapping[str, Any]) -> dict[str, Any]:
    """The text after all edits, one after the other.

    Args:
        message: `text`; `edits`, each with `do`, `at`, and as it needs them `value`, `index`, `to`.

    Raises:
        BadRequestError: an edit does not fit the text.
        PlanRefusedError: the text cannot be read, or would be no plan after the edits.
    """
    changes = [Change(**one) for one in message["edits"]]
    before = message["text"]
    # Who drags a handle changes the same text over and over.
    text, reading = edited(before, changes, known=known_reading(before))
    keep_known(text, reading)
    findings = [finding.as_form_json() for finding in reading.findings]
    return {"text": text, "findings": findings, "document": in_json(reading.document)}
