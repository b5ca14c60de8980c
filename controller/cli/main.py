"""`rootclock`: finds the command, runs it, and turns errors into words and exit codes.

0: done. 1: the plan or the world is not fit. 2: wrong usage.
"""

from __future__ import annotations

import argparse
import io
import os
import sys
from typing import TYPE_CHECKING

from controller import __version__
from controller.cli import (
    advise_command,
    client_commands,
    daemon_commands,
    dry_run_command,
    log_command,
    plan_commands,
    web_command,
)
from controller.cli.command_parser import CommandParser
from controller.core.errors import PlanRefusedError, RootclockError

if TYPE_CHECKING:
    from collections.abc import Sequence

_DESCRIPTION = """\
Waters bare roots in tall columns by the clock, the sun, the lamps and the heat of the
day, and tells beforehand what a plan will do."""
_EPILOG = """\
Try: rootclock example porch > plan.toml; rootclock check plan.toml;
rootclock dry-run plan.toml --from 2026-07-01 --days 7 --picture week.svg"""


def build_parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    parser: argparse.ArgumentParser = CommandParser(
        prog="rootclock",
        description=_DESCRIPTION,
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"rootclock {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    plan_commands.add_to(commands)
    dry_run_command.add_to(commands)
    advise_command.add_to(commands)
    daemon_commands.add_to(commands)
    client_commands.add_to(commands)
    log_command.add_to(commands)
    web_command.add_to(commands)
    return parser


def main(words: Sequence[str] | None = None) -> int:
    """Runs a command line; returns its exit code."""
    _open_closed_streams()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that knows no ° shows it as \\xb0, and nothing breaks off.
            stream.reconfigure(errors="backslashreplace")
    try:
        return _run(words)
    except PlanRefusedError as error:
        from controller.cli.output import print_findings

        print_findings(error.findings, source=error.source, stream=sys.stderr)
        print(f"rootclock: {error}; nothing was done", file=sys.stderr)
        return 1
    except BrokenPipeError:
        # Whoever read our output has enough of it.
        _say_no_more()
        return 1
    except RootclockError as error:
        print(f"rootclock: {error}", file=sys.stderr)
        return 1
    except OSError as error:
        # Files that somebody names have errors of their own: here nothing but our output is left.
        from controller.shell.files import reason_of

        _say_no_more()
        print(f"rootclock: standard output: {reason_of(error)}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("rootclock: interrupted", file=sys.stderr)
        return 130


def _run(words: Sequence[str] | None) -> int:
    try:
        parser = build_parser()
        arguments = parser.parse_args(words)
        _refuse_no_text(parser, arguments)
    except SystemExit:  # --help has been printed, or what is wrong with the words
        sys.stdout.flush()
        raise
    code: int = arguments.run(arguments)
    sys.stdout.flush()
    return code


def _refuse_no_text(parser: argparse.ArgumentParser, arguments: argparse.Namespace) -> None:
    """Files may have names of any bytes; all else that is said is text, and can be sent on."""
    for value in vars(arguments).values():
        for text in value if isinstance(value, list) else [value]:
            if isinstance(text, str) and not text.isascii():
                try:
                    text.encode()
                except UnicodeEncodeError:
                    parser.error(f"{text[:40]!a} has bytes that are no UTF-8 text: retype it")


def _open_closed_streams() -> None:
    """Gives whoever started us with a stream closed the void in its place.

    Else the next file that we open would get its number, and be written to as if it were it.
    """
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: PTH123, SIM115


def _say_no_more() -> None:
    """Python would complain once more when it closes standard output at exit."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


if __name__ == "__main__":
    sys.exit(main())
