"""Why no advice can be given at all."""

from __future__ import annotations

from controller.core.errors import RootclockError


class NoAdviceError(RootclockError, ValueError):
    """Plan, weather or options leave nothing to advise on; says what is missing."""
