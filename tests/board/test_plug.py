"""The plug is pulled twenty times at random moments, while plans are edited and loads switch."""

from __future__ import annotations

import os
import random
import sqlite3
import time
from contextlib import closing
from typing import TYPE_CHECKING, NamedTuple

from controller.core.plan_text.reading import read_plan
from tests.board.installed_disk import STATE
from tests.board.offline_disk import MendedCopy
from tests.board.plans import load, plan
from tests.board.scenario import PLAN as PLAN_PATH
from tests.board.scenario import Relay, Scenario

if TYPE_CHECKING:
    from pathlib import Path

    from tests.board.conftest import NewScenario

PULLS = 20
PUMP = Relay("pump", 5)
LAMP = Relay("lamp", 6, is_active_low=False)
FAN = Relay("fan", 7)


def _plan(number: int) -> str:
    """One of the plans that its grower writes; each tells its number."""
    return plan(
        f"# plan {number:04}\n",
        load(PUMP, "2s on, 2s off"),
        load(LAMP, "1s on, 2s off", kind="lamp"),
        load(FAN, "5m on, 5m off", kind="fan"),
    )


class Found(NamedTuple):
    """How much lies on the disk."""

    entries: int
    revisions: int


# Writes plan after plan on the board until the power goes, each in one step.
_EDITING = f"""
cd /{STATE}
(while true; do
    number=$(( (number + 1) % 10000 ))
    printf -v shown '%04d' "$number"
    sed --in-place "s/^# plan .*/# plan $shown/" plan.toml
    sleep 0.7
done) >/dev/null 2>&1 &
"""


def test_nothing_is_lost_when_the_plug_is_pulled_again_and_again(
    new_scenario: NewScenario, tmp_path: Path
) -> None:
    """After every loss of power, plan, revisions and journal are whole, and it boots again."""
    seed = int(os.environ.get("ROOTCLOCK_BOARD_SEED", "1"))
    chance = random.Random(seed)
    story = new_scenario(PUMP, LAMP, FAN, plan=_plan(0))
    story.note(f"seed {seed}")
    before = Found(0, 0)
    for number in range(1, PULLS + 1):
        _run_for_a_while(story, chance, is_first=number == 1)
        story.pull_plug()
        found = _assert_whole(story, tmp_path / f"pull-{number}")
        story.note(
            f"pull {number} of {PULLS}: all whole, {found.entries} entries in the journal, "
            f"{found.revisions} revisions of the plan"
        )
        assert found.entries >= before.entries
        assert found.revisions >= before.revisions
        before = found
    assert before.entries > 0
    assert before.revisions > 1
    story.boot()
    story.wait_change("pump", is_on=True, within_s=20)
    assert story.status()["plan"]["refused"] is None


def _run_for_a_while(story: Scenario, chance: random.Random, *, is_first: bool) -> None:
    """Power on for a random time; every other time the plug goes while the board boots."""
    if not is_first and chance.random() < 0.5:
        story.power_on()
        time.sleep(chance.uniform(0.5, 15.0))  # the event that is awaited is chance itself
        return
    story.boot().shell.run(_EDITING)
    story.wait_change("pump", is_on=True, within_s=20)
    time.sleep(chance.uniform(0.0, 6.0))


def _assert_whole(story: Scenario, folder: Path) -> Found:
    """Reads everything of rootclock's on the disk, from outside."""
    folder.mkdir()
    copy = MendedCopy(story.disk)
    try:
        state = copy.folder(f"/{STATE}", folder / "found")
    finally:
        copy.close()
    read_plan((state / "plan.toml").read_bytes(), PLAN_PATH)
    revisions = sorted(state.glob("revisions/*.toml"))
    for revision in revisions:
        read_plan(revision.read_bytes(), revision.name)
    journal = state / "journal.db"
    if not journal.exists():
        return Found(0, len(revisions))
    with closing(sqlite3.connect(journal)) as connection:
        (sound,) = connection.execute("PRAGMA integrity_check").fetchone()
        assert sound == "ok"
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema")}
        if "entries" not in tables:  # the plug was pulled before the first was written
            return Found(0, len(revisions))
        (entries,) = connection.execute("SELECT count(*) FROM entries").fetchone()
    return Found(int(entries), len(revisions))
