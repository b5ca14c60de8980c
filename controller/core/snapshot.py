"""Snapshot: the controller's memory as a text that outlives a crash or a power cut.

Compact JSON with a version. Loads stand by name and variants by name, so that the text can
be read back under another plan. What a new boot forgets anyway is left out: readings, turns
and starts.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, NamedTuple

from controller.core.adoption import Known, fit, known_loads
from controller.core.alarms import ALARMS_MAX
from controller.core.cycle import Cycle, parse_cycle
from controller.core.errors import BadCycleError, BadSnapshotError
from controller.core.guards import FLOW_RETRY_MS
from controller.core.memory import Alarm, Hold, LoadMemory, Memory, awaited_sensors
from controller.core.orders import AlarmCode, Reason, Why
from controller.core.plan import LOADS_MAX
from controller.core.plan_parts.values import NAME_PATTERN
from controller.core.timeline import Piece
from controller.core.units import DATE_MAX, DATE_MIN, DAY_MS, DURATION_MS_MAX, day_number, shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from controller.core.observation import Observation, Tick
    from controller.core.orders import Notice
    from controller.core.schedule import Schedule

# One more whenever an earlier reader would misread the text.
VERSION = 1

# Far above what the largest plan with every alarm there is comes to.
_TEXT_LENGTH_MAX = 4_000_000
_NAME_LENGTH_MAX = 40  # of loads, sensors and variants
_FAR = 10**16  # no tick, and no instant of a clock that is off by ages, is farther from 0
_SURROGATE = re.compile("[\ud800-\udfff]")  # JSON can say one; nobody can write it down again
# A clock that was trusted showed a date that the plan can be asked about, days around it too.
_FIRST = (day_number(DATE_MIN) + 30) * DAY_MS
_LAST = (day_number(DATE_MAX) - 30) * DAY_MS


class Restored(NamedTuple):
    """What a text gave back: a memory and what to note of it, or why there is none.

    `memory` is of the boot in which it was written; `decide` sees from the observation's
    boot that the loads have been without a controller. `down_ms_max` is how long at most
    that was, where it was within this boot of the kernel: the time since the last decision
    that was written down.
    """

    memory: Memory | None
    refused: str = ""
    notices: tuple[Notice, ...] = ()
    down_ms_max: int | None = None


def snapshot_text(schedule: Schedule, memory: Memory, *, kernel_boot: str) -> str:
    """The memory as one line of JSON: what the first decision of a new boot needs of it.

    Under 300 bytes a load whose cycle in force has ten steps at most, and under 300 bytes
    besides, alarms and long names not counted. `kernel_boot` names the kernel's boot, so that a
    reader knows whether the monotonic clock has run on.
    """
    known = known_loads(schedule, memory)
    waters = {load.name for load in schedule.loads if load.counts_waterings}
    written: dict[str, object] = {
        "version": VERSION,
        "kernel": kernel_boot,
        "boot": memory.boot,
        "booted": memory.booted,
        "now": memory.now,
        "tick": memory.tick,
        "trusted": memory.is_clock_trusted,
        "untrusted_since": memory.untrusted_since,
        "down_since": memory.down_since,
        "stopped": memory.is_stopped,
        "pressed": schedule.plan.guards.stop_switch if memory.is_switch_pressed else None,
        "loads": {name: _parts_of(its, waters=name in waters) for name, its in known.items()},
        "alarms": [_alarm_parts(alarm) for alarm in memory.alarms],
    }
    return json.dumps(written, ensure_ascii=False, separators=(",", ":"))


def restored_memory(
    schedule: Schedule, text: str, seen: Observation, *, kernel_boot: str
) -> Restored:
    """The memory that a text holds, laid on the present plan, which may have other loads.

    Any text is taken: one that is damaged, foreign or newer gives no memory and says why.
    `seen` is the world now; only its tick is asked for.
    """
    try:
        fields = _fields_of(text)
        return _restored(schedule, fields, tick_now=seen.tick, kernel_boot=kernel_boot)
    except BadSnapshotError as error:
        return Restored(None, str(error))


def restored_boot(text: str) -> int:
    """The number of the boot in which a text was written; 0 where it cannot be read. The
    next boot's is one more."""
    try:
        return _fields_of(text).number("boot", least=0)
    except BadSnapshotError:
        return 0


def _fields_of(text: str) -> _Fields:
    """The top of the text, its version known to be ours.

    Raises:
        BadSnapshotError: it is not.
    """
    if len(text) > _TEXT_LENGTH_MAX:
        raise BadSnapshotError(f"the state has {len(text)} characters, more than any can have")
    try:
        value = json.loads(text)
    except (ValueError, RecursionError) as error:  # a number of 5,000 digits, endless nesting
        raise BadSnapshotError(f"the state is no JSON: {error}") from None
    fields = _Fields("the state", value)
    version = fields.number("version", least=1)
    if version > VERSION:
        raise BadSnapshotError(
            f"the state was written by a newer rootclock: its version is {version}, and this "
            f"one reads {VERSION}"
        )
    return fields


def _restored(schedule: Schedule, fields: _Fields, *, tick_now: Tick, kernel_boot: str) -> Restored:
    tick = fields.number("tick")
    is_clock_trusted = fields.truth("trusted")
    now = fields.number("now", least=_FIRST, most=_LAST) if is_clock_trusted else None
    pressed = fields.name_or_none("pressed")
    known = {name: _known_of(its, tick=tick) for name, its in fields.loads()}
    fitted = fit(schedule, known, fields.alarms(), tick=tick)
    memory = Memory(
        boot=fields.number("boot", least=0),
        booted=fields.number("booted", most=tick),
        now=fields.number("now") if now is None else now,
        tick=tick,
        is_clock_trusted=is_clock_trusted,
        untrusted_since=fields.number("untrusted_since", most=tick),
        down_since=fields.number_or_none("down_since"),
        is_stopped=fields.truth("stopped") or pressed is not None,
        is_switch_pressed=pressed is not None and pressed == schedule.plan.guards.stop_switch,
        loads=fitted.loads,
        starts=(),
        recovery=(),
        readings=None,
        known={},
        awaited=awaited_sensors(schedule, tick),
        sensor_look=tick,
        alarms=fitted.alarms,
        troubles=frozenset(),
    )
    away_ms = tick_now - tick
    ran_on = fields.text("kernel") == kernel_boot and 0 <= away_ms <= _LAST - _FIRST
    if is_clock_trusted and memory.now + away_ms > _LAST:
        ran_on = False  # one of the two is damaged
    return Restored(memory, "", fitted.notices, away_ms if ran_on else None)


# One load


def _parts_of(known: Known, *, waters: bool) -> dict[str, object]:
    """What is remembered of a load as JSON has it; what is not so is left out."""
    its = known.its
    parts: dict[str, object] = {
        "kind": known.kind,
        "on": its.is_on,
        "since": its.since,
        "why": its.reason.why.value,
    }
    piece = its.reason.piece
    if its.is_on and waters and piece is not None:  # by which a watering is measured
        parts |= {"from": piece.start, "until": piece.end, "cycle": str(piece.cycle)}
        if piece.watering_ms is not None:
            parts["watering"] = piece.watering_ms
    if its.reason.why is Why.DEMAND and its.reason.until is not None:
        parts["due"] = its.reason.until  # no rest that runs is drawn out
    if its.watered is not None:
        parts["watered"] = its.watered
    if its.hold is not None:
        what = "cycle" if isinstance(its.hold.order, Cycle) else "variant"
        parts["hold"] = {what: str(its.hold.order), "began": its.hold.began, "ends": its.hold.ends}
    if known.variant:
        parts |= {"variant": known.variant, "variant_since": its.variant_since}
    if its.flow_retry is not None:
        parts["retry"] = its.flow_retry
    return parts


def _known_of(fields: _Fields, *, tick: Tick) -> Known:
    piece = None
    if "cycle" in fields:
        piece = Piece(
            fields.number("from"),
            fields.number("until"),
            -1,
            fields.cycle(),
            fields.number_or_none("watering", least=0),
        )
    variant = fields.name_or_none("variant")
    its = LoadMemory(
        is_on=fields.truth("on"),
        since=fields.number("since", most=tick),
        look=tick,
        reason=Reason(fields.why(), piece, "", fields.number_or_none("due")),
        watered=fields.number_or_none("watered", most=tick),
        hold=_hold_of(fields.table("hold"), tick=tick) if "hold" in fields else None,
        variant_since=0 if variant is None else fields.number("variant_since", most=tick),
        flow_retry=fields.number_or_none("retry", most=tick + FLOW_RETRY_MS),
    )
    return Known(fields.text("kind"), its, variant or "")


def _hold_of(fields: _Fields, *, tick: Tick) -> Hold:
    order = fields.cycle() if "cycle" in fields else fields.name("variant")
    began = fields.number("began", most=tick)
    # Nothing manual lasts for ever, whatever a text says.
    return Hold(order, began, fields.number("ends", least=began, most=began + DURATION_MS_MAX))


# What a text says, with nothing taken on trust


class _Fields:
    """A JSON object that is asked for its fields.

    Every method raises BadSnapshotError where the text has something else there.
    """

    def __init__(self, where: str, value: object) -> None:
        if not isinstance(value, dict):
            raise BadSnapshotError(f"{where} is {shown(value)}, not a table")
        self._where = where
        self._values = value

    def __contains__(self, key: str) -> bool:
        return self._values.get(key) is not None

    def _wrong(self, key: str, allowed: str) -> BadSnapshotError:
        found = shown(self._values[key]) if key in self._values else "missing"
        return BadSnapshotError(f"{self._where}: {key} is {found}, not {allowed}")

    def number(self, key: str, *, least: int = -_FAR, most: int = _FAR) -> int:
        """A whole number between bounds."""
        value = self._values.get(key)
        if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
            raise self._wrong(key, f"a whole number from {least} to {most}")
        return value

    def number_or_none(self, key: str, *, least: int = -_FAR, most: int = _FAR) -> int | None:
        """A whole number, or None where there is none."""
        return self.number(key, least=least, most=most) if key in self else None

    def truth(self, key: str) -> bool:
        """True or false."""
        value = self._values.get(key)
        if not isinstance(value, bool):
            raise self._wrong(key, "true or false")
        return value

    def text(self, key: str) -> str:
        """A text."""
        value = self._values.get(key)
        if not isinstance(value, str) or _SURROGATE.search(value):
            raise self._wrong(key, "a text")
        return value

    def name(self, key: str) -> str:
        """A text that can be a variant's, a sensor's or a load's name."""
        value = self.text(key)
        if not 0 < len(value) <= _NAME_LENGTH_MAX:
            raise self._wrong(key, f"a name of 1 to {_NAME_LENGTH_MAX} characters")
        return value

    def name_or_none(self, key: str) -> str | None:
        """A name, or None where there is none."""
        return self.name(key) if key in self else None

    def why(self) -> Why:
        """The rule that a load follows."""
        text = self.text("why")
        for why in Why:
            if why.value == text:
                return why
        raise self._wrong("why", "the name of a rule")

    def cycle(self) -> Cycle:
        """A cycle."""
        try:
            return parse_cycle(self.text("cycle"))
        except BadCycleError as error:
            raise BadSnapshotError(f"{self._where}: {error}") from None

    def table(self, key: str) -> _Fields:
        """A table within this one."""
        return _Fields(f"{self._where}, {key}", self._values.get(key))

    def loads(self) -> Iterator[tuple[str, _Fields]]:
        """The table of each load, by its name."""
        tables = self._values.get("loads")
        if not isinstance(tables, dict) or len(tables) > LOADS_MAX:
            raise self._wrong("loads", f"a table of {LOADS_MAX} loads at most")
        for name, table in tables.items():
            if not re.fullmatch(NAME_PATTERN, name):
                raise BadSnapshotError(f"{self._where}: no load can be called {shown(name)}")
            yield name, _Fields(f"{self._where}, {name}", table)

    def alarms(self) -> list[Alarm]:
        """The alarms that stand."""
        rows = self._values.get("alarms")
        if not isinstance(rows, list) or len(rows) > ALARMS_MAX:
            raise self._wrong("alarms", f"a list of {ALARMS_MAX} alarms at most")
        return [_alarm_of(_Fields(f"{self._where}, alarm {n}", row)) for n, row in enumerate(rows)]


def _alarm_parts(alarm: Alarm) -> dict[str, object]:
    return {
        "code": alarm.code.value,
        "subject": alarm.subject,
        "since": alarm.since,
        "active": alarm.is_active,
        "acknowledged": alarm.is_acknowledged,
    }


def _alarm_of(fields: _Fields) -> Alarm:
    code = fields.text("code")
    codes = {code.value: code for code in AlarmCode}
    if code not in codes:
        raise BadSnapshotError(f"there is no alarm {shown(code)}")
    return Alarm(
        codes[code],
        fields.name("subject") if fields.text("subject") else "",
        fields.number("since"),
        fields.truth("active"),
        fields.truth("acknowledged"),
    )
