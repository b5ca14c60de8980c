"""What the commands that ask the running daemon have in common."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from controller.core.errors import BadStatusError

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterable
    from typing import Protocol

    from controller.core.status.record import Status
    from controller.report.ink import Ink
    from controller.shell.control_socket.client import Client

    class StatusText(Protocol):
        """Makes text of a status."""

        def __call__(self, status: Status, *, width: int, ink: Ink) -> str:
            """The text, of lines no wider than that."""


def add_socket_to(parser: argparse.ArgumentParser) -> None:
    """Adds the option that says where the daemon is."""
    parser.add_argument(
        "--socket",
        metavar="FILE",
        type=Path,
        help="the controller's control socket (default: ROOTCLOCK_SOCKET, or where it usually is)",
    )


def added_command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    summary: str,
    description: str | None = None,
) -> argparse.ArgumentParser:
    """A parser for a command that asks the daemon; the summary starts in lower case."""
    text = f"{summary[0].upper()}{summary[1:]}." if description is None else description
    parser = commands.add_parser(name, help=summary, description=text)
    add_socket_to(parser)
    return parser


def connected(arguments: argparse.Namespace) -> Client:
    """The daemon that the arguments name.

    Raises:
        NoDaemonError: nobody answers there; says what to do.
    """
    from controller.shell.control_socket.client import Client
    from controller.shell.places import socket_path

    return Client(arguments.socket or socket_path(os.environ))


def status_read(raw: Any) -> Status:
    """The status that the daemon told.

    Raises:
        BadStatusError: it is none that this version can read.
    """
    from controller.core.status.json_form import status_from_json

    try:
        return status_from_json(raw)
    except BadStatusError as error:
        raise BadStatusError(
            f"the daemon tells what this version cannot read ({error}): restart it if "
            "rootclock was updated since it started"
        ) from None


def told(text_of: StatusText, status: Status) -> str:
    """A status as text, as wide as this terminal."""
    from controller.cli.output import is_coloured, text_width
    from controller.report.ink import Ink

    return text_of(status, width=text_width(), ink=Ink(is_coloured(sys.stdout)))


def print_sentences(sentences: Iterable[str]) -> None:
    """Prints sentences, each from a line of its own on, as wide as this terminal."""
    from controller.cli.output import text_width
    from controller.report.text_cells import wrapped

    for sentence in sentences:
        print("\n".join(wrapped(sentence, text_width())))
