"""What the commands have in common when they print: findings, colours, JSON."""

from __future__ import annotations

import json
import os
import shutil
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from collections.abc import Iterable

    from controller.core.findings import Finding

_COLOURS = {"error": "\x1b[1;31m", "warning": "\x1b[33m", "note": "\x1b[36m"}
_PLAIN = "\x1b[0m"


def is_coloured(stream: TextIO) -> bool:
    """Whether colours are welcome: on a terminal, unless NO_COLOR says otherwise."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def text_width() -> int:
    """The width for reports: the terminal's, within what reads well."""
    return max(40, min(100, shutil.get_terminal_size((80, 24)).columns))


def print_findings(findings: Iterable[Finding], *, source: str, stream: TextIO) -> None:
    """Prints findings, one paragraph each: file, line and level, place, what, and the mend."""
    from controller.report.text_cells import wrapped

    coloured, width = is_coloured(stream), text_width()
    for finding in findings:
        line = "" if finding.line is None else f":{finding.line}"
        level = finding.level
        level_words = f"{_COLOURS[level]}{level}{_PLAIN}" if coloured else level
        place = f" {finding.where}" if finding.where else ""
        print(f"{source}{line}: {level_words}:{place}", file=stream)
        for text in (finding.message, f"to mend: {finding.mend}"):
            for row in wrapped(text, width, first="    ", rest="    "):
                print(row, file=stream)


def print_json(value: object) -> None:
    """Prints a value as JSON on standard output, in readable form."""
    print(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))
