"""Opening the journal to write, whatever lies in its place: nothing here stops a start."""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from datetime import UTC, datetime
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import DamagedJournalError, UnusableFileError
from controller.shell.journal import facts
from controller.shell.journal.journal_file import JournalFile
from controller.shell.journal.schema import FORMAT, Standing, is_damage, look_at

if TYPE_CHECKING:
    from pathlib import Path

    from controller.shell.journal.limits import Limits

_BELONGINGS = ("-wal", "-journal")
_ASIDE_MAX = 3  # damaged journals that are kept, lest they fill the disk


class Opened(NamedTuple):
    """An open journal, and the state that was noted last, be it in a damaged file.

    `remark` is what a person should know about how it was opened, if anything, and why it
    begins where it begins if it is new.
    """

    file: JournalFile
    state: str | None
    remark: str


def open_file(path: Path, limits: Limits) -> Opened:
    """Opens the journal of that path; beside it where another program's file or a newer
    rootclock's is in the way, and anew where it is damaged.

    Raises:
        sqlite3.Error, OSError: it cannot be opened now.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    path, remark = _own_path(path)
    if look_at(path).standing is not Standing.DAMAGED:
        try:
            file = JournalFile(path, limits)
            return Opened(file, file.state, remark)
        except (sqlite3.DatabaseError, DamagedJournalError) as error:
            if not is_damage(error):
                raise
    state = _saved_state(path)
    aside = put_aside(path)
    kept = "lost with it" if state is None else "saved"
    damage = f"{damage_words(aside)}; what the controller remembered is {kept}."
    return Opened(JournalFile(path, limits), state, f"{remark} {damage}".strip())


def _saved_state(path: Path) -> str | None:
    """The state in a damaged file, if that part of it can be read."""
    try:
        with closing(sqlite3.connect(path.absolute().as_uri(), uri=True)) as connection:
            return facts.state(connection)
    except (sqlite3.DatabaseError, DamagedJournalError):
        return None


def _own_path(path: Path) -> tuple[Path, str]:
    """The path at which a journal of this format is or can be, and why it is not the given."""
    found = look_at(path)
    if found.standing not in {Standing.NEWER, Standing.FOREIGN}:
        return path, ""
    beside = path_beside(path)
    whose = (
        f"was written by a newer rootclock (format {found.format}, this one knows {FORMAT})"
        if found.standing is Standing.NEWER
        else "is another program's database"
    )
    if look_at(beside).standing in {Standing.NEWER, Standing.FOREIGN}:
        raise UnusableFileError(f"journal {path} {whose}, and so does {beside}: move them away")
    return beside, f"{path.name} {whose}; it is left alone, and {beside.name} is used."


def damage_words(aside: Path) -> str:
    """What is said of a journal that was put aside, as the beginning of a sentence."""
    return f"The earlier one was damaged and is kept as {aside.name}"


def path_beside(path: Path) -> Path:
    """Where the journal of this program's format is while another kind of file has its place."""
    return path.with_name(f"{path.stem}-format-{FORMAT}{path.suffix}")


def put_aside(path: Path) -> Path:
    """Renames a damaged journal, with what belongs to it, and forgets the oldest of those that
    were put aside before. The new path.

    Raises:
        OSError: it cannot be renamed.
    """
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    pattern = f"{path.stem}-damaged-*{path.suffix}"
    earlier = sorted(path.parent.glob(pattern), key=lambda one: one.stat().st_mtime)
    for old in earlier[: max(0, len(earlier) - _ASIDE_MAX + 1)]:
        for part in ("", *_BELONGINGS):
            old.with_name(old.name + part).unlink(missing_ok=True)
    names = (
        path.with_name(f"{path.stem}-damaged-{stamp}{number}{path.suffix}")
        for number in ("", *(f"-{count}" for count in range(2, 1_000)))
    )
    aside = next(name for name in names if name not in earlier)
    for part in _BELONGINGS:  # left behind, they would be applied to the new file
        with suppress(FileNotFoundError):
            path.with_name(path.name + part).replace(aside.with_name(aside.name + part))
    path.with_name(path.name + "-shm").unlink(missing_ok=True)
    path.replace(aside)
    return aside
