"""A fault script from a file's bytes; every mistake in it told at once."""

from __future__ import annotations

import tomllib
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, get_args

from pydantic import ValidationError

from controller.core.errors import BadFaultScriptError
from controller.core.findings import Finding
from controller.core.plan_text.bounds import bounded_tokens
from controller.core.plan_text.encoding import TextFile, text_of
from controller.core.units import shown
from controller.dry_run.faults import Deed, FaultFile, Lasting

if TYPE_CHECKING:
    from collections.abc import Sequence

_MODELS = {get_args(model.model_fields["kind"].annotation)[0]: model
           for model in (*get_args(Lasting), *get_args(Deed))}  # fmt: skip
KINDS = tuple(_MODELS)
_COMPLAINTS_MAX = 50
_SCRIPT_FILE = TextFile(
    "fault script",
    "a hundred faults",
    "a table [[faults]] for each fault",
    'write one with a kind, like kind = "power_out"',
)
_FAULTS_WANTED = 'each fault is a table [[faults]] with a kind, like kind = "power_out"'


def read_fault_script(data: bytes, source: str) -> FaultFile:
    """The fault script in a file's bytes.

    Raises:
        BadFaultScriptError: it is no such script; tells every mistake, one a line.
    """
    text = text_of(data, _SCRIPT_FILE)
    if isinstance(text, Finding):
        raise BadFaultScriptError([("", f"{text.message}; {text.mend}")], source)
    tokens = bounded_tokens(text, _SCRIPT_FILE)
    if isinstance(tokens, Finding):
        raise BadFaultScriptError([("", f"{tokens.message}; {tokens.mend}")], source)
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        told = f"not TOML: {str(error)[:200]}; {_FAULTS_WANTED}"
        raise BadFaultScriptError([("", told)], source) from None
    except ValueError as error:  # a number of too many digits
        told = f"cannot be read: {str(error)[:200]}"
        raise BadFaultScriptError([("", told)], source) from None
    try:
        return FaultFile.model_validate(table)
    except ValidationError as error:
        complaints = _complaints(error)
        more = len(complaints) - _COMPLAINTS_MAX
        tail = [("", f"and {more} mistakes more")] if more > 0 else []
        raise BadFaultScriptError(complaints[:_COMPLAINTS_MAX] + tail, source) from None


def _complaints(error: ValidationError) -> list[tuple[str, str]]:
    return list(
        dict.fromkeys(
            _complaint(detail["type"], detail["loc"], detail["msg"], detail["input"])
            for detail in error.errors(include_url=False, include_context=False)
        )
    )


def _complaint(kind: str, place: Sequence[int | str], message: str, found: Any) -> tuple[str, str]:
    """Where, and what is wrong there."""
    # pydantic names the kind of a fault within the place; people see it in their file.
    where = ".".join(str(part) for part in place if part not in KINDS) or "the file"
    return where, _complaint_text(kind, place, message, found)


def _complaint_text(kind: str, place: Sequence[int | str], message: str, found: Any) -> str:
    if kind in {"union_tag_invalid", "union_tag_not_found"}:
        given = found.get("kind") if isinstance(found, dict) else found
        hint = _hint(str(given), KINDS)
        return f"kind {shown(given)} is none of {', '.join(KINDS)}{hint}"
    if kind == "missing":
        return f"is missing; {_FAULTS_WANTED if len(place) == 1 else f'write {place[-1]} = …'}"
    if kind == "extra_forbidden":
        allowed = _keys_at(place)
        there = f"is only {allowed[0]}" if len(allowed) == 1 else f"are {', '.join(allowed)}"
        return f"there is no such key; there {there}{_hint(str(place[-1]), allowed)}"
    if kind == "value_error":
        return message.removeprefix("Value error, ")
    if kind in {"model_attributes_type", "model_type", "tuple_type"}:
        wanted = "a list of tables [[faults]]" if kind == "tuple_type" else "a table with a kind"
        return f"{shown(found)} does not fit: {wanted} is wanted"
    return f"{shown(found)} does not fit: {message[0].lower()}{message[1:]}"


def _keys_at(place: Sequence[int | str]) -> list[str]:
    model = next((_MODELS[part] for part in place if part in _MODELS), None)
    if model is None:
        return ["faults"]
    return [field.alias or name for name, field in model.model_fields.items()]


def _hint(given: str, allowed: Sequence[str]) -> str:
    close = get_close_matches(given, allowed, 1, 0.6)
    return f" (did you mean {close[0]}?)" if close else ""
