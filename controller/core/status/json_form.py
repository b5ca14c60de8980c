"""The status as JSON has it, and back."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from controller.core.errors import BadStatusError
from controller.core.status.record import (
    AlarmStatus,
    HoldStatus,
    Lateness,
    LoadStatus,
    PlanStatus,
    SensorStatus,
    Status,
    SunStatus,
)
from controller.core.units import Instant, instant_of, rfc3339, shown

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import TypeVar

    _Part = TypeVar("_Part")

# What is called otherwise in JSON: an instant says that it is UTC.
_INSTANTS = {"now": "now_utc", "taken": "taken_utc", "since": "since_utc", "until": "until_utc",
             "ends": "ends_utc", "sunrise": "sunrise_utc", "sunset": "sunset_utc"}  # fmt: skip


def as_json(status: Status) -> dict[str, Any]:
    """The status as a JSON object; instants are RFC 3339 with Z, under keys in `_utc`."""
    whole = _table(status)
    whole["sun"] = _table(status.sun)
    whole["plan"] = _table(status.plan)
    whole["loads"] = [load_as_json(load) for load in status.loads]
    whole["sensors"] = [sensor._asdict() for sensor in status.sensors]
    whole["alarms"] = [_table(alarm) for alarm in status.alarms]
    whole["lateness"] = lateness_as_json(status.lateness)
    return whole


def load_as_json(load: LoadStatus) -> dict[str, Any]:
    """One load of the status as a JSON object."""
    table = _table(load)
    table["held"] = None if load.held is None else _table(load.held)
    return table


def lateness_as_json(lateness: Lateness) -> dict[str, Any]:
    """How late switchings were, as a JSON object."""
    table = lateness._asdict()
    return {"count": table.pop("switchings"), **table}


def _table(
    part: Status | SunStatus | PlanStatus | LoadStatus | HoldStatus | AlarmStatus,
) -> dict[str, Any]:
    table: dict[str, Any] = {}
    for key, value in part._asdict().items():
        name = _INSTANTS.get(key)
        if name is None:
            table[key] = value
        else:
            table[name] = None if value is None else rfc3339(value)
    return table


def status_from_json(value: object) -> Status:
    """The status that `as_json` wrote; keys that a newer daemon adds are let be.

    Raises:
        BadStatusError: it is no status; says what is missing or wrong.
    """
    top = _Reader(value, "status")
    return Status(
        version=top.text("version"),
        protocol=top.whole("protocol"),
        now=top.instant("now_utc"),
        now_local=top.text("now_local"),
        timezone=top.text("timezone"),
        up_s=top.number("up_s"),
        is_mock=top.truth("is_mock"),
        is_rehearsal=top.truth("is_rehearsal"),
        speed=top.number("speed"),
        is_clock_trusted=top.truth("is_clock_trusted"),
        is_stopped=top.truth("is_stopped"),
        sun=_sun(top.part("sun")),
        plan=_plan(top.part("plan")),
        loads=top.parts("loads", _load),
        sensors=top.parts("sensors", _sensor),
        alarms=top.parts("alarms", _alarm),
        lateness=_lateness(top.part("lateness")),
    )


class _Reader:
    """Takes values out of one object, and says where one does not fit."""

    def __init__(self, value: object, where: str) -> None:
        if not isinstance(value, dict):
            raise BadStatusError(f"{where}: {shown(value)} is not an object")
        self._value = value
        self._where = where

    def _take(self, key: str, kind: type | tuple[type, ...], name: str) -> Any:
        value = self._value.get(key)
        is_truth = isinstance(value, bool)
        if not isinstance(value, kind) or (is_truth and kind is not bool):
            there = shown(value) if key in self._value else "missing"
            raise BadStatusError(f"{self._where}.{key}: {there}, where {name} was to be")
        return value

    def _is_null(self, key: str) -> bool:
        return key in self._value and self._value[key] is None

    def text(self, key: str) -> str:
        taken: str = self._take(key, str, "text")
        return taken

    def text_or_none(self, key: str) -> str | None:
        return None if self._is_null(key) else self.text(key)

    def truth(self, key: str) -> bool:
        taken: bool = self._take(key, bool, "true or false")
        return taken

    def whole(self, key: str) -> int:
        taken: int = self._take(key, int, "a whole number")
        return taken

    def number(self, key: str) -> float:
        return float(self._take(key, (int, float), "a number"))

    def number_or_none(self, key: str) -> float | None:
        return None if self._is_null(key) else self.number(key)

    def instant(self, key: str) -> Instant:
        text = self.text(key)
        try:  # not as strict as with people: a board's wrong clock may show any year
            return instant_of(datetime.fromisoformat(text))
        except ValueError as error:
            raise BadStatusError(f"{self._where}.{key}: {error}") from None

    def instant_or_none(self, key: str) -> Instant | None:
        return None if self._is_null(key) else self.instant(key)

    def part(self, key: str) -> _Reader:
        return _Reader(self._value.get(key), f"{self._where}.{key}")

    def part_or_none(self, key: str) -> _Reader | None:
        return None if self._is_null(key) else self.part(key)

    def parts(self, key: str, make: Callable[[_Reader], _Part]) -> tuple[_Part, ...]:
        items = self._take(key, list, "a list")
        return tuple(
            make(_Reader(item, f"{self._where}.{key}.{place}")) for place, item in enumerate(items)
        )


def _sun(part: _Reader) -> SunStatus:
    return SunStatus(part.instant_or_none("sunrise_utc"), part.instant_or_none("sunset_utc"))


def _plan(part: _Reader) -> PlanStatus:
    return PlanStatus(
        source=part.text("source"),
        revision=part.whole("revision"),
        taken=part.instant_or_none("taken_utc"),
        refused=part.text_or_none("refused"),
    )


def _load(part: _Reader) -> LoadStatus:
    held = part.part_or_none("held")
    return LoadStatus(
        name=part.text("name"),
        kind=part.text("kind"),
        line=part.whole("line"),
        is_on=part.truth("is_on"),
        since=part.instant_or_none("since_utc"),
        for_s=part.number_or_none("for_s"),
        until=part.instant_or_none("until_utc"),
        left_s=part.number_or_none("left_s"),
        why=part.text("why"),
        sentence=part.text("sentence"),
        held=None
        if held is None
        else HoldStatus(
            held.text("order"), held.instant_or_none("ends_utc"), held.number("left_s")
        ),
        variant=part.text_or_none("variant"),
        watts=part.number_or_none("watts"),
        may_be_mains=part.truth("may_be_mains"),
    )


def _sensor(part: _Reader) -> SensorStatus:
    return SensorStatus(
        name=part.text("name"),
        measures=part.text("measures"),
        unit=part.text("unit"),
        value=part.number_or_none("value"),
        age_s=part.number_or_none("age_s"),
        why_silent=part.text_or_none("why_silent"),
    )


def _alarm(part: _Reader) -> AlarmStatus:
    return AlarmStatus(
        code=part.text("code"),
        subject=part.text("subject"),
        since=part.instant("since_utc"),
        is_active=part.truth("is_active"),
        is_acknowledged=part.truth("is_acknowledged"),
        what_to_do=part.text("what_to_do"),
    )


def _lateness(part: _Reader) -> Lateness:
    return Lateness(
        switchings=part.whole("count"),
        p50_ms=part.number_or_none("p50_ms"),
        p99_ms=part.number_or_none("p99_ms"),
        max_ms=part.number_or_none("max_ms"),
    )
