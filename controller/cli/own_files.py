"""What a command writes is never what it reads: a slip of the hand must not cost a plan."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from controller.core.errors import UnusableFileError

if TYPE_CHECKING:
    import argparse
    from pathlib import Path

_READ = {
    "plan": "plan",
    "compare": "other plan",
    "weather": "weather file",
    "faults": "fault script",
}
_WRITTEN = {"events": "events file", "picture": "picture"}


def keep_own_files(arguments: argparse.Namespace) -> None:
    """Sees to it that no file which the arguments name is to be written over another of them.

    Raises:
        UnusableFileError: one is; nothing has been written.
    """
    taken = _named(arguments, _READ)
    for what, path in _named(arguments, _WRITTEN):
        for other, other_path in taken:
            if _is_one_file(path, other_path):
                raise UnusableFileError(
                    f"{what} {path}: is the {other} as well, which would be lost; name another file"
                )
        taken.append((what, path))


def _named(arguments: argparse.Namespace, words: dict[str, str]) -> list[tuple[str, Path]]:
    named = [(what, getattr(arguments, key, None)) for key, what in words.items()]
    return [(what, path) for what, path in named if path is not None]


def _is_one_file(one: Path, other: Path) -> bool:
    """Whether both names lead to the same ordinary file, be it there yet or not."""
    try:
        if one.exists() and other.exists():
            return one.is_file() and one.samefile(other)
        return os.path.realpath(one) == os.path.realpath(other)
    except (OSError, ValueError):  # whoever opens it says what is wrong with it
        return False
