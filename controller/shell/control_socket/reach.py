"""Why no daemon answers, in words that say what to do."""

from __future__ import annotations

import errno
import grp
import os
import pwd
import socket
import stat
import struct
from typing import TYPE_CHECKING

from controller.core.errors import NoDaemonError, RequestRefusedError
from controller.core.messages.rpc import (
    ANSWER_BYTES_MAX,
    MESSAGE_BYTES_MAX,
    Refusal,
    Result,
    Told,
    call_line,
    read_answer,
    too_big,
)
from controller.shell.control_socket.door import refuse_long_path

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path
    from typing import Any

GROUP = "rootclock"  # whose members may talk to a daemon that the installer set up
ANSWER_LINE_BYTES_MAX = ANSWER_BYTES_MAX + 64 * 1024  # the answer, and what it is wrapped in


def connected_socket(path: Path, *, within_s: float) -> socket.socket:
    """A connection to whoever listens there; blocks.

    Raises:
        NoDaemonError: nobody does, or nobody whom we may ask.
        UnusableSocketError: no socket can have that path.
    """
    refuse_long_path(path)
    made = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    # With a timeout of Python's own, a connect fails at once where others wait at the door
    # (unix(7): EAGAIN); with the kernel's it waits for its turn (socket(7)).
    seconds, rest = divmod(within_s, 1)
    timeout = struct.pack("@ll", int(seconds), int(rest * 1e6))
    made.setsockopt(socket.SOL_SOCKET, socket.SO_SNDTIMEO, timeout)
    try:
        made.connect(os.fspath(path))
    except OSError as error:
        made.close()
        raise no_daemon(path, error) from None
    return made


def no_daemon(path: Path, error: OSError) -> NoDaemonError:
    """What to tell a person whose connection to the socket failed."""
    if isinstance(error, TimeoutError):
        return silent(path)
    if error.errno in (errno.EACCES, errno.EPERM):
        return NoDaemonError(f"you may not use the control socket {path}: {_who_may(path)}")
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return NoDaemonError(
            f"no daemon is running: there is no control socket {path}. "
            "Start one with `rootclock start`, or the service with "
            "`sudo systemctl start rootclock`; if it has another socket, name it with --socket"
        )
    if error.errno == errno.ECONNREFUSED:
        return NoDaemonError(
            f"no daemon answers at {path}: the one that was there is gone. "
            "See why with `journalctl -u rootclock`, and start it with "
            "`sudo systemctl start rootclock` or `rootclock start`"
        )
    if error.errno in (errno.ECONNRESET, errno.EPIPE, errno.ESHUTDOWN):
        return gone(path)
    if error.errno == errno.EAGAIN:
        return NoDaemonError(f"too many are asking the daemon at {path}: try again in a moment")
    reason = error.strerror or str(error)
    return NoDaemonError(f"control socket {path}: {reason[0].lower()}{reason[1:]}")


def silent(path: Path) -> NoDaemonError:
    """What to tell when the daemon does not answer in time."""
    return NoDaemonError(
        f"the daemon at {path} does not answer in time; loads may be switched all the same. "
        "See `systemctl status rootclock`"
    )


def gone(path: Path) -> NoDaemonError:
    """What to tell when the daemon lets go before it has answered."""
    return NoDaemonError(f"the daemon at {path} has ended the connection; it may be restarting")


def _who_may(path: Path) -> str:
    try:
        user = pwd.getpwuid(os.getuid()).pw_name
    except KeyError:
        user = str(os.getuid())
    try:
        is_for_a_group = bool(stat.S_IMODE(path.parent.stat().st_mode) & 0o011)
    except OSError:  # not even its folder can be seen
        is_for_a_group = False
    if not is_for_a_group:
        return f"it belongs to another user (you are {user})"
    if user in _members():
        return f"you are in the group {GROUP}, but not since you logged in: log in again"
    return f"you are not in the group {GROUP}. Run `sudo adduser {user} {GROUP}`, then log in again"


def _members() -> list[str]:
    try:
        return grp.getgrnam(GROUP).gr_mem
    except KeyError:
        return []


def no_rootclock(path: Path) -> NoDaemonError:
    """What to tell when something else answers."""
    return NoDaemonError(f"what answers at {path} is no rootclock daemon")


def read_line(path: Path, line: bytes) -> Result | Refusal | Told:
    """What the daemon says on a line.

    Raises:
        NoDaemonError: it is no daemon of ours, or it ends the connection, or does not want it.
    """
    try:
        said = read_answer(line)
    except RequestRefusedError:
        raise no_rootclock(path) from None
    if isinstance(said, Told) and said.method == "closing":
        reason = said.params.get("reason", "no reason given")
        raise NoDaemonError(f"the daemon at {path} has ended the connection: {reason}")
    if isinstance(said, Refusal) and said.id is None:
        raise NoDaemonError(f"the daemon at {path} refuses: {said.error}")
    return said


def checked_call_line(number: int, method: str, params: Mapping[str, Any] | None) -> bytes:
    """A request as a line; parameters that are None are left out.

    Raises:
        RequestRefusedError: it is too long to be sent.
    """
    given = {key: value for key, value in (params or {}).items() if value is not None}
    line = call_line(number, method, given)
    if len(line) > MESSAGE_BYTES_MAX:
        raise too_big()
    return line
