"""Where plants stand: what tells how sun, wind and lamps reach them."""

from __future__ import annotations

from typing import Literal

Surroundings = Literal["outdoors", "under-glass", "under-lamps"]
