"""One column of text cells made into numbers in our units, each within what can be."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from controller.core.units import shown
from controller.weather.complaints import Complaints
from controller.weather.told_day import DayColumn
from controller.weather.weather import ColumnName

# What air near the ground can be, with room to spare; from memory of the WMO's archive of
# extremes (-89.2 to 56.7 °C, gust 113 m/s as a 3-second mean, an hour's less) and of the
# EnergyPlus data dictionary (humidity to 110 %, pressure from 31 kPa). Radiation beyond the
# solar constant (1361 W/m²) happens for minutes at the edges of clouds. In a day no more falls
# above the air than 48.5 MJ/m², at the south pole in December (FAO-56, eq. 21).
LIMITS: dict[ColumnName | DayColumn, tuple[float, float]] = {
    "air_temperature_c": (-90.0, 60.0),
    "humidity_pct": (0.0, 110.0),
    "wind_m_s": (0.0, 110.0),
    "global_radiation_w_m2": (0.0, 1500.0),
    "pressure_kpa": (30.0, 110.0),
    "coolest_c": (-90.0, 60.0),
    "warmest_c": (-90.0, 60.0),
    "humidity_highest_pct": (0.0, 110.0),
    "humidity_lowest_pct": (0.0, 110.0),
    "dew_point_c": (-90.0, 60.0),
    "radiation_mj_per_m2": (0.0, 49.0),
    "sunshine_h": (0.0, 24.0),
}
# Converted values are rounded to this many decimals, far below any sensor's, so that 89.6 °F
# is 32 °C and meets a threshold of 32 °C instead of missing it by a rounding error.
CONVERTED_DECIMALS = 6

_PLAIN_NUMBERS = re.compile(r"[0-9+\-.eE, ]*")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")


@dataclass(frozen=True, slots=True)
class CellRule:
    """How a file writes one quantity: ours = (file's number - `zero`) / `per`.

    `missing` is the number that stands for "not measured"; `blank_is_missing` tells that an
    empty cell does.
    """

    column: ColumnName | DayColumn
    heading: str
    unit: str
    per: float = 1.0
    zero: float = 0.0
    missing: float | None = None
    blank_is_missing: bool = False

    @property
    def limits(self) -> tuple[float, float]:
        """The lowest and the highest number that a cell may hold, in the file's unit."""
        low, high = LIMITS[self.column]
        return round(low * self.per + self.zero, 2), round(high * self.per + self.zero, 2)

    def converted(self, number: float) -> float:
        """The file's number in our unit."""
        if self.per == 1.0 and self.zero == 0.0:
            return number
        return round((number - self.zero) / self.per, CONVERTED_DECIMALS)

    @property
    def allowed(self) -> str:
        """What a cell may hold, in words."""
        low, high = self.limits
        text = f"{low:g} to {high:g} {self.unit}"
        if self.missing is not None:
            text += f", or {self.missing:g} where nothing was measured"
        if self.blank_is_missing:
            text += ", or nothing where nothing was measured"
        return text


def read_cells(
    cells: Sequence[str], *, lines: Sequence[int], rule: CellRule, complaints: Complaints
) -> list[float | None]:
    """The cells of one column in our units, None where nothing was measured.

    `lines` are the lines on which the cells stand. A cell that is no such number is
    complained about; where that happens too often, the rest is not read.
    """
    quick = _read_at_once(cells, rule)
    if quick is not None:
        return quick
    limits = rule.limits
    numbers: list[float | None] = []
    for cell, line in zip(cells, lines, strict=True):
        if complaints.are_enough(rule.heading):
            break
        numbers.append(_read_cell(cell, line, rule, limits, complaints))
    return numbers


def _read_at_once(cells: Sequence[str], rule: CellRule) -> list[float | None] | None:
    """All cells where each is a plain number within its limits, else None."""
    if not _PLAIN_NUMBERS.fullmatch(",".join(cells)):
        return None
    try:
        numbers = list(map(float, cells))
    except ValueError:
        return None
    low, high = rule.limits
    known = [number for number in numbers if number != rule.missing]
    if known and not (low <= min(known) and max(known) <= high):
        return None
    if rule.per == 1.0 and rule.zero == 0.0 and len(known) == len(numbers):
        return [*known]
    return [None if number == rule.missing else rule.converted(number) for number in numbers]


def _read_cell(
    cell: str, line: int, rule: CellRule, limits: tuple[float, float], complaints: Complaints
) -> float | None:
    text = cell.strip(" \t")
    if not text and rule.blank_is_missing:
        return None
    number = float(text) if len(text) <= 40 and _NUMBER.fullmatch(text) else None
    if number is not None and number == rule.missing:
        return None
    low, high = limits
    if number is not None and low <= number <= high:
        return rule.converted(number)
    complaints.add(
        line,
        rule.heading,
        found=shown(text) if text else "an empty cell",
        allowed=rule.allowed,
        mend=_mend(text, number, rule),
    )
    return None


def _mend(text: str, number: float | None, rule: CellRule) -> str:
    if number is not None and rule.column == "global_radiation_w_m2" and -20 < number < 0:
        return "sensors read a little below zero at night: write 0"
    if number is not None:
        return "check the unit and the decimal point"
    if re.fullmatch(r"[+-]?[0-9]+,[0-9]+", text):
        return f"write the decimals after a point (did you mean {text.replace(',', '.')}?)"
    return "write a number with digits and a decimal point only"
