"""`rootclock web`: the page alone, a client of the running daemon."""

from __future__ import annotations

import argparse
import json
import os
import sys
from pathlib import Path

import controller
from controller.cli.daemon_link import add_socket_to
from controller.shell.places import page_state_folder, socket_path

PORT = 8080
_MODULE = "web"  # started and never imported: the daemon's package knows nothing of it
_PASSCODE_NAME = "page-passcode"


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Adds the command to the parser."""
    parser = commands.add_parser(
        "web",
        help="the page: see and change the watering from a phone",
        description="Serves the page, which asks the running controller and owns no relay. Without "
        "--host it is reached from this machine alone; for others, set a passcode first.",
    )
    add_socket_to(parser)
    add_page_options_to(parser)
    parser.add_argument(
        "--set-passcode",
        action="store_true",
        help="ask for a new passcode, or read it from standard input, keep it, and end",
    )
    parser.set_defaults(run=run_web)


def add_page_options_to(parser: argparse.ArgumentParser) -> None:
    """Adds the options that say where the page is, and whom it lets in."""
    parser.add_argument(
        "--host", metavar="H", default="127.0.0.1", help="address to listen at (127.0.0.1)"
    )
    parser.add_argument(
        "--port", metavar="P", type=_port_argument, default=PORT, help=f"port ({PORT}; 0: any)"
    )
    parser.add_argument(
        "--name",
        metavar="NAME",
        action="append",
        default=[],
        help="a further host name by which browsers may call it (may be given several times)",
    )
    parser.add_argument(
        "--guests", action="store_true", help="let others look without the passcode"
    )
    parser.add_argument(
        "--passcode-file", metavar="FILE", type=Path, help="where the passcode's hash is kept"
    )


def _port_argument(text: str) -> int:
    if not (text.isascii() and text.isdigit() and int(text[:6]) <= 65_535):
        raise argparse.ArgumentTypeError(f"{text[:40]!r} is not a port from 0 to 65535")
    return int(text)


def run_web(arguments: argparse.Namespace) -> int:
    """`rootclock web`: this process becomes the page's, which knows nothing of the command line.

    Raises:
        UnusableFileError: nothing tells where a passcode might be kept.
    """
    task = "set-passcode" if arguments.set_passcode else "serve"
    words = page_words(arguments, task, arguments.socket or socket_path(os.environ))
    sys.stdout.flush()
    os.execve(sys.executable, words, page_environment())  # noqa: S606 - our own program


def page_words(
    arguments: argparse.Namespace, task: str, socket: Path, *, ends_with_input: bool = False
) -> list[str]:
    """The command line of the page's own process, for what `add_page_options_to` has read.

    With `ends_with_input` it ends when its standard input does.

    Raises:
        UnusableFileError: nothing tells where a passcode might be kept.
    """
    wanted = {
        "socket_path": str(socket.absolute()),
        "passcode_path": str(
            arguments.passcode_file or page_state_folder(os.environ) / _PASSCODE_NAME
        ),
        "host": arguments.host,
        "port": arguments.port,
        "names": arguments.name,
        "guests_may_read": arguments.guests,
        "ends_with_input": ends_with_input,
    }
    return [sys.executable, "-P", "-m", _MODULE, task, json.dumps(wanted)]


def page_environment() -> dict[str, str]:
    """This process's own, with our packages where the page finds them, whatever its folder."""
    root = str(Path(controller.__file__).resolve().parents[1])
    paths = [root, *filter(None, [os.environ.get("PYTHONPATH")])]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(paths)}
