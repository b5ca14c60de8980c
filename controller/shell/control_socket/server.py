"""The daemon's side of the control socket.

It runs in the loop that switches relays, so each turn of that loop takes one request at the
most, whoever sends how many: what a flood of clients costs a switching is one request's work.
"""

from __future__ import annotations

import asyncio
import os
from collections import deque
from typing import TYPE_CHECKING, Any, Protocol

from controller import __version__
from controller.core.errors import (
    BusyError,
    RequestRefusedError,
    RootclockError,
    UnusableSocketError,
)
from controller.core.messages.codes import ErrorCode, refusal_of
from controller.core.messages.json_text import json_bytes
from controller.core.messages.methods import (
    METHODS,
    HelloParams,
    NoParams,
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
    told_line,
)
from controller.core.status.record import PROTOCOL
from controller.shell.control_socket.connection import Caller, Connection
from controller.shell.control_socket.door import Door
from controller.shell.control_socket.entrance import Entrance
from controller.shell.control_socket.limits import Limits, TokenBucket
from controller.shell.control_socket.subscription import Subscription

if TYPE_CHECKING:
    from collections.abc import Coroutine, Mapping, Sequence
    from pathlib import Path


class Answer(Protocol):
    """What carries a request out.

    It may raise any `RootclockError`; the client is told. It is cancelled when it takes
    longer than `Limits.answer_s` or the daemon ends, and not when its client goes away.
    """

    async def __call__(self, method: str, params: Params, caller: Caller) -> object:
        """The result: any JSON value, or a `JsonText` where encoding it here would take long."""


class ControlSocket:
    """Takes requests from clients, and tells subscribers what happens.

    Args:
        path: where clients find it.
        answer: carries out every method but `hello` and `subscribe`.
        group: name of the group whose members may connect; None: the daemon's own.
        limits: what bounds the clients.
    """

    def __init__(
        self, path: Path, answer: Answer, *, group: str | None = None, limits: Limits | None = None
    ) -> None:
        self._path = path
        self._answer = answer
        self._group = group
        self._limits = Limits() if limits is None else limits
        self._ourselves = Caller(os.getuid(), os.getgid(), os.getpid())
        self._clients: dict[Connection, None] = {}
        self._queue: deque[Connection] = deque()
        self._in_hand: dict[asyncio.Task[object], int] = {}  # and whose, by user
        self._entrance: Entrance | None = None
        self._bucket: TokenBucket | None = None
        self._telling: asyncio.Task[None] | None = None
        self._has_changed = False
        self._is_closing = False

    @property
    def client_count(self) -> int:
        """How many clients are connected."""
        return len(self._clients)

    def open(self) -> None:
        """Lets clients in from now on; the event loop must be running.

        Raises:
            UnusableSocketError: the socket cannot be there; says why, and what to do.
        """
        door = Door(self._path, group=self._group)
        now_s = asyncio.get_running_loop().time()
        self._bucket = TokenBucket(self._limits.requests, now_s=now_s)
        try:
            self._entrance = Entrance(
                door,
                self._limits,
                clients=self._clients,
                admit=self._admit,
                uid=self._ourselves.uid,
            )
        except OSError as error:
            door.close()
            raise UnusableSocketError(f"control socket {self._path}: {error.strerror}") from None

    async def close(self, *, within_s: float = 1.0) -> None:
        """Tells every client that it is over and lets go of them in that time; repeatable."""
        self._is_closing = True
        if self._entrance is not None:
            self._entrance.close()
        at_work: set[asyncio.Task[Any]] = {*self._in_hand}
        if self._telling is not None:
            at_work.add(self._telling)
        for task in at_work:
            task.cancel()
        if at_work:
            await asyncio.wait(at_work, timeout=within_s / 2)
        farewell = told_line("closing", {"reason": "the controller ends"})
        for client in [*self._clients]:
            client.end(farewell)
        await self._all_gone(within_s / 2)
        for client in [*self._clients]:
            client.cut_off()
        await self._all_gone(within_s / 2)

    async def _all_gone(self, within_s: float) -> None:
        going = [client.lost for client in self._clients]
        if going:
            await asyncio.wait(going, timeout=within_s)

    # What subscribers are told

    def changed(self) -> None:
        """The status has changed: subscribers are told soon; costs nothing without any."""
        if self._is_closing or not self._listeners("changed"):
            return
        self._has_changed = True
        if self._telling is None:
            self._telling = asyncio.get_running_loop().create_task(self._tell_changes())
            self._telling.add_done_callback(self._told)

    def tell_journal(self, entries: Sequence[Mapping[str, object]]) -> None:
        """Hands new journal entries to the subscribers."""
        listeners = self._listeners("journal")
        if not listeners:
            return
        texts = [JsonText(json_bytes(entry)) for entry in entries]
        for client, subscription in listeners:
            subscription.take_entries(texts)
            client.flush()

    def _listeners(self, topic: str) -> list[tuple[Connection, Subscription]]:
        return [
            (client, client.subscription)
            for client in self._clients
            if client.subscription is not None and topic in client.subscription.topics
        ]

    async def _tell_changes(self) -> None:
        while self._has_changed:
            self._has_changed = False
            status = JsonText(json_bytes(await self._status()))
            for client, subscription in self._listeners("changed"):
                subscription.take_status(status)
                client.flush()

    def _told(self, task: asyncio.Task[None]) -> None:
        self._telling = None
        if not task.cancelled() and task.exception() is not None:
            self._report("no status for subscribers of the control socket", task.exception())
        if self._has_changed:  # between its last look and its end
            self.changed()

    async def _status(self) -> object:
        return await self._answer("status", NoParams(), self._ourselves)

    # Clients come and go

    def _admit(self, caller: Caller) -> Connection:
        client = Connection(self, caller, self._limits)
        self._clients[client] = None
        return client

    def forget(self, client: Connection) -> None:
        """The client is gone; what it asked for is carried out all the same."""
        self._clients.pop(client, None)

    def weigh(self) -> None:
        """Cuts off who holds the most memory, while all together hold too much."""
        limits = self._limits
        if sum(client.received_bytes for client in self._clients) > limits.received_bytes_max:
            heaviest = max(self._clients, key=lambda client: client.received_bytes)
            heaviest.end(refusal_line(Refusal(None, _busy("too much is being sent at once"))))
        if sum(client.unread_bytes for client in self._clients) > limits.unread_bytes_max:
            max(self._clients, key=lambda client: client.unread_bytes).cut_off()

    # Requests, one a turn of the loop

    def consider(self, client: Connection) -> None:
        """Lines the client up if its next request may be taken now."""
        if client.is_queued or not client.has_line or client.is_closing or self._is_closing:
            return
        if client.is_writing_paused:
            return  # considered again when it has read
        if client.in_hand >= self._limits.requests_in_hand_of_one_client_max:
            return  # considered again when it has an answer
        loop = asyncio.get_running_loop()
        wait_s = client.bucket.wait_s(loop.time())
        if wait_s > 0:
            client.call_back_in(wait_s)
            return
        client.is_queued = True
        self._queue.append(client)
        if len(self._queue) == 1:
            self._take_one_soon(loop)

    def _take_one_soon(self, loop: asyncio.AbstractEventLoop) -> None:
        assert self._bucket is not None, "clients come in after open"
        wait_s = self._bucket.wait_s(loop.time())
        if wait_s > 0:
            loop.call_later(wait_s, self._take_one)
        else:
            loop.call_soon(self._take_one)

    def _take_one(self) -> None:
        """One request of the client whose turn it is; the others' follow in other turns."""
        if self._is_closing or self._bucket is None:
            return
        loop = asyncio.get_running_loop()
        client = self._queue.popleft()
        client.is_queued = False
        if not client.is_closing:
            self._bucket.take(loop.time())
            client.bucket.take(loop.time())
        if self._queue:
            self._take_one_soon(loop)
        if not client.is_closing:
            self._take(client, client.take_line())
            client.go_on()

    def _take(self, client: Connection, line: bytes) -> None:
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
            _answer(client, call, Refusal(call.id, refusal_of(error)))
        else:
            _answer(client, call, result)

    def _begin(self, client: Connection, call: Call, params: Params) -> None:
        uid, whose = client.caller.uid, [*self._in_hand.values()]
        share = self._limits.requests_in_hand_of_one_user_max
        if len(whose) >= self._limits.requests_in_hand_max or whose.count(uid) >= share:
            raise BusyError(f"{len(whose)} requests are in hand already: ask again in a moment")
        work = self._work(client, call, params)
        task = asyncio.get_running_loop().create_task(work)
        self._in_hand[task] = uid
        client.in_hand += 1

        def done(task: asyncio.Task[object]) -> None:
            del self._in_hand[task]
            try:
                outcome = self._outcome(call, task)
                _answer(client, call, outcome)
                if isinstance(params, SubscribeParams):
                    client.begin_to_listen(is_refused=isinstance(outcome, Refusal))
            finally:  # a client must not wait for ever for our mistake
                client.finish_one()

        task.add_done_callback(done)

    def _work(self, client: Connection, call: Call, params: Params) -> Coroutine[Any, Any, object]:
        if isinstance(params, SubscribeParams):
            return self._subscribe(client, params)
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

    async def _subscribe(self, client: Connection, params: SubscribeParams) -> JsonText:
        """What the client is told from now on begins with the status as it is now."""
        client.subscription = Subscription(
            params.topics, entries_max=self._limits.entries_waiting_max, send=client.send
        )
        wants_status = "changed" in params.topics
        status = await self._status() if wants_status else None
        return JsonText(json_bytes({"topics": list(params.topics), "status": status}))

    def _outcome(self, call: Call, task: asyncio.Task[object]) -> object:
        """A task's result, or the refusal that stands for its error."""
        if task.cancelled():
            error = RequestRefusedError(ErrorCode.CLOSING, "the controller ends")
            return Refusal(call.id, error)
        mistake = task.exception()
        if mistake is None:
            return task.result()
        if isinstance(mistake, RootclockError):
            return Refusal(call.id, refusal_of(mistake))
        self._report(f"{call.method} failed", mistake)
        text = f"{call.method} failed by a mistake in the controller; its log tells more"
        return Refusal(call.id, RequestRefusedError(ErrorCode.OUR_MISTAKE, text))

    @staticmethod
    def _report(what: str, mistake: BaseException | None) -> None:
        """Tells the loop's handler of a mistake: no request that goes wrong is a reason to end
        the process that waters."""
        told = {"message": what, "exception": mistake}
        asyncio.get_running_loop().call_exception_handler(told)


def _answer(client: Connection, call: Call, outcome: object) -> None:
    if not call.wants_answer:
        return
    if isinstance(outcome, Refusal):
        client.send(refusal_line(outcome))
    else:
        client.send(result_line(call.id, outcome))


def _busy(why: str) -> RequestRefusedError:
    return RequestRefusedError(ErrorCode.BUSY, why)


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
