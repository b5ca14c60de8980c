"""What a run did to roots, pumps and reservoirs, as text for a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.report.water_days_text import days_block
from controller.report.water_lift_text import lift_line, lift_text
from controller.report.water_stand_text import stand_block, stand_table
from controller.report.water_tank_text import tank_block, tank_line

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.schedule import Schedule
    from controller.dry_run.account import Account
    from controller.dry_run.water.water_account import WaterAccount
    from controller.report.ink import Ink

_BLOCKS_MAX = 4  # of a kind that are told one by one; more are told in short


def water_lines(
    schedule: Schedule, account: Account, water: WaterAccount, *, width: int, ink: Ink
) -> list[str]:
    """Stands, lifts, reservoirs and days, with an empty line before each block."""
    lines: list[str] = []
    for block in _blocks(schedule, account, water, width, ink):
        lines += ["", *block]
    return lines


def _blocks(
    schedule: Schedule, account: Account, water: WaterAccount, width: int, ink: Ink
) -> Iterator[list[str]]:
    calendar, run_ms = schedule.calendar, account.run_ms
    stands = list(water.stands.values())
    if len(stands) > _BLOCKS_MAX:
        yield stand_table(stands, calendar, run_ms=run_ms, width=width, ink=ink)
    else:
        for stand in stands:
            yield stand_block(stand, water, calendar, account=account, width=width, ink=ink)
    lifts = list(water.lifts.values())
    if len(lifts) > _BLOCKS_MAX:
        entries = [line for one in lifts for line in lift_line(one, width=width)]
        yield [ink.heading("Water to the top"), *entries]
    else:
        for lift in lifts:
            yield lift_text(lift, width=width, ink=ink, with_curves=len(lifts) == 1)
    tanks = list(water.reservoirs.values())
    if len(tanks) > _BLOCKS_MAX:
        entries = [line for one in tanks for line in tank_line(one, calendar, width=width)]
        yield [ink.heading("Reservoirs"), *entries]
    else:
        for tank in tanks:
            yield tank_block(tank, calendar, width=width, ink=ink)
    if water.rests_on_air:
        yield days_block(water, width=width, ink=ink)
