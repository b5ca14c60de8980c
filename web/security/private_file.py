"""A file that its owner alone can read, written whole or not at all."""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path


def write_private(path: Path, value: object) -> None:
    """Writes a value as JSON; what was there before stays until all of it is on the disk.

    Root's word for a service goes to the service: the file is its folder's owner's.

    Raises:
        OSError: it cannot be written.
    """
    beside = path.with_name(f"{path.name}.{os.getpid()}.new")
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    beside.unlink(missing_ok=True)  # of a process that died, and whose number this one has
    opened = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW, 0o600)
    try:
        with os.fdopen(opened, "w", encoding="ascii") as file:
            if os.geteuid() == 0:
                folder = path.parent.stat()
                os.fchown(opened, folder.st_uid, folder.st_gid)
            json.dump(value, file)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
