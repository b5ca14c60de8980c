"""`days[].et0_mm` of a dry run's JSON against the open package refet, in weeks drawn at random.

Refet is given the standard's clearness of the sky, as `test_et_against_refet` tells; without
that its nights are cloudless, and its days 3 to 6 % lower.
"""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest

from controller.cli.main import main
from controller.core.units import date_of_number, day_number, parse_date
from tests.plan_texts import pump_at
from tests.published.test_et_against_refet import with_carried_sky
from tests.typical_years import GREENSBORO, SAND_POINT, TypicalYear

_WEEKS = random.Random(2005).sample(range(358), 3)


@pytest.mark.parametrize(
    ("year", "zone"),
    [(GREENSBORO, "America/New_York"), (SAND_POINT, "America/Anchorage")],
    ids=["Greensboro", "Sand Point"],
)
@pytest.mark.parametrize("first", _WEEKS)
def test_days_of_a_run_have_the_standards_evapotranspiration(
    year: TypicalYear,
    zone: str,
    first: int,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Within 1 %, each day summed over the file's standard day though clocks show summer time."""
    plan = tmp_path / "plan.toml"
    plan.write_text(
        pump_at(latitude=year.latitude, longitude=year.longitude, zone=zone), encoding="utf-8"
    )
    number = day_number(parse_date("2027-01-01")) + first
    words = ["--from", date_of_number(number).isoformat(), "--days", "7"]
    assert main(["dry-run", str(plan), "--weather", str(year.path), *words, "--json"]) == 0
    days = json.loads(capsys.readouterr().out)["days"]
    assert [day["date"] for day in days] == [
        date_of_number(number + ahead).isoformat() for ahead in range(7)
    ]
    expected = with_carried_sky(year).reshape(365, 24).sum(axis=1)[first : first + 7]
    assert [day["et0_mm"] for day in days] == pytest.approx(expected.tolist(), rel=0.01)
    assert all(day["stands"] == {} for day in days)
