"""All that the routes work with: the road to the controller, the desk, the visitors."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import RootclockError
from web.controller_link import ControllerLink
from web.fan_out import FanOut
from web.paper.desk import PaperDesk
from web.security.passcode import PasscodeDesk
from web.security.sessions import Role, Sessions
from web.security.tries import Tries

if TYPE_CHECKING:
    from web.settings import Settings


class Page:
    """All that the routes work with."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.fan_out = FanOut(settings.limits)
        self.link = ControllerLink(settings.socket_path, self.fan_out, settings.limits)
        self.paper = PaperDesk()
        passcode = settings.passcode
        self.sessions = None if passcode is None else Sessions(passcode, settings.ended_path)
        self.desk_of_passcodes = None if passcode is None else PasscodeDesk(passcode)
        self.tries = Tries()
        self._running: tuple[int, str] | None = None

    def role_of(self, session: str) -> Role:
        """What whoever brings that session may do; "" is none. Without a passcode, everybody is
        the owner."""
        if self.sessions is None or (session and self.sessions.is_one(session)):
            return Role.OWNER
        return Role.GUEST if self.settings.guests_may_read else Role.NOBODY

    async def running_text(self) -> str | None:
        """The plan in force, asked for once a revision; None where nobody can tell."""
        status = self.link.picture.status
        revision = None if status is None else status["plan"]["revision"]
        if self._running is None or self._running[0] != revision:
            try:
                read = await self.link.call("plan.read")
            except RootclockError:
                return None if self._running is None else self._running[1]
            self._running = (read["revision"], read["text"])
        return self._running[1]
