"""Weather at the ends of what a file may say: every run has figures."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from controller.core.plan import Plan
from controller.core.plan_text.lines import Lines
from controller.core.plan_text.reading import ReadPlan
from controller.core.schedule import make_schedule
from controller.core.units import HOUR_MS, rfc3339
from controller.dry_run.water.water_json import water_json
from controller.paper.carrying_out import carry_out, period
from controller.report.terminal import render
from controller.weather.cells import LIMITS
from controller.weather.formats import parse_weather
from controller.weather.place import FACTS
from controller.weather.weather import ColumnName
from tests.strategies import examples
from tests.worlds import GARDEN, MIDNIGHT, stand

COLUMNS: tuple[ColumnName, ...] = (
    "air_temperature_c",
    "humidity_pct",
    "wind_m_s",
    "global_radiation_w_m2",
)
HEADS: dict[str, Any] = {"age_days": 38, "air": None}
PLAN = Plan.model_validate(
    {
        "format": 1,
        "site": GARDEN,
        "loads": {
            "pump": {
                "kind": "pump",
                "line": 17,
                "active": "low",
                "reservoir": "tank",
                "spans": [{"from": "00:00", "cycle": "15m on, 15m off"}],
            }
        },
        "stands": {"porch": stand(**HEADS), "house": stand(place="under-glass", **HEADS)},
        "reservoirs": {"tank": {"full_l": 60, "inlet_at_l": 8, "ec_ms_per_cm": 1.4}},
    }
)
_NOT_WORDS = (" nan", " inf", "None", "e-1", "e+", "-0 ", "-0.0")


@st.composite
def cells(draw: st.DrawFn, name: ColumnName) -> str:
    """A cell at an end of its column's range, in the middle, or empty."""
    low, high = LIMITS[name]
    return draw(st.sampled_from(["", f"{low:g}", f"{high:g}", f"{(low + high) / 2:g}"]))


@st.composite
def files(draw: st.DrawFn) -> bytes:
    """A day of hours, each row one of three, of a station at the ends of where one may be."""
    facts = [
        f"# {name} = {draw(st.sampled_from([low, high, (low + high) / 2])):g}"
        for name, (low, high, _) in FACTS.items()
        if draw(st.booleans())
    ]
    kinds = [",".join(draw(cells(name)) for name in COLUMNS) for _ in range(3)]
    rows = [
        f"{rfc3339(MIDNIGHT + hour * HOUR_MS)},{draw(st.sampled_from(kinds))}"
        for hour in range(1, 25)
    ]
    return "\n".join([*facts, f"time,{','.join(COLUMNS)}", *rows]).encode()


@examples(60)
@given(data=files())
def test_the_hottest_and_the_coldest_air_at_any_height_has_figures(data: bytes) -> None:
    """JSON without a number that is none, and a report without one either."""
    weather = parse_weather(data, name="ends.csv")
    schedule = make_schedule(PLAN)
    start, end = period(schedule, date(2026, 6, 1), 1)
    read = ReadPlan(PLAN, (), Lines("format = 1\n"))
    done = carry_out(read, schedule, start=start, end=end, weather=weather)
    assert done.water is not None
    told = water_json(done.water)
    json.dumps(told, allow_nan=False)
    for one in done.water.stands.values():
        low, likely, high = one.transpired_ml
        assert 0.0 <= low <= likely <= high
    text = render(
        schedule, done.account, done.findings, done.air_note, width=80, is_colour=False,
        water=done.water,
    )  # fmt: skip
    assert [word for word in _NOT_WORDS if word in text] == []
