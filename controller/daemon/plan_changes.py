"""Plans that come while the controller runs: taken over, or refused, and told."""

from __future__ import annotations

from contextlib import aclosing
from typing import TYPE_CHECKING

from controller.core.errors import UnwatchedError
from controller.core.journal_entry import Deed
from controller.shell.plan_store.taken import refusal_words

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from controller.daemon.loop import ControlLoop
    from controller.daemon.mistakes import Mistakes
    from controller.daemon.parts import Parts
    from controller.daemon.world import ControllerWorld
    from controller.shell.plan_store.taken import Taken


class PlanChanges:
    """Hands what the plan store takes to the loop. `note` writes to the journal, and `mistakes`
    is told what only a mistake of ours can bring about."""

    def __init__(
        self,
        path: Path,
        parts: Parts,
        *,
        loop: ControlLoop,
        world: ControllerWorld,
        note: Callable[[Deed, str], None],
        mistakes: Mistakes,
    ) -> None:
        self._path = path
        self._parts = parts
        self._loop = loop
        self._world = world
        self._note = note
        self._mistakes = mistakes

    async def watch(self) -> None:
        """Keeps the plan of the start, then takes hand edits as they come."""
        from controller.shell.plan_store.watch import hand_edits

        for remark in await self._parts.store.keep():
            self._note(Deed.PLAN_TAKEN, remark)
        try:
            async with aclosing(hand_edits(self._path)) as edits:
                async for _ in edits:
                    await self._look_at_edit()
        except UnwatchedError as error:
            self._note(Deed.PLAN_REFUSED, str(error))

    async def _look_at_edit(self) -> None:
        """Looks at the file; an edit over which we stumble is no end of watching for the next."""
        try:
            await self.look()
        except Exception as error:  # noqa: BLE001 - told; the plan in force goes on
            self._mistakes.happened("the look at the plan's file failed", error)

    async def look(self) -> None:
        """Looks at the plan's file now."""
        now, _ = self._parts.clock.read()
        self.take_over(await self._parts.store.reload(now=now))

    def take_over(self, taken: Taken, *, who: str = "") -> None:
        """Lets the plan in force be the one that was taken, from the next decision on."""
        if taken.is_new:
            self._loop.adopt(taken.prepared.schedule)
        if taken.is_news:
            what = Deed.PLAN_TAKEN if taken.refused is None else Deed.PLAN_REFUSED
            by = f" (by {who})" if who else ""
            self._note(what, ". ".join((taken.sentence + by, *taken.remarks)))
        self.take_notice(taken)

    def take_notice(self, taken: Taken) -> None:
        """Lets status, journal and alarms be those of the plan that was taken."""
        self._parts.taken = taken
        self._parts.journal.note_zone(taken.prepared.plan.site.timezone)
        refused = None if taken.refused is None else refusal_words(taken.refused)
        if refused != self._world.refused_plan:
            self._world.refused_plan = refused
            self._parts.clock.wake_up()
