"""A parser of words typed that says which of the words it knows was meant."""

from __future__ import annotations

import argparse
from typing import Any


class CommandParser(argparse.ArgumentParser):
    """As argparse has it, but for a word that is none of those that may stand there."""

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        if action.choices is None or value in action.choices:
            return
        from controller.core.plan_text.likely import likely_word
        from controller.core.units import shown

        known = [str(one) for one in action.choices]
        likely = likely_word(str(value), known)
        meant = f" (did you mean {likely}?)" if likely else ""
        raise argparse.ArgumentError(
            action, f"there is no {shown(str(value))}{meant}; there are {', '.join(known)}"
        )
