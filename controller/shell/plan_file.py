"""A plan from a file on disk."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.plan_text.encoding import SIZE_MAX
from controller.core.plan_text.reading import ReadPlan, read_plan
from controller.shell.files import read_bytes

if TYPE_CHECKING:
    from pathlib import Path


def read_plan_file(path: Path) -> ReadPlan:
    """The plan in a file.

    Raises:
        UnusableFileError: there is no such file, or it cannot be read.
        PlanRefusedError: the plan has errors; all of them are in it.
    """
    return read_plan(read_bytes(path, what="plan", size_max=SIZE_MAX), str(path))
