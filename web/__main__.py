"""The page's process: `python -m web serve|set-passcode SETTINGS`, started by `rootclock web`,
which has read the command line; SETTINGS is JSON. With `ends_with_input` in it a controller has
started the page beside itself."""

from __future__ import annotations

import getpass
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from controller.core.errors import RootclockError, UnusablePasscodeError
from web.security.passcode import read_passcode, stored, write_passcode

if TYPE_CHECKING:
    from collections.abc import Mapping

_AFTER_CONTROLLER = 5  # of the 19 by which a process can be made to wait for others, nice(2)


def main(words: list[str]) -> int:
    """Serves the page, or sets its passcode; returns the exit code."""
    task, wanted = words[0], json.loads(words[1])
    try:
        passcode_path = Path(wanted.pop("passcode_path"))
        if task == "set-passcode":
            write_passcode(passcode_path, stored(_asked_passcode()))
            sys.stdout.write(
                f"The passcode is set, in {passcode_path}. Restart the page; everybody logs in "
                "anew.\n"
            )
        else:
            _serve(wanted, passcode_path)
    except RootclockError as error:
        sys.stderr.write(f"rootclock: {error}\n")
        return 1
    except KeyboardInterrupt:  # the way to end it
        return 0
    return 0


def _serve(wanted: Mapping[str, Any], passcode_path: Path) -> None:
    from web.server.serving import serve
    from web.settings import Limits, Settings

    settings = Settings(
        socket_path=Path(wanted["socket_path"]),
        host=wanted["host"],
        port=wanted["port"],
        names=tuple(wanted["names"]),
        passcode=read_passcode(passcode_path),
        ended_path=passcode_path.with_name(f"{passcode_path.name}-ended"),
        guests_may_read=wanted["guests_may_read"],
        limits=Limits(**wanted.get("limits", {})),
    )
    if wanted.get("ends_with_input"):
        os.nice(_AFTER_CONTROLLER)
        serve(settings, on_ready=lambda address: _tell(f"The page is at {address}"), input_ends=0)
    else:
        serve(settings, on_ready=lambda it: _tell(f"The page is at {it} ; Ctrl-C ends it."))


def _tell(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def _asked_passcode() -> str:
    """What a person types twice, or the first line of standard input."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    first = getpass.getpass("New passcode: ")
    if first != getpass.getpass("Once more: "):
        raise UnusablePasscodeError("the two are not the same: nothing was set")
    return first


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
