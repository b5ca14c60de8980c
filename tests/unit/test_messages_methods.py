"""What each method is told: read by name or by place, refused with what would fit."""

from __future__ import annotations

from typing import Any

import pytest

from controller.core.errors import (
    BadRequestError,
    BusyError,
    LimitBrokenError,
    PlanConflictError,
    PlanRefusedError,
    RequestRefusedError,
    UnusableFileError,
)
from controller.core.findings import Finding
from controller.core.messages.codes import ErrorCode, refusal_of
from controller.core.messages.methods import (
    LOG_ENTRIES_MAX,
    METHODS,
    AcknowledgeParams,
    HelloParams,
    HistoryParams,
    HoldParams,
    LogParams,
    NoParams,
    Params,
    PastParams,
    ProposeParams,
    ReleaseParams,
    RevisionParams,
    SubscribeParams,
    WhyParams,
    params_of,
)
from controller.core.messages.rpc import Call
from controller.core.units import MINUTE_MS, parse_rfc3339


def _params(method: str, params: dict[str, Any] | list[Any]) -> Params:
    return params_of(Call(1, method, params))


@pytest.mark.parametrize(
    ("method", "params", "read"),
    [
        ("hello", {}, HelloParams(None)),
        ("hello", {"protocol": 1}, HelloParams(1)),
        ("status", {}, NoParams()),
        ("why", {}, WhyParams(None)),
        ("why", {"load": "pump"}, WhyParams("pump")),
        ("hold", {"load": "pump", "order": "off", "for": "20m"},
         HoldParams("pump", "off", 20 * MINUTE_MS)),
        ("hold", ["pump", "5m on, 10m off", "1h"],
         HoldParams("pump", "5m on, 10m off", 60 * MINUTE_MS)),
        ("release", ["pump"], ReleaseParams("pump")),
        ("acknowledge", {}, AcknowledgeParams(None, None)),
        ("acknowledge", {"alarm": "no flow", "subject": "pump"},
         AcknowledgeParams("no flow", "pump")),
        ("stop", {}, NoParams()),
        ("resume", [], NoParams()),
        ("log", {}, LogParams(None, None, None, (), None, None)),
        ("log", {"since": "2026-06-01T06:00:00+02:00", "until": "2026-06-02T00:00:00Z",
                 "load": "pump", "only": ["alarm", "on"], "find": "dry", "last": 20},
         LogParams(parse_rfc3339("2026-06-01T04:00:00Z"), parse_rfc3339("2026-06-02T00:00:00Z"),
                   "pump", ("alarm", "on"), "dry", 20)),
        ("log", {"only": "alarm"}, LogParams(None, None, None, ("alarm",), None, None)),
        ("plan.read", {}, NoParams()),
        ("plan.propose", {"text": "format = 1\n", "based_on": 3},
         ProposeParams("format = 1\n", 3, None)),
        ("plan.propose", ["format = 1\n", 3, "hotter"],
         ProposeParams("format = 1\n", 3, "hotter")),
        ("plan.revisions", {}, NoParams()),
        ("plan.text", {"revision": 2}, RevisionParams(2)),
        ("plan.restore", [2], RevisionParams(2)),
        ("clock.trust", {}, NoParams()),
        ("log", {"before": 7}, LogParams(None, None, None, (), None, None, 7)),
        ("history", {"since": "2026-06-01T00:00:00Z", "until": "2026-06-02T00:00:00Z"},
         HistoryParams(
             parse_rfc3339("2026-06-01T00:00:00Z"), parse_rfc3339("2026-06-02T00:00:00Z"))),
        ("past", ["pump", "2026-06-01T01:00:00Z"],
         PastParams("pump", parse_rfc3339("2026-06-01T01:00:00Z"))),
        ("wear", {}, NoParams()),
        ("lateness", {}, NoParams()),
        ("subscribe", {}, SubscribeParams(("changed", "journal"))),
        ("subscribe", {"topics": ["journal"]}, SubscribeParams(("journal",))),
        # What is null is as if it were left out.
        ("why", {"load": None}, WhyParams(None)),
        ("acknowledge", [None, "floor"], AcknowledgeParams(None, "floor")),
    ],
)  # fmt: skip
def test_parameters_are_read(method: str, params: Any, read: Params) -> None:
    """By name, or by place in the order of the names."""
    assert _params(method, params) == read


def test_every_method_is_covered() -> None:
    """A new method needs a row above."""
    covered = {mark.args[1][row][0] for mark in _marks() for row in range(len(mark.args[1]))}
    assert covered == set(METHODS)


def _marks() -> list[pytest.Mark]:
    marks: list[pytest.Mark] = test_parameters_are_read.pytestmark
    return marks


@pytest.mark.parametrize(
    ("method", "params", "says"),
    [
        ("hold", {}, "hold lacks the parameter load"),
        ("hold", {"load": "pump", "order": "on"}, "hold lacks the parameter for"),
        ("hold", {"load": "pump", "order": "on", "for": None}, "hold lacks the parameter for"),
        ("hold", {"lod": "pump"},
         "hold has no parameter 'lod' (did you mean load?); it takes load, order, for"),
        ("status", {"load": "pump"}, "status has no parameter 'load'; it takes none"),
        ("status", [1], "status takes at most 0 parameters; 1 are given"),
        ("hold", {"load": 1, "order": "on", "for": "1m"},
         "hold: load 1 is not text: write it in quotes"),
        ("hold", {"load": "", "order": "on", "for": "1m"},
         "hold: load has 0 characters; it has from 1 to 200"),
        ("hold", {"load": "a\x1b[2J", "order": "on", "for": "1m"},
         "hold: load 'a\\x1b[2J' has characters that cannot be printed"),
        ("hold", {"load": "p", "order": "on", "for": "20 min"},
         "hold: for: '20 min' is not a duration: write hours, minutes and seconds like 1h30m, "
         "15m or 90s (did you mean 20m?)"),
        ("hold", {"load": "p", "order": "on", "for": 20},
         "hold: for 20 is not text: write it in quotes"),
        ("hold", {"load": "p", "order": "on", "for": "0s"}, "hold: for is 0s, no time at all"),
        ("hold", {"load": "p", "order": "on", "for": "169h"},
         "hold: for: '169h' is longer than a week (168h)"),
        ("log", {"since": "yesterday"},
         "log: since: 'yesterday' is not an instant: write it like 2026-07-01T06:00:00+02:00"),
        ("log", {"last": LOG_ENTRIES_MAX + 1}, "log: last 1001 is not within 1 to 1000"),
        ("log", {"last": 0}, "log: last 0 is not within 1 to 1000"),
        ("log", {"last": True}, "log: last True is not a whole number"),
        ("log", {"last": 2.0}, "log: last 2.0 is not a whole number"),
        ("log", {"only": []}, "log: only has 0 items; it has from 1 to 50"),
        ("log", {"only": [1]}, "log: only 1 is not text: write it in quotes"),
        ("plan.text", {"revision": 0}, "plan.text: revision 0 is not within 1 to 1000000000"),
        ("plan.propose", {"text": "x"}, "plan.propose lacks the parameter based_on"),
        ("subscribe", {"topics": ["chaged"]},
         "subscribe: topics: 'chaged' (did you mean changed?) is none of changed, journal"),
    ],
)  # fmt: skip
def test_parameters_that_do_not_fit_are_refused(method: str, params: Any, says: str) -> None:
    """With -32602 and the name of method and parameter."""
    with pytest.raises(RequestRefusedError) as caught:
        _params(method, params)
    assert (caught.value.code, str(caught.value)) == (ErrorCode.UNFIT_PARAMS, says)


@pytest.mark.parametrize(
    ("method", "says"),
    [
        ("stats", "there is no method 'stats' (did you mean status?)"),
        ("Hold", "there is no method 'Hold' (did you mean hold?)"),
        ("rpc.discover", "there is no method 'rpc.discover'"),  # the standard keeps rpc.*
        ("", "there is no method ''"),
    ],
)
def test_a_method_that_is_not_there_is_refused(method: str, says: str) -> None:
    """With the one that was likely meant."""
    with pytest.raises(RequestRefusedError) as caught:
        _params(method, {})
    assert (caught.value.code, str(caught.value)) == (ErrorCode.NO_SUCH_METHOD, says)


_FINDING = Finding("error", "loads.pump.line", "170 is no line", "use one from 0 to 53", 9)


@pytest.mark.parametrize(
    ("error", "code", "data"),
    [
        (BadRequestError("no load x"), -32000, None),
        (PlanRefusedError("p.toml", [_FINDING]), -32001, {"findings": [_FINDING.as_json()]}),
        (LimitBrokenError("dry", [_FINDING]), -32001, {"findings": [_FINDING.as_json()]}),
        (BusyError("later"), -32002, None),
        (PlanConflictError("changed"), -32005, None),
        (UnusableFileError("disk full"), -32006, None),
        (RequestRefusedError(-32099, "as it is", [1]), -32099, [1]),
    ],
)
def test_errors_of_the_daemon_have_numbers(error: Any, code: int, data: object) -> None:
    """A client can tell them apart without reading the words, which it gets as they are."""
    refusal = refusal_of(error)
    assert (refusal.code, str(refusal), refusal.data) == (code, str(error), data)
