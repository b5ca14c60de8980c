"""Snapshot: the controller's memory as a text that outlives a crash or a power cut.

Compact JSON with a version. Loads stand by name and variants by name, so that the text can
be read back under another plan. What a new boot forgets anyway is left out: readings, turns
and starts.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, NamedTuple

from controller.core.adoption import Known, fit, known_loads
from controller.core.cycle import Cycle
from controller.core.errors import BadSnapshotError
from controller.core.guards import FLOW_RETRY_MS
from controller.core.memory import Alarm, Hold, LoadMemory, Memory, awaited_sensors
from controller.core.orders import AlarmCode, Reason
from controller.core.snapshot_fields import Fields
from controller.core.spans_in_force import Piece
from controller.core.units import DATE_MAX, DATE_MIN, DAY_MS, DURATION_MS_MAX, day_number, shown

if TYPE_CHECKING:
    from controller.core.observation import Observation, Tick
    from controller.core.orders import Notice
    from controller.core.schedule import Schedule

# One more whenever an earlier reader would misread the text.
VERSION = 1

# Far above what the largest plan with every alarm there is comes to.
_TEXT_LENGTH_MAX = 4_000_000
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


def _fields_of(text: str) -> Fields:
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
    fields = Fields("the state", value)
    version = fields.number("version", least=1)
    if version > VERSION:
        raise BadSnapshotError(
            f"the state was written by a newer rootclock: its version is {version}, and this "
            f"one reads {VERSION}"
        )
    return fields


def _restored(schedule: Schedule, fields: Fields, *, tick_now: Tick, kernel_boot: str) -> Restored:
    tick = fields.number("tick")
    is_clock_trusted = fields.truth("trusted")
    now = fields.number("now", least=_FIRST, most=_LAST) if is_clock_trusted else None
    pressed = fields.name_or_none("pressed")
    known = {name: _known_of(its, tick=tick) for name, its in fields.loads()}
    fitted = fit(schedule, known, [_alarm_of(alarm) for alarm in fields.alarms()], tick=tick)
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
    if its.rests_until is not None:
        parts["rests_until"] = its.rests_until
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


def _known_of(fields: Fields, *, tick: Tick) -> Known:
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
        reason=Reason(fields.why(), piece),
        watered=fields.number_or_none("watered", most=tick),
        hold=_hold_of(fields.table("hold"), tick=tick) if "hold" in fields else None,
        variant_since=0 if variant is None else fields.number("variant_since", most=tick),
        flow_retry=fields.number_or_none("retry", most=tick + FLOW_RETRY_MS),
        rests_until=fields.number_or_none("rests_until", most=tick + DURATION_MS_MAX),
    )
    return Known(fields.text("kind"), its, variant or "")


def _hold_of(fields: Fields, *, tick: Tick) -> Hold:
    order = fields.cycle() if "cycle" in fields else fields.name("variant")
    began = fields.number("began", most=tick)
    # Nothing manual lasts for ever, whatever a text says.
    return Hold(order, began, fields.number("ends", least=began, most=began + DURATION_MS_MAX))


# Alarms


def _alarm_parts(alarm: Alarm) -> dict[str, object]:
    return {
        "code": alarm.code.value,
        "subject": alarm.subject,
        "since": alarm.since,
        "active": alarm.is_active,
        "acknowledged": alarm.is_acknowledged,
    }


def _alarm_of(fields: Fields) -> Alarm:
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
