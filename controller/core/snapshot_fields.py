"""What the text of a snapshot says, with nothing taken on trust."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from controller.core.alarms import ALARMS_MAX
from controller.core.cycle import Cycle, parse_cycle
from controller.core.errors import BadCycleError, BadSnapshotError
from controller.core.orders import Why
from controller.core.plan import LOADS_MAX
from controller.core.plan_parts.values import NAME_PATTERN
from controller.core.units import shown

if TYPE_CHECKING:
    from collections.abc import Iterator

_NAME_LENGTH_MAX = 40  # of loads, sensors and variants
_FAR = 10**16  # no tick, and no instant of a clock that is off by ages, is farther from 0
_SURROGATE = re.compile("[\ud800-\udfff]")  # JSON can say one; nobody can write it down again


class Fields:
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

    def table(self, key: str) -> Fields:
        """A table within this one."""
        return Fields(f"{self._where}, {key}", self._values.get(key))

    def loads(self) -> Iterator[tuple[str, Fields]]:
        """The table of each load, by its name."""
        tables = self._values.get("loads")
        if not isinstance(tables, dict) or len(tables) > LOADS_MAX:
            raise self._wrong("loads", f"a table of {LOADS_MAX} loads at most")
        for name, table in tables.items():
            if not re.fullmatch(NAME_PATTERN, name):
                raise BadSnapshotError(f"{self._where}: no load can be called {shown(name)}")
            yield name, Fields(f"{self._where}, {name}", table)

    def alarms(self) -> list[Fields]:
        """The table of each alarm that stands."""
        rows = self._values.get("alarms")
        if not isinstance(rows, list) or len(rows) > ALARMS_MAX:
            raise self._wrong("alarms", f"a list of {ALARMS_MAX} alarms at most")
        return [Fields(f"{self._where}, alarm {n}", row) for n, row in enumerate(rows)]
