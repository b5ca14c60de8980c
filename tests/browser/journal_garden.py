"""A garden with a past: nine invented days of waterings, a night in which somebody stopped all."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import TYPE_CHECKING, NamedTuple

from controller.core.journal_entry import Entry
from controller.core.units import DAY_MS, HOUR_MS, MINUTE_MS, day_number
from controller.core.wall_clock import load_zone, local_datetime, local_midnight
from controller.shell.clock.today import now
from controller.shell.plan_store.store import PlanStore
from tests.browser.conftest import Garden, grown
from tests.journals import opened

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

ZURICH = load_zone("Europe/Zurich")
# Of no plant; half-hours so that every watering has a time that is easily told.
_PLAN = """\
format = 1
[site]
latitude = 47.4
longitude = 8.5
timezone = "Europe/Zurich"
[loads.tower]
kind = "pump"
line = 17
active = "low"
spans = [{ from = "00:00", cycle = "15m on, 15m off" }]
[loads.fan]
kind = "fan"
line = 22
active = "low"
spans = [{ from = "00:00", cycle = "off" }]
"""


async def _take_plan(folder: Path, *, at: int) -> None:
    """The plan came into force then."""
    plan = folder / "plan.toml"
    plan.write_text(_PLAN, encoding="utf-8")
    store = PlanStore(plan, folder / "state")
    store.start(at)
    await store.keep()


class Night(NamedTuple):
    """The garden, and the local date of the night in which it did not water at three."""

    garden: Garden
    date: str


@contextmanager
def garden_with_a_past(folder: Path) -> Iterator[Night]:
    """The tower watered 15 min of each half-hour, as its plan wants; the night before last, Wren
    stopped all from 02:40 to 04:20, by the site's clocks, and held the tower on for half an hour
    some three hours ago."""
    (folder / "state").mkdir()
    journal = opened(folder / "state")
    journal.note_zone("Europe/Zurich")
    end = now() - 10 * MINUTE_MS
    begin = end - 9 * DAY_MS
    night = local_midnight(ZURICH, day_number(local_datetime(ZURICH, end).date()) - 1)
    stop, release = night + 2 * HOUR_MS + 40 * MINUTE_MS, night + 4 * HOUR_MS + 20 * MINUTE_MS
    hold = end - end % (30 * MINUTE_MS) - 3 * HOUR_MS + 15 * MINUTE_MS  # while it would rest
    entries = [
        Entry(at, at - begin, True, what, "tower", "plan", words, 1.5)
        for start in range(begin - begin % (30 * MINUTE_MS), end, 30 * MINUTE_MS)
        for at, what, words in (
            (start, "on", "Watering. Cycle 15m on, 15m off."),
            (start + 15 * MINUTE_MS, "off", "Resting. Cycle 15m on, 15m off."),
        )
        if not stop - 15 * MINUTE_MS <= at < release and not hold <= at < hold + 30 * MINUTE_MS
    ]
    entries += [
        Entry(stop, stop - begin, True, "everything stopped", detail="by Wren"),
        Entry(
            stop + 1, stop - begin, True, "off", "tower", "stop switch",
            "Resting. Everything is stopped until a person lets it go on.",
        ),
        Entry(release, release - begin, True, "stop released", detail="by Wren"),
        Entry(hold, hold - begin, True, "hold began", "tower", detail="on for 30m, by Wren"),
        Entry(hold, hold - begin, True, "on", "tower", "hold", "Watering. Held by hand: on."),
    ]  # fmt: skip
    journal.note(sorted(entries, key=lambda one: one.at))
    assert journal.close()
    with ThreadPoolExecutor(1) as pool:  # this thread's event loop is the browser's
        pool.submit(lambda: asyncio.run(_take_plan(folder, at=begin))).result()
    with grown(folder, _PLAN) as garden:
        yield Night(garden, local_datetime(ZURICH, night).date().isoformat())
