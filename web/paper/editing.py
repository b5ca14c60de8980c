"""Edits of a plan's text that leave comments and the order of the rest as they are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.plan_edit.edit import Change, edited
from web.paper.checking import document_of, is_known, keep_known

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
    text, found = edited(message["text"], changes, is_known=is_known(message["text"]))
    keep_known(text, found)
    findings = [finding.as_json() for finding in found.findings]
    return {"text": text, "findings": findings, "document": document_of(text)}
