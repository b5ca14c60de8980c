"""The only road from the page to the controller: one connection, whatever the number of
browsers.

While the controller is away, the last status stays, with its age, and the connection is tried
again: at once when somebody asks, else after waits that grow to `_WAIT_S_MAX`.
"""

from __future__ import annotations

import asyncio
import time
from contextlib import asynccontextmanager, suppress
from typing import TYPE_CHECKING, Any

from controller.core.errors import BadStatusError, BusyError, NoDaemonError, RootclockError
from controller.core.messages.methods import TOPICS
from controller.core.status.json_form import status_from_json
from controller.shell.control_socket.async_client import AsyncClient
from web.picture import Picture, StatusText

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Mapping
    from pathlib import Path

    from controller.core.messages.rpc import Told
    from web.fan_out import FanOut
    from web.settings import Limits

ANSWER_S = 10.0
# Examining a plan on a small board; the controller gives up a little earlier, and says so.
EXAMINATION_S = 150.0
_CONNECT_S = 2.0
_STATUS_S = 5.0  # it is told at once by whoever is not hanging
_WAIT_S_MIN, _WAIT_S_MAX = 0.1, 2.0
_FRESH_S = 0.5  # a status so young is told again
_REFRESH_S = 15.0  # readings change without a switching, and are told so often
_NEVER = "the page has only begun to look for the controller"
# Parts of a status that controllers of earlier releases do not tell: views do without them.
_TOLD_LATER = {"sun": {"sunrise_utc": None, "sunset_utc": None}}


class ControllerLink:
    """A connection that is made again whenever it breaks.

    Args:
        path: of the control socket.
        fan_out: is told what the controller tells.
        limits: how many calls at once.
    """

    def __init__(self, path: Path, fan_out: FanOut, limits: Limits) -> None:
        self._path = path
        self._fan_out = fan_out
        self._client: AsyncClient | None = None
        self._reason: str | None = _NEVER
        self._kept: StatusText | None = None
        self._status_at_s = 0.0
        self._was_tried = asyncio.Event()  # since somebody last wanted a connection
        self._is_wanted = asyncio.Event()
        self._calls = asyncio.Semaphore(limits.calls_at_once_max)
        self._waiting = 0
        self._waiting_max = limits.calls_waiting_max
        self._plan_calls = asyncio.Lock()  # the controller takes one plan after the other
        self._asking: asyncio.Task[None] | None = None
        self._keeping: asyncio.Task[None] | None = None
        self._refreshing: asyncio.Task[None] | None = None

    def open(self) -> None:
        """Looks for the controller from now on."""
        loop = asyncio.get_running_loop()
        self._keeping = loop.create_task(self._keep())
        self._refreshing = loop.create_task(self._refresh())

    async def close(self) -> None:
        """Lets go of the controller."""
        tasks = [task for task in (self._refreshing, self._asking, self._keeping) if task]
        for task in tasks:
            task.cancel()
        if tasks:
            await asyncio.wait(tasks)

    @property
    def picture(self) -> Picture:
        """What is known now, without asking."""
        age_s = None if self._kept is None else time.monotonic() - self._status_at_s
        return Picture(self._kept, age_s, self._reason)

    async def fresh_picture(self) -> Picture:
        """What is known after asking, unless it was asked just now; at the page's start, once the
        controller has been looked for."""
        if self._reason is _NEVER:
            with suppress(TimeoutError):
                async with asyncio.timeout(_CONNECT_S):
                    await self._was_tried.wait()
        picture = self.picture
        if picture.reason is None and (picture.age_s is None or picture.age_s > _FRESH_S):
            await self._asked()
        return self.picture

    async def _asked(self) -> None:
        """Asks for the status; whoever comes meanwhile waits for the same answer."""
        if self._asking is None or self._asking.done():
            self._asking = asyncio.get_running_loop().create_task(self._ask())
        await asyncio.shield(self._asking)

    async def _ask(self) -> None:
        asked = self._client
        with suppress(RootclockError):  # the picture tells of its age, and the link why
            try:
                self._keep_status(await self.call("status", within_s=_STATUS_S))
            except NoDaemonError as error:
                await self._let_go(asked, error)
                raise

    async def _let_go(self, asked: AsyncClient | None, why: NoDaemonError) -> None:
        """Ends a connection on which nobody answers: a controller that hangs keeps it open, and
        what is shown would pass for how it is now."""
        if asked is not None and asked is self._client:
            self._reason = str(why)
            await asked.close()

    async def call(
        self,
        method: str,
        params: Mapping[str, Any] | None = None,
        *,
        within_s: float = ANSWER_S,
    ) -> Any:
        """The controller's answer.

        Raises:
            NoDaemonError: there is no controller to answer.
            RequestRefusedError: it says why not.
            BusyError: too many wait for it already.
        """
        async with self._turn():
            client = await self._connected()
            return await client.call(method, params, within_s=within_s)

    async def call_about_plan(self, method: str, params: Mapping[str, Any]) -> Any:
        """As `call`, for what has a plan examined, which takes long and is done one by one.

        Raises:
            NoDaemonError, RequestRefusedError: as `call`.
            BusyError: another plan is being examined.
        """
        if self._plan_calls.locked():
            raise BusyError("another plan is being examined: try again when it is done")
        async with self._plan_calls:
            client = await self._connected()
            return await client.call(method, params, within_s=EXAMINATION_S)

    @asynccontextmanager
    async def _turn(self) -> AsyncIterator[None]:
        if self._waiting >= self._waiting_max:
            raise BusyError("too many are asking at once: try again in a moment")
        self._waiting += 1
        try:
            async with self._calls:
                yield
        finally:
            self._waiting -= 1

    async def _connected(self) -> AsyncClient:
        """The connection; where there is none, one more try is made before giving up."""
        if self._client is None:
            self._was_tried.clear()
            self._is_wanted.set()
            with suppress(TimeoutError):
                async with asyncio.timeout(_CONNECT_S):
                    await self._was_tried.wait()
        if self._client is None:
            raise NoDaemonError(self._reason or _NEVER)
        return self._client

    # The connection's life

    async def _keep(self) -> None:
        wait_s = _WAIT_S_MIN
        while True:
            try:
                await self._live_once()
            except RootclockError as error:
                self._reason = str(error)
            else:  # it was there, and may only be restarting
                wait_s = _WAIT_S_MIN
            self._fan_out.tell_picture(self.picture)
            self._was_tried.set()
            self._is_wanted.clear()
            with suppress(TimeoutError):
                async with asyncio.timeout(wait_s):
                    await self._is_wanted.wait()
            wait_s = min(_WAIT_S_MAX, wait_s * 2)

    async def _live_once(self) -> None:
        """One connection from its start to its end.

        Raises:
            RootclockError: there is none, or it tells what cannot be read.
        """
        client = await AsyncClient.connect(self._path, answer_s=_CONNECT_S)
        try:
            answer, news = await client.subscribe(TOPICS)
            self._client, self._reason = client, None
            self._was_tried.set()
            self._take(answer["status"])
            async for one in news:
                self._hear(one)
        except NoDaemonError as error:
            self._reason = self._reason or str(error)
        except RootclockError as error:
            self._reason = str(error)
            raise
        finally:
            self._client = None
            self._reason = self._reason or "the page ends"
            await client.close()

    def _hear(self, told: Told) -> None:
        if told.method == "changed":
            self._take(told.params.get("status"))
        elif told.method == "journal":
            self._fan_out.tell_journal(told.params.get("entries", []), told.params.get("lost", 0))

    def _take(self, status: Any) -> None:
        self._keep_status(status)
        self._fan_out.tell_picture(self.picture)

    def _keep_status(self, status: Any) -> None:
        """Keeps a status.

        Raises:
            BadStatusError: it is none that this version can read.
        """
        try:
            status_from_json({**_TOLD_LATER, **status} if isinstance(status, dict) else status)
        except BadStatusError as error:
            raise BadStatusError(
                f"the controller tells what this page cannot read ({error}). If rootclock was "
                "updated since it started, restart it with `sudo systemctl restart rootclock`"
            ) from None
        self._kept, self._status_at_s = StatusText(status), time.monotonic()

    async def _refresh(self) -> None:
        """Asks anew where somebody watches and nothing was told for a while."""
        while True:
            await self._fan_out.somebody_watches()
            age_s = self.picture.age_s
            left_s = _REFRESH_S if age_s is None else max(0.0, _REFRESH_S - age_s)
            await asyncio.sleep(left_s or _REFRESH_S)
            if self._client is not None and (self.picture.age_s or 0.0) >= _REFRESH_S:
                await self._asked()
            self._fan_out.tell_picture(self.picture)  # where nobody answers, its age goes on
