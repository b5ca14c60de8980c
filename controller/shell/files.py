"""Files read whole and written whole."""

from __future__ import annotations

import os
import stat
import tempfile
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from controller.core.errors import RootclockError, UnusableFileError

if TYPE_CHECKING:
    from collections.abc import Iterator


def read_bytes(path: Path, *, what: str, size_max: int, must_be_ordinary: bool = False) -> bytes:
    """The bytes of a file, at most one more than `size_max` (so that too large shows).

    With `must_be_ordinary`, pipes and devices are refused: they could keep the reader waiting
    for ever.

    Raises:
        UnusableFileError: there is no such file, or it cannot be read.
    """
    # Without O_NONBLOCK, opening a pipe that nobody writes to would wait.
    flags = os.O_RDONLY | os.O_CLOEXEC | (os.O_NONBLOCK if must_be_ordinary else 0)
    try:
        with open(os.open(path, flags), "rb") as file:  # noqa: PTH123 - a handle
            if must_be_ordinary and not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise _not_ordinary(path, what)
            return file.read(size_max + 1)
    except UnusableFileError:
        raise
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        raise UnusableFileError(f"{what} {path}: {reason_of(error)}") from None


def _not_ordinary(path: Path, what: str) -> UnusableFileError:
    return UnusableFileError(f"{what} {path}: is no ordinary file but a pipe, device or the like")


@contextmanager
def written_whole(path: Path, *, what: str) -> Iterator[TextIO]:
    """A text file that appears under its name only when all of it is written.

    What is there and is no ordinary file (a pipe, a terminal) is written as it goes.

    Raises:
        UnusableFileError: it cannot be written there.
    """
    try:
        if path.exists() and not path.is_file():
            part, opened = None, path.open("w", encoding="utf-8", newline="")
        else:
            handle, name = tempfile.mkstemp(prefix=f".{path.name[:100]}.", dir=path.parent)
            part, opened = Path(name), open(handle, "w", encoding="utf-8", newline="")  # noqa: PTH123, SIM115
    except (OSError, ValueError) as error:
        raise UnusableFileError(f"{what} {path}: {reason_of(error)}") from None
    try:
        with opened as stream:
            yield stream
        if part is not None:
            part.chmod(0o666 & ~_umask())
            part.replace(path)
    except (RootclockError, BrokenPipeError):  # of something else that is done meanwhile
        raise
    except OSError as error:
        raise UnusableFileError(f"{what} {path}: {reason_of(error)}") from None
    finally:
        if part is not None:
            part.unlink(missing_ok=True)


def write_durably(path: Path, data: bytes, *, what: str) -> None:
    """Puts these bytes in a file's place for good: whatever ends the process or the power, and
    whenever, the old file is there whole, or the new one is.

    A symbolic link stays one, and what it points to is replaced. Mode, owner and group of the
    file that was there are kept, the last two as far as this process may give files away. Not
    to be called for one path by two at once.

    Raises:
        UnusableFileError: it could not be written. Where the last step of all failed, the new
            bytes may be there nevertheless.
    """
    try:
        target = os.path.realpath(path)
        folder, name = os.path.split(target)
        # One name, so that a process that died leaves one of these behind and not hundreds.
        part = os.path.join(folder, f".{name[:200]}.rootclock")  # noqa: PTH118 - like the calls below
        before = _ordinary_or_none(path, target, what)
        try:
            _write_part(part, data, before)
            os.replace(part, target)  # noqa: PTH105 - counted beside the other calls by tests
        except OSError:
            with suppress(OSError):  # the first error is the one to tell
                os.unlink(part)  # noqa: PTH108
            raise
        _settle_folder(folder)
    except UnusableFileError:
        raise
    except (OSError, ValueError) as error:
        raise UnusableFileError(f"{what} {path}: {reason_of(error)}") from None


def _ordinary_or_none(path: Path, target: str, what: str) -> os.stat_result | None:
    """What is known of the file that is there, if there is one.

    A device or pipe is refused: a rename would put a file in its place.
    """
    try:
        before = os.stat(target)  # noqa: PTH116
    except FileNotFoundError:
        return None
    if stat.S_ISDIR(before.st_mode):
        raise UnusableFileError(f"{what} {path}: is a directory")
    if not stat.S_ISREG(before.st_mode):
        raise _not_ordinary(path, what)
    return before


def _write_part(part: str, data: bytes, before: os.stat_result | None) -> None:
    with suppress(FileNotFoundError):
        os.unlink(part)  # noqa: PTH108
    # Exclusive: whatever somebody else puts there meanwhile is not written through.
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o666)
    try:
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(handle, rest) :]
        if before is not None:
            _keep_owner(handle, before)
            os.fchmod(handle, stat.S_IMODE(before.st_mode))
        os.fsync(handle)
    finally:
        os.close(handle)


def _keep_owner(handle: int, before: os.stat_result) -> None:
    """Owner and group as they were; where only root might give the file away, the group."""
    try:
        os.fchown(handle, before.st_uid, before.st_gid)
    except PermissionError:
        with suppress(PermissionError):
            os.fchown(handle, -1, before.st_gid)


def _settle_folder(folder: str) -> None:
    """Makes a rename in the folder survive a power cut."""
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _umask() -> int:
    mask = os.umask(0o022)
    os.umask(mask)
    return mask


def reason_of(error: OSError | ValueError) -> str:
    """Why the system refused, as the end of a sentence."""
    if isinstance(error, OSError) and error.strerror:
        return error.strerror[0].lower() + error.strerror[1:]
    if isinstance(error, ValueError) and not isinstance(error, UnicodeError):
        return "a null byte stands in its name"  # Python's own words change with its versions
    return str(error)
