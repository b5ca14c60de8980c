"""The methods of the control socket, and what each is told."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from controller.core.errors import RequestRefusedError
from controller.core.messages.codes import ErrorCode
from controller.core.messages.params import (
    Param,
    any_text,
    instant,
    length,
    likely_of,
    read_params,
    text,
    texts,
    unfit,
    whole_number,
)
from controller.core.messages.rpc import MESSAGE_BYTES_MAX
from controller.core.units import shown

if TYPE_CHECKING:
    from collections.abc import Callable

    from controller.core.messages.rpc import Call
    from controller.core.units import Instant

LOG_ENTRIES_MAX = 1_000  # in one answer; more is asked for piece by piece
TOPICS = ("changed", "journal")
_ORDER_LENGTH_MAX = 2_000  # a cycle of many steps
_REVISION_MAX = 10**9
_NUMBER_MAX = 2**62


class HelloParams(NamedTuple):
    """Which protocol the client speaks; None: it does not say."""

    protocol: int | None


class NoParams(NamedTuple):
    """Nothing but the method's name."""


class WhyParams(NamedTuple):
    """Of which load; None: of all."""

    load: str | None


class HoldParams(NamedTuple):
    """Which load, to what (`on`, `off`, a cycle or a variant's name), for how long."""

    load: str
    order: str
    for_ms: int


class ReleaseParams(NamedTuple):
    """Whose hold ends."""

    load: str


class AcknowledgeParams(NamedTuple):
    """Which alarm, of which load or sensor; what is None is any."""

    alarm: str | None
    subject: str | None


class LogParams(NamedTuple):
    """Which entries of the journal: from `since` until before `until`, of a load, of some
    kinds only, with a text in them, the last so many of those with a lower number than `before`."""

    since: Instant | None
    until: Instant | None
    load: str | None
    only: tuple[str, ...]
    find: str | None
    last: int | None
    before: int | None = None


class HistoryParams(NamedTuple):
    """Which stretch of time: from `since` until before `until`."""

    since: Instant
    until: Instant


class PastParams(NamedTuple):
    """Which load, at what time gone by."""

    load: str
    at: Instant


class ProposeParams(NamedTuple):
    """A plan's text, the revision that it was made from, and a word about it."""

    text: str
    based_on: int
    note: str | None


class RevisionParams(NamedTuple):
    """Which revision of the plan."""

    revision: int


class SubscribeParams(NamedTuple):
    """What the client wants to be told from now on."""

    topics: tuple[str, ...]


Params: TypeAlias = (
    HelloParams
    | NoParams
    | WhyParams
    | HoldParams
    | ReleaseParams
    | AcknowledgeParams
    | LogParams
    | HistoryParams
    | PastParams
    | ProposeParams
    | RevisionParams
    | SubscribeParams
)


class Method(NamedTuple):
    """A method's parameters, in the order in which a list of them is read."""

    make: Callable[..., Params]
    params: tuple[Param, ...] = ()


def _topics(where: str, value: Any) -> tuple[str, ...]:
    chosen: tuple[str, ...] = texts(len(TOPICS))(where, value)
    for topic in chosen:
        if topic not in TOPICS:
            likely = likely_of(topic, TOPICS)
            raise unfit(f"{where}: {shown(topic)}{likely} is none of {', '.join(TOPICS)}")
    return chosen


_REVISION = Param("revision", whole_number(least=1, most=_REVISION_MAX), is_needed=True)
_LOAD = Param("load", text())
_NEEDED_LOAD = _LOAD._replace(is_needed=True)

METHODS: dict[str, Method] = {
    "hello": Method(HelloParams, (Param("protocol", whole_number(least=1, most=1_000)),)),
    "status": Method(NoParams),
    "why": Method(WhyParams, (_LOAD,)),
    "hold": Method(
        HoldParams,
        (
            _NEEDED_LOAD,
            Param("order", text(_ORDER_LENGTH_MAX), is_needed=True),
            Param("for", length, is_needed=True),
        ),
    ),
    "release": Method(ReleaseParams, (_NEEDED_LOAD,)),
    "acknowledge": Method(AcknowledgeParams, (Param("alarm", text()), Param("subject", text()))),
    "stop": Method(NoParams),
    "resume": Method(NoParams),
    "log": Method(
        LogParams,
        (
            Param("since", instant),
            Param("until", instant),
            _LOAD,
            Param("only", texts(50), unless_given=()),
            Param("find", text()),
            Param("last", whole_number(least=1, most=LOG_ENTRIES_MAX)),
            Param("before", whole_number(least=1, most=_NUMBER_MAX)),
        ),
    ),
    "history": Method(
        HistoryParams,
        (
            Param("since", instant, is_needed=True),
            Param("until", instant, is_needed=True),
        ),
    ),
    "past": Method(PastParams, (_NEEDED_LOAD, Param("at", instant, is_needed=True))),
    "wear": Method(NoParams),
    "plan.read": Method(NoParams),
    "plan.propose": Method(
        ProposeParams,
        (
            Param("text", any_text(MESSAGE_BYTES_MAX), is_needed=True),
            _REVISION._replace(name="based_on"),
            Param("note", text()),
        ),
    ),
    "plan.revisions": Method(NoParams),
    "plan.text": Method(RevisionParams, (_REVISION,)),
    "plan.restore": Method(RevisionParams, (_REVISION,)),
    "clock.trust": Method(NoParams),
    "lateness": Method(NoParams),
    "subscribe": Method(SubscribeParams, (Param("topics", _topics, unless_given=TOPICS),)),
}


def params_of(call: Call) -> Params:
    """What a request tells its method.

    Raises:
        RequestRefusedError: there is no such method, or it does not take these parameters.
    """
    method = METHODS.get(call.method)
    if method is None:
        likely = likely_of(call.method, METHODS)
        raise RequestRefusedError(
            ErrorCode.NO_SUCH_METHOD, f"there is no method {shown(call.method)}{likely}"
        )
    return method.make(*read_params(call.params, method.params, method=call.method))
