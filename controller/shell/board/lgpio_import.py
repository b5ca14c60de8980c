"""Importing lgpio without what its import leaves behind.

Its import makes a FIFO in the directory that LG_WD names, or in the process's own, and moves
the process there; where that cannot be written, the import fails (lgpio 0.2.2: lgpio.py,
`_callback_thread`; lgUtil.c, `lguGetWorkDir`; lgNotify.c, `lgNotifyOpenWithSize`). The FIFO
is needed by name only while the import lasts, so it lives in a directory of that life.
"""

from __future__ import annotations

import importlib
import os
import sys
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from controller.core.errors import UnusableBoardError

if TYPE_CHECKING:
    from pathlib import Path
    from types import ModuleType

_WORK_DIRECTORY = "LG_WD"
_PATH_BYTES_MAX = 1000  # lgpio.h, 0.2.2: LG_MAX_PATH is 1024, the FIFO's name included


def import_lgpio(folder: Path | None = None) -> ModuleType:
    """The module lgpio; the process's directory and environment are afterwards as before.

    Args:
        folder: where a FIFO may exist for a moment; None: where temporary files go. While
            lgpio is imported, the process's own directory is one inside it, so no other
            thread should then be opening relative paths.

    Raises:
        UnusableBoardError: lgpio is not installed, or there is no directory to write to.
    """
    if (known := sys.modules.get("lgpio")) is not None:
        return known
    try:
        with TemporaryDirectory(prefix="lgpio-", dir=folder) as passing:
            return _import_within(os.path.realpath(passing))
    except UnusableBoardError:
        raise
    except OSError as error:
        place = error.filename or folder or "temporary files"
        raise UnusableBoardError(
            f"the GPIO driver needs a directory that can be written, for a moment: "
            f"{place}: {error.strerror or error}"
        ) from error
    except ImportError as error:
        raise UnusableBoardError(
            f"the GPIO driver cannot be loaded ({error}): install lgpio 0.2.2 or later"
        ) from error


def _import_within(passing: str) -> ModuleType:
    if len(os.fsencode(passing)) > _PATH_BYTES_MAX:
        raise UnusableBoardError(
            f"the GPIO driver cannot use a directory with a name as long as {passing[:40]}…"
        )
    here = os.open(".", os.O_PATH | os.O_DIRECTORY | os.O_CLOEXEC)
    before = os.environ.get(_WORK_DIRECTORY)
    os.environ[_WORK_DIRECTORY] = passing
    try:
        return importlib.import_module("lgpio")
    finally:
        os.fchdir(here)
        os.close(here)
        if before is None:
            del os.environ[_WORK_DIRECTORY]
        else:
            os.environ[_WORK_DIRECTORY] = before
