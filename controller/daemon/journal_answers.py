"""What the controller answers about its journal. It is read in a thread, and the answer is made
there: a page of it takes nobody's time."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Any

from controller.core.errors import BadRequestError
from controller.core.journal_entry import Kind
from controller.core.journal_json import numbered_as_json
from controller.core.messages.json_text import json_bytes
from controller.core.messages.rpc import JsonText
from controller.core.units import DAY_MS, rfc3339, shown

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from controller.core.messages.methods import HistoryParams, LogParams, NoParams, PastParams
    from controller.core.wear import Tally
    from controller.daemon.parts import Parts
    from controller.shell.control_socket.connection import Caller
    from controller.shell.journal.read_log import Page

_LOG_ENTRIES = 200  # where the client does not say how many
HISTORY_DAYS_MAX = 9  # eight local days, of which one may have 25 hours


class JournalAnswers:
    """Carries out what clients ask about a controller's journal."""

    def __init__(self, parts: Parts) -> None:
        self._parts = parts
        self._tally: Tally | None = None
        self._counting = asyncio.Lock()
        self.methods: dict[str, Callable[[Any, Caller], Awaitable[object]]] = {
            "log": self._log,
            "history": self._history,
            "past": self._past,
            "wear": self._wear,
        }

    async def _log(self, params: LogParams, caller: Caller) -> object:
        from controller.shell.journal.read_log import Query, read_log

        del caller
        limit = params.last or _LOG_ENTRIES
        query = Query(
            since=params.since,
            until=params.until,
            subject=params.load,
            kinds=frozenset(_kind(word) for word in params.only),
            find=params.find or "",
            limit=limit + 1,  # so that it is known whether there is more
            is_newest_first=True,
            after=params.before,
        )
        path = self._parts.journal_path
        return await asyncio.to_thread(lambda: log_text(read_log(path, query), limit))

    async def _history(self, params: HistoryParams, caller: Caller) -> object:
        from controller.daemon.journal_telling import history_told

        del caller
        length_ms = params.until - params.since
        if not 0 < length_ms <= HISTORY_DAYS_MAX * DAY_MS:
            raise BadRequestError(
                f"history: from {rfc3339(params.since)} to {rfc3339(params.until)} is no time "
                f"of up to {HISTORY_DAYS_MAX} days"
            )
        taken, path = self._parts.taken, self._parts.journal_path
        return await asyncio.to_thread(
            lambda: JsonText(
                json_bytes(
                    history_told(
                        path,
                        taken.prepared.schedule.plan,
                        since=params.since,
                        until=params.until,
                        in_force_since=taken.revision.taken,
                    )
                )
            )
        )

    async def _past(self, params: PastParams, caller: Caller) -> object:
        from controller.daemon.journal_telling import past_told
        from controller.shell.journal.past import read_past

        del caller
        path = self._parts.journal_path
        past = await asyncio.to_thread(read_past, path, params.load, params.at)
        return past_told(past, params.load, params.at)

    async def _wear(self, params: NoParams, caller: Caller) -> object:
        """Counts on from the last time; the first time takes as long as the journal is."""
        from controller.core.wear import wear_of
        from controller.shell.journal.figures import read_worn

        del params, caller
        clock = self._parts.clock
        async with self._counting:
            path, known = self._parts.journal_path, self._tally
            self._tally = tally = await asyncio.to_thread(read_worn, path, known)
        plan = self._parts.taken.prepared.schedule.plan
        lives = {name: load.contact_life for name, load in plan.loads.items()}
        now, _ = clock.read()
        wear = wear_of(tally, lives, now=now if clock.is_trusted else None)
        return {"now_utc": rfc3339(now), "loads": [load.as_json() for load in wear]}


def log_text(page: Page, limit: int) -> JsonText:
    """A page of the journal as JSON; `next` is the `before` of the entries before these."""
    lines = page.lines[:limit]
    has_more = len(page.lines) > limit
    return JsonText(
        json_bytes(
            {
                "remark": page.remark,
                "entries": [numbered_as_json(line) for line in reversed(lines)],
                "next": lines[-1].number if has_more else None,
            }
        )
    )


def _kind(word: str) -> Kind:
    try:
        return Kind(word)
    except ValueError:
        kinds = ", ".join(kind.value for kind in Kind)
        raise BadRequestError(f"only: {shown(word)} is none of {kinds}") from None
