"""Sessions: a signed cookie that says until when its bearer is the owner.

Sessions are not kept, so a restart of the page logs nobody out; a new passcode does. What was
logged out of is kept, see `ended_sessions`.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from enum import Enum
from typing import TYPE_CHECKING, Final

from web.security.ended_sessions import EndedSessions

if TYPE_CHECKING:
    from pathlib import Path

    from web.security.passcode import StoredPasscode

COOKIE: Final = "rootclock"
LASTS_S: Final = 30 * 24 * 3600


class Role(Enum):
    """What a visitor may do."""

    OWNER = "owner"
    GUEST = "guest"  # may look, and order nothing
    NOBODY = "nobody"


class Sessions:
    """Makes and reads the cookies of one passcode; `ended_path` keeps what was logged out of."""

    def __init__(self, passcode: StoredPasscode, ended_path: Path | None = None) -> None:
        self._secret = passcode.secret
        self._ended = EndedSessions(ended_path, lasts_s=LASTS_S)

    def begin(self) -> str:
        """A new session's cookie value."""
        told = f"{int(time.time()) + LASTS_S}.{secrets.token_hex(12)}"
        return f"{told}.{self._signature(told)}"

    def end(self, value: str) -> bool:
        """Ends a session; whether it was one, so that `keep_ended` has something to do."""
        if not self.is_one(value):
            return False
        self._ended.add(value, _until(value))
        return True

    def keep_ended(self) -> None:
        """Writes down what was logged out of; waits for the disk.

        Raises:
            UnusablePasscodeError: the disk does not take it.
        """
        self._ended.keep()

    def is_one(self, value: str) -> bool:
        """Whether a cookie's value is a session that lasts."""
        told, _, signature = value.rpartition(".")
        if not value.isascii() or not hmac.compare_digest(self._signature(told), signature):
            return False
        until = _until(value)
        return time.time() < until and not self._ended.has(value, until)

    def _signature(self, told: str) -> str:
        return hmac.new(self._secret, told.encode(), hashlib.sha256).hexdigest()


def _until(value: str) -> int:
    """When a session that is signed ends by itself, in s since 1970."""
    return int(value.partition(".")[0])
