"""Small pieces around the loop: restart, mock sensors, explanations, lean imports."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Collection, Mapping, Sequence
from types import SimpleNamespace
from typing import Any

import pytest

from controller.core.journal_entry import Summary
from controller.core.memory import first_memory
from controller.core.observation import Observation, Reading, Tick
from controller.core.orders import Event, Notice
from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.snapshot import snapshot_text
from controller.core.units import DAY_MS, HOUR_MS
from controller.daemon.explaining import explanation
from controller.daemon.mock_sensors import MockBoardSensors
from controller.daemon.modelled_sensors import ModelledSensors
from controller.daemon.restart import restart
from controller.daemon.world import Outage
from controller.shell.alive_mark import LastAlive
from tests.stage.clock import StageClock
from tests.stage.virtual_loop import run_virtually
from tests.worlds import MIDNIGHT, load, plan_of, spans

# Restart

PLAN = plan_of(pump=load("15m on, 15m off"))
SCHEDULE = make_schedule(PLAN)
LAST = Observation(MIDNIGHT, 1_000_000, 4, True, {})
STATE = snapshot_text(SCHEDULE, first_memory(SCHEDULE, LAST), kernel_boot="this")


def restarted(
    *, kernel_boot: str, tick: Tick, alive: LastAlive | None, state: str | None = STATE
) -> tuple[Outage, bool]:
    """How a start follows on that state, and whether it has a memory."""

    async def begun() -> tuple[Outage, bool]:
        clock = StageClock(start=MIDNIGHT + HOUR_MS, booted_ms=tick)
        it = restart(SCHEDULE, state, alive=alive, clock=clock, kernel_boot=kernel_boot)
        return it.outage, it.memory is not None

    return run_virtually(begun())


@pytest.mark.parametrize(
    ("kernel_boot", "tick", "alive", "outage"),
    [
        pytest.param(
            "this",
            1_300_000,
            LastAlive(MIDNIGHT + 200_000, 1_200_000),
            Outage(5, "this", MIDNIGHT + 200_000, 100_000),
            id="killed: since it was last alive",
        ),
        pytest.param(
            "this", 1_300_000, None, Outage(5, "this", None, 300_000),
            id="no mark: since its last decision at most",
        ),
        pytest.param(
            "this",
            1_300_000,
            LastAlive(MIDNIGHT, 900_000),
            Outage(5, "this", MIDNIGHT, 300_000),
            id="a mark from before the last decision tells nothing better",
        ),
        pytest.param(
            "this",
            1_300_000,
            LastAlive(MIDNIGHT, 9_000_000),
            Outage(5, "this", MIDNIGHT, 0),
            id="a mark of the future makes no outage shorter than none",
        ),
        pytest.param(
            "next", 7_000, None, Outage(5, "next", None, None),
            id="another boot: nobody can tell by the monotonic clock",
        ),
    ],
)  # fmt: skip
def test_a_start_knows_how_long_it_was_away(
    kernel_boot: str, tick: Tick, alive: LastAlive | None, outage: Outage
) -> None:
    """As well as anything tells."""
    assert restarted(kernel_boot=kernel_boot, tick=tick, alive=alive) == (outage, True)


def test_a_first_start_has_no_past() -> None:
    """And one whose state is damaged has none that can be used, but another number."""
    assert restarted(kernel_boot="this", tick=5, alive=None, state=None) == (
        Outage(0, "this"),
        False,
    )
    assert restarted(kernel_boot="this", tick=5, alive=None, state="{}")[1] is False


# Sensors of a mock board


class Fixed:
    """Sensors that read what they are given."""

    def __init__(self, readings: Mapping[str, Reading], look: Tick) -> None:
        self.readings = readings
        self.look = look
        self.watched: list[list[str]] = []
        self.attended: list[Collection[str]] = []
        self.closed = 0

    def next_look(self) -> Tick:
        """When given."""
        return self.look

    def watch(self, plan: Plan) -> None:
        """Takes notice."""
        self.watched.append(sorted(plan.sensors))

    def attend(self, loads_on: Collection[str]) -> None:
        """Takes notice."""
        self.attended.append(loads_on)

    def summaries(self) -> Sequence[Summary]:
        """Nothing."""
        return ()

    def close(self) -> None:
        """Takes notice."""
        self.closed += 1


AIR = {"measures": "air_temperature", "file": "/sys/x"}
FLOAT = {"measures": "level", "line": 4}


def test_a_mock_board_models_what_has_no_file() -> None:
    """What a file says goes first; the same mapping while nothing new was read."""
    read = Fixed({"air": Reading(20.0, 1)}, 50)
    modelled = Fixed({"air": Reading(11.0, 1), "float": Reading(1.0, 1)}, 40)
    sensors = MockBoardSensors(read=read, make_modelled=lambda: modelled)
    sensors.watch(plan_of(pump=load("on", level="float"), sensors={"air": AIR, "float": FLOAT}))
    assert (read.watched, modelled.watched) == ([["air"]], [["air", "float"]])
    assert sensors.readings == {"air": Reading(20.0, 1), "float": Reading(1.0, 1)}
    assert sensors.readings is sensors.readings
    read.readings = {"air": Reading(21.0, 2)}
    assert sensors.readings["air"] == Reading(21.0, 2)
    assert sensors.next_look() == 40
    sensors.attend(["pump"])
    assert (read.attended, sensors.summaries()) == ([["pump"]], ())
    sensors.close()
    assert (read.closed, modelled.closed) == (1, 1)


def test_a_mock_board_whose_sensors_all_have_files_models_nothing() -> None:
    """The model is not even made, and costs no memory."""

    def never() -> Fixed:
        raise AssertionError("made")

    read = Fixed({"air": Reading(20.0, 1)}, 50)
    sensors = MockBoardSensors(read=read, make_modelled=never)
    sensors.watch(plan_of(pump=load("on"), sensors={"air": AIR}))
    assert sensors.readings is read.readings
    assert sensors.next_look() == 50
    sensors.close()
    assert read.closed == 1


def test_modelled_sensors_go_on_for_days() -> None:
    """A mock board left alone for a month has air, water and no leak still."""
    hot = {"name": "hot", "sensor": "air", "above": 32.0, "until": 29.0, "spans": spans("on")}
    plan = plan_of(
        pump=load("15m on, 15m off", level="float", variants=[hot]),
        sensors={"air": {"measures": "air_temperature"}, "float": {"measures": "level"}},
    )

    async def read() -> list[list[str]]:
        clock = StageClock(start=MIDNIGHT)
        sensors = ModelledSensors(clock, lambda: [True])
        sensors.watch(plan)
        found = []
        for _ in range(3):
            found.append(sorted(sensors.readings))
            assert clock.read()[1] <= sensors.next_look()
            clock.step(15 * DAY_MS)
        sensors.attend(["pump"])
        assert sensors.summaries() == ()
        sensors.close()
        return found

    assert run_virtually(read()) == [["air", "float"]] * 3


# What the board knows of a notice


def parts(**known: Any) -> Any:
    """A board that knows this much."""
    return SimpleNamespace(
        clock=SimpleNamespace(trust=SimpleNamespace(reason=known.get("reason"))),
        board=SimpleNamespace(relays=SimpleNamespace(faults=lambda: {"pump": "line 17 fails"})),
        journal=SimpleNamespace(trouble="the disk is full"),
        why_silent=lambda: {"air": "no such file"},
    )


@pytest.mark.parametrize(
    ("notice", "words"),
    [
        pytest.param(Notice(Event.CLOCK_TRUSTED), "the kernel says so", id="why the clock"),
        pytest.param(
            Notice(Event.ALARM_RAISED, "pump", "relay does not obey"), "line 17 fails", id="a line"
        ),
        pytest.param(Notice(Event.ALARM_RAISED, "fan", "relay does not obey"), "", id="not known"),
        pytest.param(
            Notice(Event.ALARM_RAISED, "", "journal not written"), "the disk is full", id="a disk"
        ),
        pytest.param(
            Notice(Event.ALARM_RAISED, "air", "sensor silent"), "no such file", id="a sensor"
        ),
        pytest.param(Notice(Event.ALARM_RAISED, "floor", "leak"), "", id="a leak says it all"),
        pytest.param(Notice(Event.ALARM_CLEARED, "pump", "relay does not obey"), "", id="over"),
    ],
)
def test_the_journal_hears_what_the_board_knows(notice: Notice, words: str) -> None:
    """Where there is more to say than the decision knew."""
    assert explanation(notice, parts(reason="the kernel says so")) == words


def test_a_clock_without_a_reason_has_none() -> None:
    """It was believed for no reason that was kept."""
    assert explanation(Notice(Event.CLOCK_TRUSTED), parts()) == ""


# Imports without OpenSSL

_LEAN = """
import sys
assert not {"ssl", "_hashlib", "asyncio", "hashlib"} & set(sys.modules)
from controller.daemon.lean_imports import import_lean
import_lean()
import_lean()
import asyncio, hashlib, hmac
from pathlib import Path
assert "ssl" not in sys.modules and "_hashlib" not in sys.modules
assert "libcrypto" not in Path("/proc/self/maps").read_text()
# FIPS 180-4, appendix: the digest of "abc"
assert hashlib.sha256(b"abc").hexdigest().startswith("ba7816bf8f01cfea")
assert not hasattr(hashlib, "scrypt")
assert asyncio.sslproto.ssl is None
import ssl
assert ssl.create_default_context() is not None
"""


def _bare_environment() -> dict[str, str]:
    """Without what measures coverage, which imports hashlib first."""
    return {name: value for name, value in os.environ.items() if not name.startswith("COV")}


def test_lean_imports_leave_openssl_out_and_hide_nothing() -> None:
    """The process maps no libcrypto; whoever imports ssl after that has it."""
    subprocess.run([sys.executable, "-c", _LEAN], check=True, env=_bare_environment())  # noqa: S603 - our own words


def test_lean_imports_change_nothing_that_is_there_already() -> None:
    """A process that has asyncio with TLS keeps it."""
    code = (
        "import asyncio, hashlib, sys\n"
        "from controller.daemon.lean_imports import import_lean\n"
        "import_lean()\n"
        "assert 'ssl' in sys.modules and asyncio.sslproto.ssl is not None\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, env=_bare_environment())  # noqa: S603
