"""What the commands that ask the running daemon have in common: where it is."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

    from controller.shell.control_socket.client import Client


def add_socket_to(parser: argparse.ArgumentParser) -> None:
    """Adds the option that says where the daemon is."""
    parser.add_argument(
        "--socket",
        metavar="FILE",
        type=Path,
        help="the daemon's control socket (default: ROOTCLOCK_SOCKET, else where it usually is)",
    )


def connected(arguments: argparse.Namespace) -> Client:
    """The daemon that the arguments name.

    Raises:
        NoDaemonError: nobody answers there; says what to do.
    """
    from controller.shell.control_socket.client import Client
    from controller.shell.places import socket_path

    return Client(arguments.socket or socket_path(os.environ))
