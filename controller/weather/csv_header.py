"""The head of a plain CSV weather file: comments that state facts, and named columns."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches

from controller.core.units import shown
from controller.weather.cells import CellRule
from controller.weather.complaints import Complaints
from controller.weather.place import FACTS, Place, read_place

TIME = "time"
RULES: dict[str, CellRule] = {
    rule.heading: rule
    for rule in (
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
        CellRule("wind_m_s", "wind_m_s", "m/s", blank_is_missing=True),
        CellRule("wind_m_s", "wind_km_h", "km/h", per=3.6, blank_is_missing=True),
        # An international mile is 1609.344 m.
        CellRule("wind_m_s", "wind_mph", "mph", per=3600 / 1609.344, blank_is_missing=True),
        CellRule("global_radiation_w_m2", "global_radiation_w_m2", "W/m²", blank_is_missing=True),
        CellRule("pressure_kpa", "pressure_kpa", "kPa", blank_is_missing=True),
        CellRule("pressure_kpa", "pressure_hpa", "hPa", per=10.0, blank_is_missing=True),
    )
}
NAMES = (TIME, *RULES)
COLUMNS_MAX = 100
COMMENT_LINES_MAX = 200

# What such columns are often called elsewhere; only to say what was likely meant.
_FAMILIAR = (
    (re.compile(r"date|stamp|time|hour"), TIME),
    (re.compile(r"temp.*(f$|fahr)"), "air_temperature_f"),
    (re.compile(r"temp|dry.?bulb"), "air_temperature_c"),
    (re.compile(r"hum|^rh"), "humidity_pct"),
    (re.compile(r"wind.*km"), "wind_km_h"),
    (re.compile(r"wind.*(mph|mile)"), "wind_mph"),
    (re.compile(r"wind|wspd"), "wind_m_s"),
    (re.compile(r"ghi|radiation|solar|irrad"), "global_radiation_w_m2"),
    (re.compile(r"press.*(hpa|mbar)"), "pressure_hpa"),
    (re.compile(r"press"), "pressure_kpa"),
)
_FACT = re.compile(r"#\s*(?P<name>[A-Za-z][A-Za-z0-9_ ]{0,40}?)\s*[=:]\s*(?P<text>.*)")


def likely_name(text: str) -> str | None:
    """The column that a heading likely means, or None."""
    plain = text.strip().lower()[:80]
    for pattern, name in _FAMILIAR:
        if pattern.search(plain):
            return name
    close = get_close_matches(plain, NAMES, 1, 0.75)
    return close[0] if close else None


def read_comments(lines: Sequence[str], complaints: Complaints) -> Place:
    """The facts that leading `# name = value` lines state; other comments are passed over."""
    if len(lines) > COMMENT_LINES_MAX:
        complaints.add(
            len(lines),
            "comment",
            found=f"{len(lines)} lines before the header",
            allowed=f"at most {COMMENT_LINES_MAX}",
            mend="remove some of them",
        )
        complaints.raise_if_any()
    texts: dict[str, str] = {}
    places: dict[str, int] = {}
    for number, line in enumerate(lines, 1):
        match = _FACT.fullmatch(line.strip())
        if match is None:
            continue
        name = match["name"].lower().replace(" ", "_")
        if name in FACTS and name not in texts:
            texts[name], places[name] = match["text"], number
            continue
        close = get_close_matches(name, FACTS, 1, 0.8)
        if close:
            complaints.add(
                number,
                "comment",
                found=shown(match["name"]),
                allowed=", ".join(FACTS) + ", each once",
                mend=f"did you mean {close[0]}?" if name != close[0] else "keep one of them",
            )
    return read_place(texts, lines=places, complaints=complaints)


def read_headings(cells: Sequence[str], *, line: int, complaints: Complaints) -> list[str]:
    """The names of the columns in their order.

    Raises:
        BadWeatherError: a column is unknown, is there twice, or `time` is not there.
    """
    if len(cells) > COLUMNS_MAX:
        complaints.add(
            line,
            "header",
            found=f"{len(cells)} columns",
            allowed=f"at most {COLUMNS_MAX}: {', '.join(NAMES)}",
            mend="remove the other columns",
        )
        complaints.raise_if_any()
    names = [cell.strip() for cell in cells]
    quantities: dict[str, str] = {}
    for name in names:
        if name not in NAMES:
            _complain_of_heading(name, line, complaints)
            continue
        quantity = RULES[name].column if name in RULES else TIME
        if quantity in quantities:
            complaints.add(
                line,
                name,
                found=f"{name} beside {quantities[quantity]}",
                allowed="each quantity once",
                mend="remove one of the two columns",
            )
        quantities[quantity] = name
    if TIME not in quantities or len(quantities) < 2:
        complaints.add(
            line,
            "header",
            found=shown(", ".join(names)),
            allowed=f"{TIME} and at least one of {', '.join(RULES)}",
            mend="name the columns in the first line that is no comment",
        )
    complaints.raise_if_any()
    return names


def _complain_of_heading(name: str, line: int, complaints: Complaints) -> None:
    likely = likely_name(name)
    if ";" in name:
        mend = "part the columns by commas, and write decimals after a point"
    elif likely is not None:
        mend = f"did you mean {likely}?"
    else:
        mend = "remove the column"
    complaints.add(
        line,
        "header",
        found=f"the column {shown(name)}" if name else "a column without a name",
        allowed=", ".join(NAMES),
        mend=mend,
    )
