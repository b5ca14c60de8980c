"""The plan file on disk, which its grower edits and the daemon reads and writes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_text.encoding import SIZE_MAX
from controller.core.plan_text.reading import ReadPlan, read_plan
from controller.shell.files import read_bytes, write_durably

if TYPE_CHECKING:
    from pathlib import Path

# What has a running controller look at its plan file (a SIGHUP, without a service manager).
LOOK_AGAIN = "systemctl reload rootclock"


def read_plan_file(path: Path) -> ReadPlan:
    """The plan in a file; also in a pipe, which a command line may be given.

    Raises:
        UnusableFileError: there is no such file, or it cannot be read.
        PlanRefusedError: the plan has errors; all of them are in it.
    """
    return read_plan(read_bytes(path, what="plan", size_max=SIZE_MAX), str(path))


def plan_bytes(path: Path) -> bytes:
    """The bytes of an ordinary file, up to one more than a plan may have.

    Raises:
        UnusableFileError: there is no such file, it cannot be read, or it is a pipe or device.
    """
    return read_bytes(path, what="plan", size_max=SIZE_MAX, must_be_ordinary=True)


def write_plan_file(path: Path, data: bytes) -> None:
    """Writes a plan's bytes in the place of the file's; see `write_durably`.

    Raises:
        UnusableFileError: it could not be written.
    """
    write_durably(path, data, what="plan")
