"""What was built once is kept outside of the tree, under a key made of all that went into it."""

from __future__ import annotations

import fcntl
import hashlib
import os
import shutil
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

KEPT_OF_A_KIND = 3
IN_USE_S = 3600  # a run of the tests is over by then


def cache_folder() -> Path:
    """Where images are kept: ROOTCLOCK_BOARD_CACHE, or a folder in the user's cache."""
    named = os.environ.get("ROOTCLOCK_BOARD_CACHE")
    users_own = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    folder = Path(named) if named else Path(users_own) / "rootclock-board"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def key_of(*parts: str | Path) -> str:
    """A key for texts and for the contents of files and folders (caches left out)."""
    digest = hashlib.sha256()
    for part in parts:
        for name, data in _pieces(part):
            digest.update(f"{name}:{len(data)}:".encode())
            digest.update(data)
    return digest.hexdigest()[:16]


def _pieces(part: str | Path) -> Iterator[tuple[str, bytes]]:
    if isinstance(part, str):
        yield "", part.encode()
    elif part.is_dir():
        for path in sorted(part.rglob("*")):
            if path.is_file() and "__pycache__" not in path.parts:
                yield path.relative_to(part).as_posix(), path.read_bytes()
    else:
        yield part.name, part.read_bytes()


def built(kind: str, key: str, build: Callable[[Path], None]) -> Path:
    """The folder with what `build` makes, made now unless it was made before.

    A build that fails or is interrupted leaves nothing behind that could be taken for whole.
    """
    folder = cache_folder() / f"{kind}-{key}"
    with _one_at_a_time():
        if folder.is_dir():
            os.utime(folder)
            return folder
        for left_over in cache_folder().glob("making-*"):  # by a build that was killed
            shutil.rmtree(left_over)
        making = Path(tempfile.mkdtemp(prefix="making-", dir=cache_folder()))
        try:
            build(making)
            making.rename(folder)
        except BaseException:
            shutil.rmtree(making)
            raise
        _drop_oldest(kind)
    return folder


@contextmanager
def _one_at_a_time() -> Iterator[None]:
    with (cache_folder() / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _drop_oldest(kind: str) -> None:
    found = sorted((path.stat().st_mtime, path) for path in cache_folder().glob(f"{kind}-*"))
    for used, folder in found[:-KEPT_OF_A_KIND]:
        if time.time() - used > IN_USE_S:
            shutil.rmtree(folder)
