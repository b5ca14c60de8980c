"""Carries requests out, each in a task of its own, within bounds of number, time and size."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Any, Protocol

from controller import __version__
from controller.core.errors import BusyError, RequestRefusedError, RootclockError
from controller.core.messages.codes import ErrorCode, refusal_of
from controller.core.messages.json_text import json_bytes
from controller.core.messages.methods import (
    METHODS,
    HelloParams,
    Params,
    SubscribeParams,
    params_of,
)
from controller.core.messages.rpc import (
    Call,
    JsonText,
    Refusal,
    read_call,
    refusal_line,
    result_line,
)
from controller.core.status.record import PROTOCOL
from controller.shell.control_socket.mistakes import report

if TYPE_CHECKING:
    from collections.abc import Coroutine

    from controller.shell.control_socket.connection import Caller, Connection
    from controller.shell.control_socket.limits import Limits
    from controller.shell.control_socket.subscribers import Subscribers


class Answer(Protocol):
    """What carries a request out.

    It may raise any `RootclockError`; the client is told. It is cancelled when it takes
    longer than `Limits.answer_s` or the daemon ends, and not when its client goes away.
    """

    async def __call__(self, method: str, params: Params, caller: Caller) -> object:
        """The result: any JSON value, or a `JsonText` where encoding it here would take long."""


class RequestsInHand:
    """Those that have no answer yet.

    Args:
        answer: carries out every method but `hello` and `subscribe`.
        limits: what bounds them.
        subscribers: who is to be told what happens.
    """

    def __init__(self, answer: Answer, limits: Limits, subscribers: Subscribers) -> None:
        self._answer = answer
        self._limits = limits
        self._subscribers = subscribers
        self._tasks: dict[asyncio.Task[object], int] = {}  # and whose, by user

    def end(self) -> set[asyncio.Task[object]]:
        """Gives them all up; returns what is still at work on them, cancelled."""
        for task in self._tasks:
            task.cancel()
        return {*self._tasks}

    def take(self, client: Connection, line: bytes) -> None:
        """Begins to carry out the request in a line; one that needs no work or is refused has its
        answer at once."""
        call = read_call(line)
        if isinstance(call, Refusal):
            client.send(refusal_line(call))
            return
        try:
            params = params_of(call)
            if isinstance(params, HelloParams):
                result = _hello(params)
            else:
                self._begin(client, call, params)
                return
        except RootclockError as error:
            _send_outcome(client, call, Refusal(call.id, refusal_of(error)))
        else:
            _send_outcome(client, call, result)

    def _begin(self, client: Connection, call: Call, params: Params) -> None:
        uid, whose = client.caller.uid, [*self._tasks.values()]
        share = self._limits.requests_in_hand_of_one_user_max
        if len(whose) >= self._limits.requests_in_hand_max or whose.count(uid) >= share:
            raise BusyError(f"{len(whose)} requests are in hand already: ask again in a moment")
        work = self._work(client, call, params)
        task = asyncio.get_running_loop().create_task(work)
        self._tasks[task] = uid
        client.in_hand += 1

        def done(task: asyncio.Task[object]) -> None:
            del self._tasks[task]
            try:
                outcome = _outcome(call, task)
                _send_outcome(client, call, outcome)
                if isinstance(params, SubscribeParams):
                    client.begin_to_listen(is_refused=isinstance(outcome, Refusal))
            finally:  # a client must not wait for ever for our mistake
                client.finish_one()

        task.add_done_callback(done)

    def _work(self, client: Connection, call: Call, params: Params) -> Coroutine[Any, Any, object]:
        if isinstance(params, SubscribeParams):
            return self._subscribers.add(client, params)
        return self._in_time(call.method, params, client.caller)

    async def _in_time(self, method: str, params: Params, caller: Caller) -> JsonText:
        limit = asyncio.timeout(self._limits.answer_s)
        try:
            async with limit:
                result = await self._answer(method, params, caller)
        except TimeoutError:
            if not limit.expired():
                raise
            raise RequestRefusedError(
                ErrorCode.TOO_SLOW, f"{method} took longer than {self._limits.answer_s:g} s"
            ) from None
        text = result if isinstance(result, JsonText) else JsonText(json_bytes(result))
        if len(text) > self._limits.answer_bytes_max:
            size = f"{self._limits.answer_bytes_max // 1024} KiB"
            raise RequestRefusedError(
                ErrorCode.TOO_BIG, f"the answer would be longer than {size}: ask for less"
            )
        return text


def _outcome(call: Call, task: asyncio.Task[object]) -> object:
    """A task's result, or the refusal that stands for its error."""
    if task.cancelled():
        error = RequestRefusedError(ErrorCode.CLOSING, "the controller ends")
        return Refusal(call.id, error)
    mistake = task.exception()
    if mistake is None:
        return task.result()
    if isinstance(mistake, RootclockError):
        return Refusal(call.id, refusal_of(mistake))
    report(f"{call.method} failed", mistake)
    text = f"{call.method} failed by a mistake in the controller; its log tells more"
    return Refusal(call.id, RequestRefusedError(ErrorCode.OUR_MISTAKE, text))


def _send_outcome(client: Connection, call: Call, outcome: object) -> None:
    if not call.wants_answer:
        return
    if isinstance(outcome, Refusal):
        client.send(refusal_line(outcome))
    else:
        client.send(result_line(call.id, outcome))


def _hello(params: HelloParams) -> dict[str, object]:
    """Who answers here. A client that speaks another protocol is refused before it errs."""
    ours: dict[str, object] = {"protocol": PROTOCOL, "version": __version__}
    if params.protocol not in (None, PROTOCOL):
        raise RequestRefusedError(
            ErrorCode.OTHER_PROTOCOL,
            f"the controller speaks protocol {PROTOCOL} (rootclock {__version__}), the client "
            f"{params.protocol}: restart the one that was not restarted since the update",
            ours,
        )
    return {**ours, "methods": list(METHODS)}
