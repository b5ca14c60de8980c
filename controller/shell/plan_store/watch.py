"""Notices that somebody may have edited the plan file, by what the kernel tells (inotify)."""

from __future__ import annotations

import asyncio
import os
from contextlib import suppress
from pathlib import Path
from stat import S_ISDIR, S_ISLNK
from typing import TYPE_CHECKING

from controller.core.errors import UnwatchedError
from controller.shell.files import reason_of
from controller.shell.plan_file import LOOK_AGAIN

if TYPE_CHECKING:
    from collections.abc import AsyncGenerator

    from asyncinotify import Event, Inotify

# Editors write in pieces, rename, and try out whether they may write. The file is looked at
# when it has been left alone for the first; at the latest after the second.
SETTLE_S = 0.3
SETTLE_S_MAX = 3.0

_LINKS_MAX = 40  # as many as the kernel follows
_RENEWALS_MAX = 5  # folders that come and go faster than this are told at the next event


async def hand_edits(path: Path) -> AsyncGenerator[None, None]:
    """Yields once as soon as it watches, and then each time that the file may have changed.

    Only whoever looks at the file knows whether it has: the controller's own writes are told
    too. Folders are watched and not the file, so that a file that is replaced, removed or made
    anew is noticed: the file's, and each through which a symbolic link leads to it. One that
    is moved away or removed is watched again when it is back.

    Close it (`contextlib.aclosing`) when nobody listens any longer.

    Raises:
        UnwatchedError: the system does not tell of changes; says what to do instead.
    """
    from asyncinotify import Inotify  # takes 50 ms: not before the relays are set

    try:
        inotify = Inotify()
    except OSError as error:  # as many as one user may have are in use
        raise _unwatched(path, error) from None
    with inotify:
        watching = _Watching(inotify, path)
        try:
            watching.renew()
            while True:
                yield
                await watching.change()
        finally:
            await watching.close()


def _unwatched(path: Path, error: OSError) -> UnwatchedError:
    return UnwatchedError(
        f"plan {path}: edits by hand are not noticed by themselves ({reason_of(error)}): "
        f"after an edit, run: {LOOK_AGAIN}"
    )


class _Watching:
    """The watches that lead to one file, and the events that they bring."""

    def __init__(self, inotify: Inotify, path: Path) -> None:
        self._inotify = inotify
        self._path = path
        self._names: dict[int, set[str]] = {}  # by the watch's number, those that matter
        self._next: asyncio.Future[Event] | None = None

    def renew(self) -> None:
        """Watches what leads to the file now, and nothing else.

        Raises:
            UnwatchedError: a folder cannot be watched.
        """
        for _ in range(_RENEWALS_MAX):
            steps = _steps_to(self._path)
            try:
                names = self._watched(steps)
            except FileNotFoundError:  # it went while we looked
                continue
            except OSError as error:
                raise _unwatched(self._path, error) from None
            for watch in self._inotify.watches:
                if watch.wd not in names:
                    with suppress(OSError):  # it has gone with its folder
                        self._inotify.rm_watch(watch)
            self._names = names
            if _steps_to(self._path) == steps:
                return

    def _watched(self, steps: set[tuple[str, str]]) -> dict[int, set[str]]:
        from asyncinotify import Mask

        mask = (
            Mask.CLOSE_WRITE | Mask.MOVE | Mask.CREATE | Mask.DELETE | Mask.ATTRIB
            | Mask.DELETE_SELF | Mask.MOVE_SELF | Mask.ONLYDIR
        )  # fmt: skip
        names: dict[int, set[str]] = {}
        for folder, name in steps:
            watch = self._inotify.add_watch(folder, mask)
            names.setdefault(watch.wd, set()).add(name)
        return names

    async def change(self) -> None:
        """Returns when the file may have changed and has been left alone since."""
        while not self._matters(await self._event()):
            pass
        self.renew()
        loop = asyncio.get_running_loop()
        latest = loop.time() + SETTLE_S_MAX
        quiet = loop.time() + SETTLE_S
        # By the clock too, and not only by there being no event: others may write without end.
        while loop.time() < min(quiet, latest):
            event = await self._event_before(min(quiet, latest))
            if event is not None and self._matters(event):
                self.renew()
                quiet = loop.time() + SETTLE_S

    async def _event(self) -> Event:
        event = None
        while event is None:
            event = await self._event_before(None)
        return event

    async def _event_before(self, end: float | None) -> Event | None:
        """The next event, or None where there is none before the loop's clock shows `end`."""
        loop = asyncio.get_running_loop()
        if self._next is None:
            self._next = asyncio.ensure_future(self._inotify.get())
        # Not wait_for: it cancels at its timeout, and an event that comes just then is lost.
        timeout_s = None if end is None else max(0.0, end - loop.time())
        done, _ = await asyncio.wait({self._next}, timeout=timeout_s)
        if not done:
            return None
        event, self._next = self._next.result(), None
        return event

    def _matters(self, event: Event) -> bool:
        from asyncinotify import Mask

        if Mask.Q_OVERFLOW in event.mask:  # some events are lost
            return True
        watch = event.watch
        names = None if watch is None else self._names.get(watch.wd)
        if names is None:
            return False  # of a watch that has been given up
        if event.name is None:
            return True  # the folder itself has gone
        if str(event.name) not in names:
            return False
        if Mask.CREATE not in event.mask:
            return True
        return watch is not None and _is_whole_when_created(watch.path / event.name)

    async def close(self) -> None:
        """Waits for nothing any longer."""
        if self._next is not None:
            self._next.cancel()
            await asyncio.wait({self._next})
            self._next = None


def _is_whole_when_created(path: Path) -> bool:
    """Whether what has just appeared is not about to be written: a link or a folder."""
    try:
        status = path.lstat()
    except OSError:
        return False
    return S_ISLNK(status.st_mode) or S_ISDIR(status.st_mode) or status.st_nlink > 1


def _steps_to(path: Path) -> set[tuple[str, str]]:
    """Each folder, and the name in it, whose change can make the path lead elsewhere.

    Those of the file's own links; folders that are links are taken as they are now. Where a
    folder is missing, the nearest one above it that is there, and the name that it lacks.
    """
    steps = set()
    at = os.path.abspath(path)  # noqa: PTH100 - like the calls below
    for _ in range(_LINKS_MAX):
        folder, name = os.path.split(at)
        folder = os.path.realpath(folder)
        steps.add(_nearest(folder, name))
        try:
            target = os.readlink(os.path.join(folder, name))  # noqa: PTH115, PTH118
        except OSError:  # no link, or nothing there
            break
        at = os.path.join(folder, target)  # noqa: PTH118
    return steps


def _nearest(folder: str, name: str) -> tuple[str, str]:
    while not os.path.isdir(folder) and folder != os.path.dirname(folder):  # noqa: PTH112, PTH120
        folder, name = os.path.split(folder)
    return folder, name
