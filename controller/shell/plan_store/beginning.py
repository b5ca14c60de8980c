"""Which plan runs at the start: the file's, or the last revision that is good.

It has to be quick, since roots wait for it, so nothing is examined in a process of its own. A
plan that ends the controller by being read is not read twice: see `crash_mark`.
"""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, NamedTuple

from controller.core.errors import PlanRefusedError, UnusableFileError
from controller.core.units import rfc3339
from controller.shell.plan_store.prepared import Prepared, prepare
from controller.shell.plan_store.revision import How, sha256_of

if TYPE_CHECKING:
    from controller.core.errors import RootclockError
    from controller.core.units import Instant
    from controller.shell.plan_store.archive import Archive
    from controller.shell.plan_store.crash_mark import CrashMark
    from controller.shell.plan_store.plan_place import PlanPlace
    from controller.shell.plan_store.revision import Revision

TO_BEGIN = (
    "to begin: rootclock example porch > plan.toml, change the site and the line in it, and "
    "start again with plan.toml"
)


class Begun(NamedTuple):
    """The plan that runs first; `refused` is why it is not the file's."""

    revision: Revision
    prepared: Prepared
    is_new: bool
    refused: RootclockError | None
    remarks: tuple[str, ...]


def begin(place: PlanPlace, archive: Archive, mark: CrashMark, now: Instant) -> Begun:
    """Chooses the first plan.

    Raises:
        PlanRefusedError: the file has errors, and there is no good revision.
        UnusableFileError: the file cannot be read, and there is no good revision.
    """
    remarks = archive.load()
    latest = archive.revisions[-1] if archive.revisions else None
    try:
        data = place.look()
        place.seen = sha256_of(data)
        if latest is not None and place.seen == latest.sha256:
            prepared = prepare(data, str(place.path))
            return Begun(latest, prepared, is_new=False, refused=None, remarks=tuple(remarks))
        if latest is not None and place.seen == latest.file_sha256:
            remarks.append(
                f"the plan file {place.path} is not the plan that runs: revision {latest.number} "
                "could not be written to it"
            )
            with suppress(UnusableFileError):  # the file is better than nothing
                return _last_good(archive, remarks, None)
        prepared = _read_for_the_first_time(place, mark, data, is_alone=latest is None)
    except (UnusableFileError, PlanRefusedError) as refused:
        return _last_good(archive, remarks, refused)
    how = How.FIRST_START if latest is None else How.CHANGED_AT_START
    revision = archive.add(data, taken=now, how=how, note="", file_sha256=place.seen)
    return Begun(revision, prepared, is_new=True, refused=None, remarks=tuple(remarks))


def _read_for_the_first_time(
    place: PlanPlace, mark: CrashMark, data: bytes, *, is_alone: bool
) -> Prepared:
    """A plan that has never been in force; where it is alone, nothing else could run."""
    sha256 = sha256_of(data)
    if mark.is_on(sha256) and not is_alone:
        raise UnusableFileError(
            f"plan {place.path}: the controller ended when it last read this file, so the file is "
            "examined before it is read again"
        )
    with mark.on(sha256):
        return prepare(data, str(place.path))


def _last_good(archive: Archive, remarks: list[str], refused: RootclockError | None) -> Begun:
    """The latest revision that can still be run; older ones than the last are told."""
    for revision in reversed(archive.revisions):
        try:
            data = archive.bytes_of(revision)
            prepared = prepare(data, f"plan revision {revision.number}")
        except (UnusableFileError, PlanRefusedError) as error:
            remarks.append(f"{error}; the plan before it is tried")
            continue
        if revision != archive.revisions[-1]:
            remarks.append(
                f"plan revision {revision.number} of {rfc3339(revision.taken)} runs, the last "
                "one that is good"
            )
        return Begun(revision, prepared, is_new=False, refused=refused, remarks=tuple(remarks))
    if isinstance(refused, PlanRefusedError):
        raise refused
    told = "; ".join([str(refused), *remarks] if refused is not None else remarks)
    raise UnusableFileError(f"{told}; no earlier plan is kept; {TO_BEGIN}")
