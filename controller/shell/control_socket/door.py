"""The socket's file: claimed by one daemon, never open to more than its group.

Sources: unix(7) for the path's length and the errors of connect(2); flock(2).
"""

from __future__ import annotations

import errno
import fcntl
import grp
import os
import socket
import stat
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Final

from controller.core.errors import UnusableSocketError

PATH_BYTES_MAX: Final = 107  # sun_path has 108, the last for a NUL
_BACKLOG: Final = 16
_OURS_ALONE: Final = 0o600
_OURS_AND_THE_GROUP_S: Final = 0o660


class Door:
    """A listening socket under its name.

    Args:
        path: where clients find it.
        group: name of the group that may come in; None: the daemon's own.

    Raises:
        UnusableSocketError: it cannot be there; says why, and what to do.
    """

    def __init__(self, path: Path, *, group: str | None = None) -> None:
        refuse_long_path(path)
        self.path = path
        gid = None if group is None else _group_id(group)
        with ExitStack() as undo:
            try:
                self._lock = _claim(path)
                undo.callback(os.close, self._lock)
                _clear_away_what_a_dead_daemon_left(path)
                self.listener = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
                undo.callback(self.listener.close)
                _bind(self.listener, path, gid)
                self._inode = path.stat().st_ino
            except UnusableSocketError:
                raise
            except OSError as error:
                raise _unusable(path, _why(error, path)) from None
            undo.pop_all()

    def close(self) -> None:
        """Nobody comes in any more, and the name is free; repeatable."""
        if self._lock < 0:
            return
        self.listener.close()
        with suppress(OSError):  # the folder may be gone, or the name another's by now
            if self.path.lstat().st_ino == self._inode:
                self.path.unlink()
        os.close(self._lock)
        self._lock = -1


def refuse_long_path(path: Path) -> None:
    """Lets a path pass that a socket can have.

    Raises:
        UnusableSocketError: it is too long for the kernel.
    """
    count = len(os.fsencode(path))
    if count > PATH_BYTES_MAX:
        raise _unusable(
            path,
            f"its path has {count} bytes, and a socket's has at most {PATH_BYTES_MAX}: "
            "choose a shorter one with --socket",
        )


def _unusable(path: Path, why: str) -> UnusableSocketError:
    return UnusableSocketError(f"control socket {path}: {why}")


def _why(error: OSError, path: Path) -> str:
    if error.errno == errno.ENOENT:
        return f"there is no folder {path.parent}: make it, or choose another with --socket"
    reason = error.strerror or str(error)
    return reason[0].lower() + reason[1:]


def _group_id(group: str) -> int:
    try:
        return grp.getgrnam(group).gr_gid
    except KeyError:
        raise UnusableSocketError(
            f"there is no group {group} to open the control socket to: "
            f"make it with `sudo addgroup --system {group}`"
        ) from None


def _claim(path: Path) -> int:
    """A lock that ends with its process, so that of two daemons that start together only
    one takes the name. Its file stays: to remove it would let two hold it."""
    name = path.with_name(f"{path.name}.lock")
    lock = os.open(name, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW | os.O_CLOEXEC, _OURS_ALONE)
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(lock)
        raise _running(path) from None
    except OSError:
        os.close(lock)
        raise
    return lock


def _running(path: Path) -> UnusableSocketError:
    return _unusable(
        path,
        "a daemon is running there already: stop it, or give this one another with --socket",
    )


def _clear_away_what_a_dead_daemon_left(path: Path) -> None:
    try:
        mode = path.lstat().st_mode
    except FileNotFoundError:
        return
    if not stat.S_ISSOCK(mode):
        raise _unusable(path, "something else has this name: remove it, or choose another")
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as probe:
        probe.setblocking(False)
        try:
            probe.connect(os.fspath(path))
        except (ConnectionRefusedError, FileNotFoundError):
            path.unlink(missing_ok=True)
            return
        except BlockingIOError:  # alive, and so busy that its queue is full
            raise _running(path) from None
    raise _running(path)


def _bind(listener: socket.socket, path: Path, gid: int | None) -> None:
    """Binds so that at no instant anybody else can connect."""
    mask = os.umask(0o777 & ~_OURS_ALONE)
    try:
        listener.bind(os.fspath(path))
    finally:
        os.umask(mask)
    if gid is not None:
        try:
            os.chown(path, -1, gid)
        except PermissionError:
            name = grp.getgrgid(gid).gr_name
            path.unlink()
            raise _unusable(
                path, f"the daemon is not in the group {name} that it is to be opened to"
            ) from None
    path.chmod(_OURS_AND_THE_GROUP_S)
    listener.setblocking(False)
    listener.listen(_BACKLOG)
