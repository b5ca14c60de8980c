"""Sessions: a signed cookie that says until when its bearer is the owner.

Nothing is kept on the disk, so a restart of the page logs nobody out; a new passcode does.
What was logged out of is remembered until the page restarts or the session would have ended.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from collections import OrderedDict
from enum import Enum
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from web.security.passcode import StoredPasscode

COOKIE: Final = "rootclock"
LASTS_S: Final = 30 * 24 * 3600
_ENDED_MAX: Final = 1_000


class Role(Enum):
    """What a visitor may do."""

    OWNER = "owner"
    GUEST = "guest"  # may look, and order nothing
    NOBODY = "nobody"


class Sessions:
    """Makes and reads the cookies of one passcode."""

    def __init__(self, passcode: StoredPasscode) -> None:
        self._secret = passcode.secret
        self._ended: OrderedDict[str, None] = OrderedDict()

    def begin(self) -> str:
        """A new session's cookie value."""
        told = f"{int(time.time()) + LASTS_S}.{secrets.token_hex(12)}"
        return f"{told}.{self._signature(told)}"

    def end(self, value: str) -> None:
        """Ends a session, if it is one."""
        if not self.is_one(value):
            return
        self._ended[value] = None
        while len(self._ended) > _ENDED_MAX:
            self._ended.popitem(last=False)

    def is_one(self, value: str) -> bool:
        """Whether a cookie's value is a session that lasts."""
        told, _, signature = value.rpartition(".")
        until, _, _ = told.partition(".")
        if not value.isascii() or not hmac.compare_digest(self._signature(told), signature):
            return False
        return time.time() < int(until) and value not in self._ended

    def _signature(self, told: str) -> str:
        return hmac.new(self._secret, told.encode(), hashlib.sha256).hexdigest()
