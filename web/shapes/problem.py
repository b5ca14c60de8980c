"""The shapes of what goes wrong."""

from __future__ import annotations

from pydantic import ConfigDict

from web.shapes.told import Told


class ProblemShape(Told):
    """Problem details (RFC 9457)."""

    model_config = ConfigDict(extra="allow")

    type: str
    title: str
    status: int
    detail: str


class ProblemKind(Told):
    """A type of problem."""

    type: str
    title: str
    status: int
