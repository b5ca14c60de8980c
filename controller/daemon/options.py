"""What a controller is started with."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from pathlib import Path


class Options(NamedTuple):
    """Where things are, and what is to be believed.

    `state_folder` keeps journal, revisions and what was read; `socket_path` is where clients
    find the controller, and its folder is where notes go that a boot need not outlive.
    `mock_because` says why nothing real is switched; None: the lines of this board are.
    `is_clock_vouched` takes the clock to be right without asking anybody.
    `ends_with_terminal` takes a hang-up for the end, as a program in a terminal does; else it
    is the wish to look at the plan's file.
    """

    plan_path: Path
    state_folder: Path
    socket_path: Path
    mock_because: str | None = None
    is_clock_vouched: bool = False
    group: str | None = None
    ends_with_terminal: bool = False
