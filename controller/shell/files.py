"""Files read whole and written whole."""

from __future__ import annotations

import os
import tempfile
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from controller.core.errors import UnusableFileError

if TYPE_CHECKING:
    from collections.abc import Iterator


def read_bytes(path: Path, *, what: str, size_max: int) -> bytes:
    """The bytes of a file, at most one more than `size_max` (so that too large shows).

    Raises:
        UnusableFileError: there is no such file, or it cannot be read.
    """
    try:
        with path.open("rb") as file:
            return file.read(size_max + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        raise UnusableFileError(f"{what} {path}: {_reason(error)}") from None


@contextmanager
def written_whole(path: Path, *, what: str) -> Iterator[TextIO]:
    """A text file that appears under its name only when all of it is written.

    What is there and is no ordinary file (a pipe, a terminal) is written as it goes.

    Raises:
        UnusableFileError: it cannot be written there.
    """
    try:
        if path.exists() and not path.is_file():
            with path.open("w", encoding="utf-8", newline="") as stream:
                yield stream
            return
        handle, name = tempfile.mkstemp(prefix=f".{path.name[:100]}.", dir=path.parent)
    except BrokenPipeError:
        raise
    except (OSError, ValueError) as error:
        raise UnusableFileError(f"{what} {path}: {_reason(error)}") from None
    part = Path(name)
    try:
        with open(handle, "w", encoding="utf-8", newline="") as file:  # noqa: PTH123 - a handle
            yield file
        part.chmod(0o666 & ~_umask())
        part.replace(path)
    except OSError as error:
        raise UnusableFileError(f"{what} {path}: {_reason(error)}") from None
    finally:
        part.unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0o022)
    os.umask(mask)
    return mask


def _reason(error: OSError | ValueError) -> str:
    if isinstance(error, OSError) and error.strerror:
        return error.strerror[0].lower() + error.strerror[1:]
    return str(error)
