"""A method's parameters, read one by one; what does not fit is told with what would."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from controller.core.errors import BadDurationError, BadInstantError, RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.units import duration_text, parse_duration_ms, parse_rfc3339, shown

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Sequence

    from controller.core.units import Instant

Reader: TypeAlias = "Callable[[str, Any], Any]"

TEXT_LENGTH_MAX = 200
_LISTED_MAX = 20


class Param(NamedTuple):
    """One parameter: its name on the wire, what reads it, what it is if it is left out."""

    name: str
    read: Reader
    is_needed: bool = False
    unless_given: object = None


def likely_of(name: str, names: Iterable[str]) -> str:
    """` (did you mean NAME?)` where one of the names is like it, else nothing."""
    # What is likely is known where plans are read, which takes long to load and is needed
    # for mistakes only.
    from controller.core.plan_text.likely import likely_word

    likely = likely_word(name, names)
    return f" (did you mean {likely}?)" if likely is not None and likely != name else ""


def listed(names: Collection[str]) -> str:
    """The names, up to a number that one reads."""
    told = list(names)[:_LISTED_MAX]
    more = len(names) - len(told)
    return ", ".join(told) + (f" and {more} more" if more else "")


def read_params(
    params: dict[str, Any] | list[Any], known: Sequence[Param], *, method: str
) -> list[Any]:
    """The values of the parameters that a method knows, in its order.

    Raises:
        RequestRefusedError: with code UNFIT_PARAMS; one is missing, unknown or unfit.
    """
    given = _by_name(params, known, method=method)
    names = [param.name for param in known]
    for name in given:
        if name not in names:
            there = f"it takes {', '.join(names)}" if names else "it takes none"
            raise unfit(f"{method} has no parameter {shown(name)}{likely_of(name, names)}; {there}")
    values = []
    for param in known:
        value = given.get(param.name)
        if value is None and param.is_needed:
            raise unfit(f"{method} lacks the parameter {param.name}")
        values.append(
            param.unless_given if value is None else param.read(f"{method}: {param.name}", value)
        )
    return values


def _by_name(
    params: dict[str, Any] | list[Any], known: Sequence[Param], *, method: str
) -> dict[str, Any]:
    if isinstance(params, dict):
        return params
    if len(params) > len(known):
        raise unfit(f"{method} takes at most {len(known)} parameters; {len(params)} are given")
    return {param.name: value for param, value in zip(known, params, strict=False)}


def unfit(why: str) -> RequestRefusedError:
    """The error of parameters that a method does not take."""
    return RequestRefusedError(ErrorCode.UNFIT_PARAMS, why)


def text(length_max: int = TEXT_LENGTH_MAX) -> Reader:
    """Reads text of 1 to so many characters, without line ends and the like."""

    def read(where: str, value: Any) -> str:
        checked: str = any_text(length_max)(where, value)
        if not checked.isprintable():
            raise unfit(f"{where} {shown(checked)} has characters that cannot be printed")
        return checked

    return read


def any_text(length_max: int) -> Reader:
    """Reads text of 1 to so many characters, whatever they are."""

    def read(where: str, value: Any) -> str:
        if not isinstance(value, str):
            raise unfit(f"{where} {shown(value)} is not text: write it in quotes")
        if not 0 < len(value) <= length_max:
            raise unfit(f"{where} has {len(value)} characters; it has from 1 to {length_max}")
        return value

    return read


def whole_number(*, least: int, most: int) -> Reader:
    """Reads a whole number within bounds."""

    def read(where: str, value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise unfit(f"{where} {shown(value)} is not a whole number")
        if not least <= value <= most:
            raise unfit(f"{where} {value} is not within {least} to {most}")
        return value

    return read


def length(where: str, value: Any) -> int:
    """Reads a duration that is not nothing; its ms."""
    try:
        length_ms = parse_duration_ms(text()(where, value))
    except BadDurationError as error:
        raise unfit(f"{where}: {error}") from None
    if length_ms == 0:
        raise unfit(f"{where} is {duration_text(0)}, no time at all")
    return length_ms


def instant(where: str, value: Any) -> Instant:
    """Reads an RFC 3339 instant."""
    try:
        return parse_rfc3339(text()(where, value))
    except BadInstantError as error:
        raise unfit(f"{where}: {error}") from None


def texts(count_max: int) -> Reader:
    """Reads one text or a list of up to so many."""

    def read(where: str, value: Any) -> tuple[str, ...]:
        items = value if isinstance(value, list) else [value]
        if not 0 < len(items) <= count_max:
            raise unfit(f"{where} has {len(items)} items; it has from 1 to {count_max}")
        return tuple(text()(where, item) for item in items)

    return read
