"""Water as the page's API tells it: as `rootclock dry-run --json` does, and what words and
drawings need besides."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from controller.core.messages.json_text import json_bytes
from controller.core.water.lifting_words import lifting_words
from controller.dry_run.water.water_json import water_json

if TYPE_CHECKING:
    from controller.core.water.bounds import Bounds
    from controller.dry_run.water.water_account import WaterAccount
    from web.paper.water_day import WaterDay


def water_told(account: WaterAccount) -> dict[str, Any]:
    """The members that a run's account has of water, each lift with its sentence, `words`."""
    told: dict[str, Any] = water_json(account)
    for name, lift in account.lifts.items():
        told["lifts"][name]["words"] = lifting_words(lift.found)
    return told


def water_text(water: WaterDay | None, *, has_courses: bool) -> bytes:
    """A day's water as JSON text, as `web.paper.preview` describes it."""
    if water is None:
        return b"null"
    told = water_told(water.account)
    (day,) = told.pop("days")[:1]
    told["et0_mm"] = day["et0_mm"]
    for name, lasts in water.lasts.items():
        told["reservoirs"][name] |= {
            "top_up_after_days": _range(lasts.top_up),
            "dry_after_days": _range(lasts.dry),
        }
    text = json_bytes(told)
    if not has_courses:
        return text
    courses = b",".join(
        b'"%b":%b' % (name.encode(), course) for name, course in water.courses.items()
    )
    return b'%b,"courses":{%b}}' % (text[:-1], courses)


def _range(bounds: Bounds | None) -> dict[str, float] | None:
    return None if bounds is None else bounds._asdict()
