"""What the service manager is told, and what it expects.

The protocol of sd_notify(3) and sd_watchdog_enabled(3): datagrams of `NAME=value` lines to
the socket that the manager names in the environment. Where no manager started the process,
everything here does nothing. Nothing here raises for a broken socket, and nothing waits: a
datagram that the manager does not take at once is dropped, and the function says so.
"""

from __future__ import annotations

import os
import socket
from typing import Final

# The manager drops a datagram of more than a page (NOTIFY_BUFFER_MAX in its sources).
_TEXT_BYTES_MAX: Final = 1_000


def ready(text: str) -> bool:
    """Says that the start is over, with a line for people; whether it was taken."""
    return _tell(f"READY=1\n{_status(text)}")


def status(text: str) -> bool:
    """Says in a line for people how things are; whether it was taken."""
    return _tell(_status(text))


def watchdog_fed() -> bool:
    """Says that the process lives. The manager ends one that is silent for too long."""
    return _tell("WATCHDOG=1")


def stopping() -> bool:
    """Says that the end has begun."""
    return _tell("STOPPING=1")


def watchdog_interval_ms() -> int | None:
    """The longest silence in ms before the manager ends this process; None: it never does.

    Feed at half of it. A process that only inherited the environment of the supervised one
    is not meant.
    """
    microseconds = _number("WATCHDOG_USEC")
    if microseconds is None or microseconds < 1_000:
        return None
    if "WATCHDOG_PID" in os.environ and _number("WATCHDOG_PID") != os.getpid():
        return None
    return microseconds // 1_000


def _number(name: str) -> int | None:
    text = os.environ.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 20 else None


def _status(text: str) -> str:
    """The text as one line, so that nothing in it can pass for a line of the protocol."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return "STATUS=" + line.encode()[:_TEXT_BYTES_MAX].decode(errors="ignore")


def _tell(message: str) -> bool:
    address = os.environ.get("NOTIFY_SOCKET", "")
    if not address.startswith(("/", "@")):  # unset, or of a kind that no board has (vsock)
        return False
    if address.startswith("@"):  # abstract: not in the file system
        address = "\0" + address[1:]
    kind = socket.SOCK_DGRAM | socket.SOCK_CLOEXEC | socket.SOCK_NONBLOCK
    try:
        with socket.socket(socket.AF_UNIX, kind) as out:
            return out.sendto(message.encode(), address) > 0
    except (OSError, ValueError):  # nobody there, a full queue, an impossible path
        return False
