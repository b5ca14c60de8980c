"""The form of a plan: pydantic's models, and what of a document does not fit them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from pydantic import ValidationError

from controller.core.plan import Plan

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pydantic_core import ErrorDetails

    from controller.core.plan_text.place import Place


class Misfit(NamedTuple):
    """One value that does not fit: its place, pydantic's name for the kind of error, the
    value itself (of a missing one: its table) and a parser's own words, if it has some."""

    place: Place
    kind: str
    value: Any
    words: str = ""


def _misfit_of(error: ErrorDetails) -> Misfit:
    """The misfit that one entry of pydantic's list of errors is about."""
    place = tuple(error["loc"])
    kind = str(error["type"])
    if kind == "string_pattern_mismatch" and place[-1] == "[key]":
        place, kind = place[:-1], "bad_name"
    words = str(error["ctx"]["error"]) if kind == "value_error" else ""
    return Misfit(place, kind, error["input"], words)


def read_form(document: Mapping[str, Any]) -> tuple[Plan | None, list[Misfit]]:
    """The plan of a document, or None and everything that does not fit its form."""
    try:
        # By alias only: the file says `from`, never `from_`.
        return Plan.model_validate(document, by_alias=True, by_name=False), []
    except ValidationError as error:
        entries = error.errors(include_url=False)
        return None, [_misfit_of(entry) for entry in entries if not _is_echo(entry)]


def _is_echo(error: ErrorDetails) -> bool:
    """Whether an error only follows from others: a list is short of the items in error."""
    if error["type"] != "too_short":
        return False
    return len(error["input"]) >= int(error["ctx"]["min_length"])
