"""What goes wrong, as problem details. Source: RFC 9457."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from starlette.responses import Response

from controller.core.errors import (
    BusyError,
    NoDaemonError,
    PaperError,
    PlanRefusedError,
    RequestRefusedError,
    RootclockError,
    SupersededError,
)
from controller.core.messages.codes import ErrorCode
from controller.core.messages.json_text import json_bytes

if TYPE_CHECKING:
    from collections.abc import Mapping

MEDIA_TYPE = "application/problem+json"
TYPES = "/api/v1/problems/"  # where each type is told
_AGAIN_S = 2


class Kind(NamedTuple):
    """A type of problem: its name, the HTTP status, and what it is called."""

    name: str
    status: int
    title: str


_KINDS = (
    Kind("malformed", 400, "The request cannot be read"),
    Kind("not-logged-in", 401, "The passcode is needed"),
    Kind("wrong-passcode", 403, "That is not the passcode"),
    Kind("not-allowed", 403, "Guests may look, and order nothing"),
    Kind("other-origin", 403, "The request came from a page of another site"),
    Kind("not-found", 404, "There is nothing of that name"),
    Kind("wrong-method", 405, "That cannot be done with this"),
    Kind("too-slow-sending", 408, "The request came too slowly"),
    Kind("refused", 409, "The controller refuses"),
    Kind("plan-changed", 409, "Another plan came into force meanwhile"),
    Kind("superseded", 409, "Something newer was asked for"),
    Kind("too-big", 413, "That is too much"),
    Kind("address-too-long", 414, "The address is too long"),
    Kind("wrong-media-type", 415, "The body is to be JSON"),
    Kind("other-host", 421, "The page is not called by that name"),
    Kind("unfit", 422, "Something given does not fit"),
    Kind("plan-refused", 422, "The plan is not fit"),
    Kind("too-many-tries", 429, "Too many tries"),
    Kind("head-too-big", 431, "The request's head is too long"),
    Kind("our-mistake", 500, "A mistake in the page"),
    Kind("controller-mistake", 502, "A mistake between page and controller"),
    Kind("no-controller", 503, "The controller does not answer"),
    Kind("busy", 503, "Too much is asked at once"),
    Kind("out-of-reach", 503, "A disk does not do what it should"),
    Kind("too-slow", 504, "It took too long"),
)
KINDS: Mapping[str, Kind] = {kind.name: kind for kind in _KINDS}

_BY_CODE: Mapping[int, str] = {
    ErrorCode.UNFIT_PARAMS: "unfit",
    ErrorCode.REFUSED: "refused",
    ErrorCode.PLAN_REFUSED: "plan-refused",
    ErrorCode.BUSY: "busy",
    ErrorCode.TOO_BIG: "too-big",
    ErrorCode.PLAN_CHANGED: "plan-changed",
    ErrorCode.OUT_OF_REACH: "out-of-reach",
    ErrorCode.TOO_SLOW: "too-slow",
    ErrorCode.CLOSING: "no-controller",
}
_BY_ERROR: tuple[tuple[type[RootclockError], str], ...] = (
    (BusyError, "busy"),
    (SupersededError, "superseded"),
    (PaperError, "too-slow"),
    (PlanRefusedError, "plan-refused"),
)


class Problem(Exception):  # noqa: N818 - an answer rather than an error
    """Raised to answer with a problem; `more` are its extension members."""

    def __init__(self, name: str, detail: str, **more: Any) -> None:
        self.kind = KINDS[name]
        self.detail = detail
        self.more = more
        super().__init__(detail)

    def as_json(self) -> dict[str, Any]:
        """The problem as RFC 9457 has it."""
        return {
            "type": f"{TYPES}{self.kind.name}",
            "title": self.kind.title,
            "status": self.kind.status,
            "detail": self.detail,
            **self.more,
        }

    def response(self) -> Response:
        """The problem as an answer."""
        headers = {"Cache-Control": "no-store"}
        if self.kind.status in {429, 503}:
            headers["Retry-After"] = str(self.more.get("retry_after_s", _AGAIN_S))
        if self.kind.status == 405:
            headers["Allow"] = ", ".join(self.more.get("allowed", ("GET",)))
        return Response(
            json_bytes(self.as_json()), self.kind.status, headers=headers, media_type=MEDIA_TYPE
        )


def problem_of(error: RootclockError) -> Problem:
    """What a visitor is told of an error that was raised on purpose."""
    if isinstance(error, RequestRefusedError):
        name = _BY_CODE.get(error.code, "controller-mistake")
        data = error.data if isinstance(error.data, dict) else {}
        findings = {"findings": data["findings"]} if "findings" in data else {}
        return Problem(name, str(error), **findings)
    if isinstance(error, PlanRefusedError):
        findings = {"findings": [finding.as_json() for finding in error.findings]}
        return Problem("plan-refused", str(error), **findings)
    if isinstance(error, NoDaemonError):  # why, in words for whoever looks after the board
        return Problem("no-controller", "the controller does not answer", reason=str(error))
    for kind, known in _BY_ERROR:
        if isinstance(error, kind):
            return Problem(known, str(error))
    return Problem("unfit", str(error))
