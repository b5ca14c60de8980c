"""Sessions that were logged out of: they stay so when the page starts again.

Kept beside the passcode, as hashes, each until its session would have ended by itself. Of too
many, those that end first are forgotten, and with them every session that is as old.
"""

from __future__ import annotations

import hashlib
import json
import time
from typing import TYPE_CHECKING, Final

from controller.core.errors import UnusablePasscodeError
from web.security.private_file import write_private

if TYPE_CHECKING:
    from pathlib import Path

ENDED_MAX: Final = 1_000
_FILE_BYTES_MAX: Final = 1_000_000


class EndedSessions:
    """What was logged out of. `until` is when a session ends by itself, in s since 1970.

    A file that is damaged ends every session there is, which lasts for `lasts_s` at most:
    people log in again, and nobody comes back who should not.
    """

    def __init__(self, path: Path | None, *, lasts_s: int) -> None:
        self._path = path
        self._ended: dict[str, int] = {}
        self._all_until = 0
        if path is None:
            return
        try:
            with path.open("rb") as file:
                kept = json.loads(file.read(_FILE_BYTES_MAX))
            self._all_until = int(kept["all_until"])
            self._ended = {str(mark): int(until) for mark, until in kept["ended"].items()}
        except FileNotFoundError:
            return
        except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
            self._all_until = int(time.time()) + lasts_s

    def has(self, value: str, until: int) -> bool:
        """Whether that session was logged out of."""
        return until <= self._all_until or _mark(value) in self._ended

    def add(self, value: str, until: int) -> None:
        """One more, from this moment on; `keep` has it outlive the page."""
        now = time.time()
        self._ended = {mark: end for mark, end in self._ended.items() if end > now}
        self._ended[_mark(value)] = until
        while len(self._ended) > ENDED_MAX:
            oldest = min(self._ended, key=lambda mark: self._ended[mark])
            self._all_until = max(self._all_until, self._ended.pop(oldest))

    def keep(self) -> None:
        """Writes all of them down; waits for the disk.

        Raises:
            UnusablePasscodeError: the file cannot be written; until the page ends they are ended
                all the same.
        """
        if self._path is None:
            return
        try:
            write_private(self._path, {"all_until": self._all_until, "ended": self._ended})
        except OSError as error:
            raise UnusablePasscodeError(
                f"you are logged out until the page starts again, and no longer: {self._path}: "
                f"{error.strerror}. Make room for it, or set a new passcode, which ends every "
                "session"
            ) from None


def _mark(value: str) -> str:
    """What is kept of a session; nobody can make its cookie of it."""
    return hashlib.sha256(value.encode("utf-8", "surrogatepass")).hexdigest()
