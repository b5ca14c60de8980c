"""The shapes of a dry run and of its fault script."""

from __future__ import annotations

from typing import Any

from pydantic import ConfigDict

from web.shapes.finding import Finding
from web.shapes.told import Told
from web.shapes.water import LiftWater, ReservoirWater, StandWater


class DryRunTold(Told):
    """The account of a dry run, as `rootclock dry-run --json` has it."""

    model_config = ConfigDict(extra="allow")

    from_utc: str
    to_utc: str
    loads: dict[str, dict[str, Any]]
    air: str
    stands: dict[str, StandWater] | None = None
    lifts: dict[str, LiftWater] | None = None
    reservoirs: dict[str, ReservoirWater] | None = None
    findings: list[Finding]
    picture: str | None = None
    events: str | None = None


class FaultComplaint(Told):
    """What is wrong at one place of a fault script; the place may be empty."""

    where: str
    message: str


class FaultsChecked(Told):
    """A fault script looked at; `document` is its text as JSON, null where that cannot be read as
    TOML."""

    is_fit: bool
    complaints: list[FaultComplaint]
    document: dict[str, Any] | None
