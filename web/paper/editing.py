"""Edits of a plan's text that leave comments and the order of the rest as they are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.errors import BadRequestError
from controller.core.plan_edit.edit import add_item, add_table, remove, set_value
from controller.core.units import shown
from web.paper.checking import document_of, read

if TYPE_CHECKING:
    from collections.abc import Mapping


def edit(message: Mapping[str, Any]) -> dict[str, Any]:
    """The text after all edits, one after the other.

    Args:
        message: `text`; `edits`, each with `do`, `at`, and as it needs them `value`, `index`.

    Raises:
        BadRequestError: an edit does not fit the text.
        PlanRefusedError: the text is no plan, or would be none after an edit.
    """
    text = message["text"]
    for one in message["edits"]:
        text = _edited(text, one)
    findings = [finding.as_json() for finding in read(text).findings]
    return {"text": text, "findings": findings, "document": document_of(text)}


def _edited(text: str, one: Mapping[str, Any]) -> str:
    do, at, value, index = one["do"], one["at"], one.get("value"), one.get("index")
    if do == "remove":
        return remove(text, at)
    if do == "set":
        if not isinstance(value, str | int | float | bool):
            raise BadRequestError(f"{at}: {shown(value)} is neither text, number, true nor false")
        return set_value(text, at, value)
    if not isinstance(value, dict):
        raise BadRequestError(f"{at}: {shown(value)} is not an object of keys and values")
    if index is None:
        return add_table(text, at, value)
    return add_item(text, at, index, value)
