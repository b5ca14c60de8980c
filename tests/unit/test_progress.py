"""The progress of a run: moves with time, and only now and then."""

from __future__ import annotations

from controller.cli.progress import Progress
from controller.core.orders import Event, Notice, Reason, Why
from controller.core.units import DAY_MS, HOUR_MS

_REASON = Reason(Why.PLAN)


def test_it_moves_by_days_of_the_run() -> None:
    """Changes within six hours of the last move are passed over."""
    with Progress("plan.toml", 0, 10 * DAY_MS) as progress:
        progress.begin(0, [(False, _REASON)])
        told = []
        for hour in range(0, 25, 3):
            progress.change(hour * HOUR_MS, 0, _REASON, is_on=True, is_wet=True)
            told.append(round(progress.done_days * 24))
        progress.notice(DAY_MS, Notice(Event.POWER_LOST))
        progress.finish(10 * DAY_MS)
    assert told == [0, 0, 6, 6, 12, 12, 18, 18, 24]
