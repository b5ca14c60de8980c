"""The passcode: kept as a scrypt hash, checked one try at a time, off the event loop.

Source: RFC 7914; of the parameters that OWASP's Password Storage Cheat Sheet lists as equal
(from memory) the ones that need least memory, 16 MiB, for a board that may have 512.
"""

from __future__ import annotations

import asyncio
import hashlib
import hmac
import json
import os
import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from controller.core.errors import BusyError, UnusablePasscodeError
from web.security.private_file import write_private

if TYPE_CHECKING:
    from pathlib import Path

LENGTH_MIN, LENGTH_MAX = 8, 200
_COST: Final = 2**14
_BLOCK: Final = 8
_LANES: Final = 5
_MEMORY_BYTES_MAX: Final = 64 * 1024 * 1024
_HASH_BYTES: Final = 32
_FILE_BYTES_MAX: Final = 4_096
_WAITING_MAX: Final = 4  # tries that wait for the one at work


@dataclass(frozen=True, slots=True)
class StoredPasscode:
    """A passcode's hash with its salt, and the secret that sessions are signed with.

    A new passcode has a new secret, so that setting one ends every session.
    """

    salt: bytes
    hashed: bytes
    secret: bytes

    def is_right(self, passcode: str) -> bool:
        """Whether that is the passcode; takes some hundred ms of a processor, and 16 MiB."""
        return hmac.compare_digest(_hashed(passcode, self.salt), self.hashed)


def stored(passcode: str) -> StoredPasscode:
    """What to keep of a new passcode.

    Raises:
        UnusablePasscodeError: it is too short or too long.
    """
    if not LENGTH_MIN <= len(passcode) <= LENGTH_MAX:
        raise UnusablePasscodeError(
            f"the passcode has {len(passcode)} characters; it has from {LENGTH_MIN} to "
            f"{LENGTH_MAX}. Four words that nobody would put together are a good one"
        )
    salt = secrets.token_bytes(16)
    return StoredPasscode(salt, _hashed(passcode, salt), secrets.token_bytes(32))


def _hashed(passcode: str, salt: bytes) -> bytes:
    return hashlib.scrypt(
        passcode.encode("utf-8", "surrogatepass"),
        salt=salt,
        n=_COST,
        r=_BLOCK,
        p=_LANES,
        maxmem=_MEMORY_BYTES_MAX,
        dklen=_HASH_BYTES,
    )


def write_passcode(path: Path, passcode: StoredPasscode) -> None:
    """Keeps it in a file that its owner alone can read, whole or not at all.

    Raises:
        UnusablePasscodeError: the file cannot be written.
    """
    kept = {
        "scheme": f"scrypt-{_COST}-{_BLOCK}-{_LANES}",
        "salt": passcode.salt.hex(),
        "hashed": passcode.hashed.hex(),
        "secret": passcode.secret.hex(),
    }
    try:
        write_private(path, kept)
    except OSError as error:
        raise UnusablePasscodeError(f"passcode file {path}: {error.strerror}") from None


def read_passcode(path: Path) -> StoredPasscode | None:
    """The passcode that was set, or None where none was.

    Raises:
        UnusablePasscodeError: the file cannot be read, is another's to read, or damaged.
    """
    anew = "set the passcode anew with `rootclock web --set-passcode`"
    try:
        with path.open("rb") as file:
            mode = os.fstat(file.fileno()).st_mode
            data = file.read(_FILE_BYTES_MAX)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise UnusablePasscodeError(f"passcode file {path}: {error.strerror}") from None
    if mode & 0o077:
        raise UnusablePasscodeError(
            f"passcode file {path}: others may read it; say chmod 600 {path}, or {anew}"
        )
    try:
        kept = json.loads(data)
        if kept["scheme"] != f"scrypt-{_COST}-{_BLOCK}-{_LANES}":
            raise UnusablePasscodeError(f"passcode file {path}: it is of another version; {anew}")
        parts = [bytes.fromhex(kept[key]) for key in ("salt", "hashed", "secret")]
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise UnusablePasscodeError(f"passcode file {path}: it is damaged; {anew}") from None
    if len(parts[1]) != _HASH_BYTES or min(map(len, parts)) < 16:
        raise UnusablePasscodeError(f"passcode file {path}: it is damaged; {anew}")
    return StoredPasscode(*parts)


class PasscodeDesk:
    """Checks one try after the other, so that many together cost no more memory than one."""

    def __init__(self, passcode: StoredPasscode) -> None:
        self._passcode = passcode
        self._one = asyncio.Lock()
        self._waiting = 0

    async def is_right(self, passcode: str) -> bool:
        """Whether that is the passcode.

        Raises:
            BusyError: too many tries wait already.
        """
        if self._waiting >= _WAITING_MAX:
            raise BusyError("others are trying passcodes: try again in a moment")
        self._waiting += 1
        try:
            async with self._one:
                return await asyncio.to_thread(self._passcode.is_right, passcode)
        finally:
            self._waiting -= 1
