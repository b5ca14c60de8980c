"""Moments on the command line, and the zone in which they are meant."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

from controller.core.errors import RootclockError, UnknownZoneError
from controller.core.moments import parse_moment
from controller.core.wall_clock import load_zone

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from controller.core.moments import Moment

_LOCALTIME = Path("/etc/localtime")


def moment_argument(text: str) -> Moment:
    """A moment for argparse."""
    try:
        return parse_moment(text)
    except RootclockError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def system_zone() -> ZoneInfo | None:
    """This computer's own time zone, if it tells which it is."""
    told = os.environ.get("TZ", "").removeprefix(":")
    if not told:
        _, has_zone, told = str(_LOCALTIME.resolve()).rpartition("/zoneinfo/")
        if not has_zone:
            return None
    try:
        return load_zone(told)
    except UnknownZoneError:
        return None
