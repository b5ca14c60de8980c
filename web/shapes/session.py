"""The shape of who the visitor is."""

from __future__ import annotations

from typing import Literal

from web.shapes.told import Told


class Session(Told):
    """Who the visitor is."""

    role: Literal["owner", "guest", "nobody"]
    needs_passcode: bool
    guests_may_read: bool
