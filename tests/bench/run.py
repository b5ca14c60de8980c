"""Runs the benchmarks: `python -m tests.bench.run [NAME ...]`; JSON lines on standard output.

Figures are for reading side by side in one run; no test hangs on them.
"""

from __future__ import annotations

import sys

from tests.bench.browser import browser
from tests.bench.daemon import daemon
from tests.bench.expansion import expansion
from tests.bench.journal import journal
from tests.bench.lookup import lookup
from tests.bench.socket import control_socket
from tests.bench.start import start
from tests.bench.water import advice, preview, water
from tests.bench.web import web
from tests.bench.year import year

BENCHMARKS = {
    "expansion": expansion,
    "lookup": lookup,
    "year": year,
    "water": water,
    "advice": advice,
    "preview": preview,
    "start": start,
    "daemon": daemon,
    "socket": control_socket,
    "journal": journal,
    "web": web,
    "browser": browser,
}


def main() -> None:
    """Runs those named, or all."""
    for name in sys.argv[1:] or BENCHMARKS:
        for result in BENCHMARKS[name]():
            print(result.as_line(), flush=True)


if __name__ == "__main__":
    main()
