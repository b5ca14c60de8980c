"""The columns of plain CSV: of a file of hours, and of one of days."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

from controller.core.water.radiation import MJ_PER_M2_H_PER_W
from controller.weather.cells import CellRule

TIME = "time"
DATE = "date"

_MILE_M = 1609.344  # the international one
_DAY_MJ_PER_W = 24 * MJ_PER_M2_H_PER_W  # 1 W/m² for a day


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """What the columns of one kind of file are called.

    `stamp` is the column that says when; `needed` are quantities that must be there, `pairs`
    columns that tell nothing without another. `familiar` is what such columns are often called
    elsewhere; only to say what was likely meant.
    """

    kind: str
    stamp: str
    rules: dict[str, CellRule]
    needed: tuple[str, ...]
    pairs: dict[str, str]
    familiar: tuple[tuple[re.Pattern[str], str], ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Every column that is read."""
        return (self.stamp, *self.rules)

    @property
    def wants(self) -> str:
        """What a header must have, in words."""
        if not self.needed:
            return f"{self.stamp} and at least one of {', '.join(self.rules)} in {self.kind}"
        ways = (
            " or ".join(name for name, rule in self.rules.items() if rule.column == quantity)
            for quantity in self.needed
        )
        return f"{self.stamp}, {', '.join(ways)} in {self.kind}"

    def likely_name(self, text: str) -> str | None:
        """The column that a heading likely means, or None."""
        plain = text.strip().lower()[:80]
        for pattern, name in self.familiar:
            if pattern.search(plain):
                return name
        close = get_close_matches(plain, self.names, 1, 0.75)
        return close[0] if close else None

    def quantity_of(self, name: str) -> str:
        """What one of its columns tells."""
        return self.rules[name].column if name in self.rules else self.stamp

    def likely_quantity(self, text: str) -> str | None:
        """What a heading likely means to tell, or None."""
        name = self.likely_name(text)
        return None if name is None else self.quantity_of(name)

    def likely_count(self, headings: Iterable[str]) -> int:
        """How many of its columns the headings seem to mean."""
        return len({self.likely_name(heading) for heading in headings} - {None})


def _rules(*rules: CellRule) -> dict[str, CellRule]:
    return {rule.heading: rule for rule in rules}


def _familiar(*pairs: tuple[str, str]) -> tuple[tuple[re.Pattern[str], str], ...]:
    return tuple((re.compile(pattern), name) for pattern, name in pairs)


_WIND = (
    CellRule("wind_m_s", "wind_m_s", "m/s", blank_is_missing=True),
    CellRule("wind_m_s", "wind_km_h", "km/h", per=3.6, blank_is_missing=True),
    CellRule("wind_m_s", "wind_mph", "mph", per=3600 / _MILE_M, blank_is_missing=True),
)
_FAMILIAR_WIND = (
    ("wind.*km|wspd.*km", "wind_km_h"),
    ("wind.*(mph|mile)", "wind_mph"),
    ("wind|wspd", "wind_m_s"),
)

HOURS = Vocabulary(
    kind="a file of hours",
    stamp=TIME,
    rules=_rules(
        CellRule("air_temperature_c", "air_temperature_c", "°C", blank_is_missing=True),
        CellRule(
            "air_temperature_c",
            "air_temperature_f",
            "°F",
            per=1.8,
            zero=32.0,
            blank_is_missing=True,
        ),
        CellRule("humidity_pct", "humidity_pct", "%", blank_is_missing=True),
        *_WIND,
        CellRule("global_radiation_w_m2", "global_radiation_w_m2", "W/m²", blank_is_missing=True),
        CellRule("pressure_kpa", "pressure_kpa", "kPa", blank_is_missing=True),
        CellRule("pressure_kpa", "pressure_hpa", "hPa", per=10.0, blank_is_missing=True),
    ),
    needed=(),
    pairs={},
    familiar=_familiar(
        ("date|stamp|time|hour", TIME),
        ("temp.*(f$|fahr)", "air_temperature_f"),
        ("temp|dry.?bulb|(cool|warm)est", "air_temperature_c"),
        ("hum|^rh", "humidity_pct"),
        *_FAMILIAR_WIND,
        ("ghi|radiation|solar|irrad", "global_radiation_w_m2"),
        ("press.*(hpa|mbar)", "pressure_hpa"),
        ("press", "pressure_kpa"),
    ),
)

DAYS = Vocabulary(
    kind="a file of days",
    stamp=DATE,
    rules=_rules(
        CellRule("coolest_c", "coolest_c", "°C", blank_is_missing=True),
        CellRule("coolest_c", "coolest_f", "°F", per=1.8, zero=32.0, blank_is_missing=True),
        CellRule("warmest_c", "warmest_c", "°C", blank_is_missing=True),
        CellRule("warmest_c", "warmest_f", "°F", per=1.8, zero=32.0, blank_is_missing=True),
        CellRule("humidity_pct", "humidity_pct", "%", blank_is_missing=True),
        CellRule("humidity_highest_pct", "humidity_highest_pct", "%", blank_is_missing=True),
        CellRule("humidity_lowest_pct", "humidity_lowest_pct", "%", blank_is_missing=True),
        CellRule("dew_point_c", "dew_point_c", "°C", blank_is_missing=True),
        CellRule("dew_point_c", "dew_point_f", "°F", per=1.8, zero=32.0, blank_is_missing=True),
        *_WIND,
        CellRule("radiation_mj_per_m2", "global_radiation_mj_m2", "MJ/m²", blank_is_missing=True),
        CellRule(
            "radiation_mj_per_m2",
            "global_radiation_w_m2",
            "W/m²",
            per=1 / _DAY_MJ_PER_W,
            blank_is_missing=True,
        ),
        CellRule("sunshine_h", "sunshine_h", "h", blank_is_missing=True),
    ),
    needed=("coolest_c", "warmest_c"),
    pairs={"humidity_lowest_pct": "humidity_highest_pct"},
    familiar=_familiar(
        ("dew.*(f$|fahr)", "dew_point_f"),
        ("dew", "dew_point_c"),
        ("(hum|rh).*(max|high)|(max|high).*(hum|rh)", "humidity_highest_pct"),
        ("(hum|rh).*(min|low)|(min|low).*(hum|rh)", "humidity_lowest_pct"),
        ("hum|^rh", "humidity_pct"),
        *_FAMILIAR_WIND,
        ("sun", "sunshine_h"),
        ("(rad|irr|solar|ghi).*w(?!h)", "global_radiation_w_m2"),
        ("rad|irr|solar|ghi|^rs", "global_radiation_mj_m2"),
        ("(min|low|cool).*(f$|fahr)", "coolest_f"),
        ("(max|high|warm).*(f$|fahr)", "warmest_f"),
        ("max|high|warm", "warmest_c"),
        ("min|low|cool|temp|^t$", "coolest_c"),
        ("date|day|stamp|time", DATE),
    ),
)

KINDS = (HOURS, DAYS)
NAMES = frozenset(name for kind in KINDS for name in kind.names)


def kind_of(names: Iterable[str]) -> Vocabulary:
    """The kind that a header is meant for: by its column of times or dates, or else by how many
    columns of the kind it seems to have; of hours where nothing tells."""
    headings = list(names)
    for kind in KINDS:
        if kind.stamp in headings:
            return kind
    return max(KINDS, key=lambda kind: kind.likely_count(headings))
