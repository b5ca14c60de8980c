"""The numbers of errors. Source: JSON-RPC 2.0, section 5.1, jsonrpc.org/specification."""

from __future__ import annotations

from enum import IntEnum
from typing import TYPE_CHECKING

from controller.core.errors import (
    BusyError,
    LimitBrokenError,
    PlanConflictError,
    PlanRefusedError,
    RequestRefusedError,
    RootclockError,
    UnusableFileError,
)

if TYPE_CHECKING:
    from collections.abc import Mapping


class ErrorCode(IntEnum):
    """Why a request has no result. From -32000 down they are ours to give."""

    NOT_JSON = -32700
    NOT_A_REQUEST = -32600
    NO_SUCH_METHOD = -32601
    UNFIT_PARAMS = -32602
    OUR_MISTAKE = -32603

    REFUSED = -32000  # names what is not there, or asks for what may not be
    PLAN_REFUSED = -32001  # data: {"findings": [...]}, as `check --json` lists them
    BUSY = -32002  # may be asked again in a moment
    TOO_BIG = -32003
    OTHER_PROTOCOL = -32004  # data: {"protocol": ..., "version": ...}
    PLAN_CHANGED = -32005  # `based_on` is not the revision in force any more
    OUT_OF_REACH = -32006  # a disk or a file does not do what it should
    TOO_SLOW = -32007
    CLOSING = -32008


def refusal_of(error: RootclockError) -> RequestRefusedError:
    """What a client is told of an error that was raised on purpose."""
    if isinstance(error, RequestRefusedError):
        return error
    text = str(error)
    if isinstance(error, PlanRefusedError | LimitBrokenError):
        data: Mapping[str, object] = {"findings": [finding.as_json() for finding in error.findings]}
        return RequestRefusedError(ErrorCode.PLAN_REFUSED, text, data)
    for kind, code in _CODES:
        if isinstance(error, kind):
            return RequestRefusedError(code, text)
    return RequestRefusedError(ErrorCode.REFUSED, text)


_CODES = (
    (BusyError, ErrorCode.BUSY),
    (PlanConflictError, ErrorCode.PLAN_CHANGED),
    (UnusableFileError, ErrorCode.OUT_OF_REACH),
)
