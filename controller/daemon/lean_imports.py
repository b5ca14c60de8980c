"""Imports of the standard library without what the controller has no use for: OpenSSL.

`asyncio` imports `ssl` wherever it is, for connections that a controller never makes: it
speaks over a Unix socket alone. `hashlib` and `hmac` (which pydantic brings along) import
OpenSSL's hashes, and Python has its own beside them. All three do without, by their own
design, where OpenSSL is not there. It would take 6 of the 40 MB that a controller may hold.
"""

from __future__ import annotations

import importlib
import importlib.util
import sys
from typing import Final

# Who imports it, and what is kept from it.
_KEPT_OUT: Final = (("hashlib", "_hashlib"), ("hmac", "_hashlib"), ("asyncio", "ssl"))
_OWN_SHA256: Final = ("_sha256", "_sha2")  # Python 3.11's; from 3.12 on


def import_lean() -> None:
    """Imports asyncio, hashlib and hmac without OpenSSL, those that are not there already.

    Nothing is hidden afterwards: whoever imports `ssl` later has it. What was imported
    without it lacks what needs it, and says so: TLS in asyncio raises, `hashlib.scrypt` is no
    attribute. So this is for a process that is a controller and nothing else.
    """
    if not any(importlib.util.find_spec(name) for name in _OWN_SHA256):
        return  # this Python was built to have OpenSSL's alone
    for user, kept_out in _KEPT_OUT:
        if user in sys.modules or kept_out in sys.modules:
            continue
        sys.modules[kept_out] = None  # type: ignore[assignment]  # how a module is kept out
        try:
            importlib.import_module(user)
        finally:
            del sys.modules[kept_out]
