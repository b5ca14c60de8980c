"""The commands in README.md and what they print; `python -m tests.readme` writes them anew.

A block that begins with ```console has a line `$ rootclock …` and below it the command's
output. The test compares; the writer puts the present output in, for a person to read in
the diff.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
from pathlib import Path
from typing import NamedTuple
from unittest import mock

from controller.cli.main import main

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"
_BLOCK = re.compile(r"```console\n\$ rootclock (?P<words>[^\n]*)\n(?P<output>.*?)```", re.S)


class Shown(NamedTuple):
    """A command as README shows it, and the output printed below it."""

    words: str
    output: str


def shown_in(text: str) -> list[Shown]:
    """Every command of a text, in order."""
    return [Shown(found["words"], found["output"]) for found in _BLOCK.finditer(text)]


def output_of(words: str) -> str:
    """What a command prints on an 80-column paper, from the project's folder."""
    printed = io.StringIO()
    here = Path.cwd()
    os.chdir(ROOT)
    try:
        with contextlib.redirect_stdout(printed), mock.patch.dict(os.environ, {"COLUMNS": "80"}):
            code = main(shlex.split(words))
    finally:
        os.chdir(here)
    assert code == 0, f"rootclock {words} ended with {code}"
    return "\n".join(line.rstrip() for line in printed.getvalue().splitlines()) + "\n"


def rewritten(text: str) -> str:
    """The text with every output as it is now."""
    return _BLOCK.sub(
        lambda found: f"```console\n$ rootclock {found['words']}\n{output_of(found['words'])}```",
        text,
    )


if __name__ == "__main__":
    README.write_text(rewritten(README.read_text(encoding="utf-8")), encoding="utf-8")
