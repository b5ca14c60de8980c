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
    parser = argparse.ArgumentParser(
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
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that knows no ° shows it as \\xb0, and nothing breaks off.
            stream.reconfigure(errors="backslashreplace")
    arguments = build_parser().parse_args(words)
    try:
        code: int = arguments.run(arguments)
        sys.stdout.flush()
    except PlanRefusedError as error:
        from controller.cli.output import print_findings

        print_findings(error.findings, source=error.source, stream=sys.stderr)
        print(f"rootclock: {error}; nothing was done", file=sys.stderr)
        return 1
    except BrokenPipeError:
        # Whoever read our output has enough of it. Python would complain once more when it
        # closes standard output at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except RootclockError as error:
        print(f"rootclock: {error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("rootclock: interrupted", file=sys.stderr)
        return 130
    return code


if __name__ == "__main__":
    sys.exit(main())
