"""The parts of a plan that stand beside loads and sensors, as values."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest
from pydantic import ValidationError

from controller.core.errors import PlanRefusedError
from controller.core.plan import Site
from controller.core.plan_parts.energy import Energy
from controller.core.plan_parts.water import Fittings, Lift, Reservoir, Stand
from controller.core.plan_text.reading import read_plan
from controller.core.units import HOUR_MS
from controller.core.water.fittings import FITTINGS, total_loss
from controller.core.water.pump_curve import CurvePoint
from tests.plan_texts import COLUMNS

HOSE = {"height_m": 1.5, "hose_bore_mm": 13, "hose_length_m": 2.0}
HEADS = {
    "watered_by": "pump",
    "plants": 40,
    "medium": "expanded-clay",
    "place": "outdoors",
    "plants_per_m2": 25,
}


def test_a_garden_is_read_as_values() -> None:
    """Names lead from stands to loads to lifts and reservoirs."""
    plan = read_plan(COLUMNS.encode(), "plan.toml").plan
    heads, pump = plan.stands["heads"], plan.loads["pump"]
    assert (heads.watered_by, heads.plants, heads.age_days, heads.medium_ml) == ("pump", 40, 35, 90)
    assert pump.reservoir == "tank"
    assert plan.reservoirs["tank"].top_up_at_l == 20
    assert pump.lift is not None
    assert pump.lift.curve == (CurvePoint(1000, 0), CurvePoint(700, 1), CurvePoint(0, 2))
    assert pump.lift.fittings.counts == {"elbow": 2, "valve": 1}


def test_the_fittings_are_those_of_which_the_losses_are_known() -> None:
    """Each name and no other, and all of them at once make a loss."""
    assert list(Fittings.model_fields) == list(FITTINGS)
    counts = Fittings.model_validate(dict.fromkeys(FITTINGS, 1)).counts
    assert counts == dict.fromkeys(FITTINGS, 1)
    assert total_loss(counts).low > 0


@pytest.mark.parametrize(
    "sown",
    [
        pytest.param(date(2026, 6, 1), id="a date of TOML's own"),
        pytest.param("2026-06-01", id="as text"),
    ],
)
def test_a_day_of_sowing_is_read_as_a_date(sown: date | str) -> None:
    """Both ways of writing it are one."""
    assert Stand.model_validate({**HEADS, "sown": sown}).sown == date(2026, 6, 1)


@pytest.mark.parametrize(
    ("stated", "share"),
    [
        ({"place": "outdoors"}, 1.0),
        ({"place": "under-glass"}, 0.7),
        ({"place": "under-glass", "light_share": 0.4}, 0.4),
        ({"place": "under-lamps"}, 0.0),
    ],
)
def test_a_place_says_how_much_sun_there_is(stated: dict[str, Any], share: float) -> None:
    """Unless the grower says so."""
    assert Stand.model_validate({**HEADS, **stated}).sun_share == share


@pytest.mark.parametrize(
    "sown",
    [
        pytest.param(datetime(2026, 6, 1, 6), id="a date and time"),  # noqa: DTZ001 - as TOML
        pytest.param(date(1969, 12, 31), id="before all dates"),
        pytest.param("2026-02-29", id="no such day"),
        pytest.param(20260601, id="a number"),
        pytest.param(True, id="a truth value"),
    ],
)
def test_what_is_no_date_is_refused(sown: object) -> None:
    """With a sentence, never a crash."""
    with pytest.raises(ValidationError):
        Stand.model_validate({**HEADS, "sown": sown})


@pytest.mark.parametrize(
    "curve",
    [
        pytest.param([], id="nothing"),
        pytest.param([[1000, 0]], id="one point"),
        pytest.param([[1000, 0]] * 51, id="too many"),
        pytest.param([[1000, 0], [0, float("nan")]], id="no number"),
        pytest.param([[1000, 0], [0, float("inf")]], id="without end"),
        pytest.param([[1000, 0], [0, -1]], id="below nothing"),
        pytest.param([[1000, 0], [0, True]], id="a truth value"),
        pytest.param([[1000, 0], [0, 2, 3]], id="three numbers"),
        pytest.param([[1000, 0], "02"], id="a text of two letters"),
        pytest.param({"a": 1}, id="a table"),
        pytest.param(10**400, id="a number beyond all"),
        pytest.param([[10**400, 0], [0, 2]], id="a flow beyond all"),
    ],
)
def test_what_is_no_curve_is_refused(curve: object) -> None:
    """Whatever stands there, the pump's model is never asked for it."""
    with pytest.raises(ValidationError):
        Lift.model_validate({**HOSE, "curve": curve})


def test_a_reservoir_needs_little() -> None:
    """Its size and where the inlet is; nothing else is assumed."""
    tank = Reservoir.model_validate({"full_l": 60, "inlet_at_l": 8})
    assert (tank.losses_l_per_day, tank.top_up_at_l, tank.ec_ms_per_cm) == (0.0, None, None)
    assert (tank.ppm_scale, tank.water_c) == (None, None)


def _energy(*entries: tuple[str, float], **stated: float) -> Energy:
    tariff = [{"from": clock, "price_per_kwh": price} for clock, price in entries]
    return Energy.model_validate({"currency": "EUR", "tariff": tariff, **stated})


@pytest.mark.parametrize(
    ("energy", "price"),
    [
        pytest.param(_energy(price_per_kwh=0.3), 0.3, id="one price"),
        pytest.param(_energy(("00:00", 0.3), ("12:00", 0.1)), 0.2, id="halves of the day"),
        # 15 h at 0.32 and 9 h at 0.16: 6.24 for 24 kWh.
        pytest.param(_energy(("22:00", 0.16), ("07:00", 0.32)), 0.26, id="over midnight"),
        pytest.param(_energy(("22:00", 0.19)), 0.19, id="one entry holds all day"),
        pytest.param(_energy(("08:00", 0.5), price_per_kwh=0.1), 0.5, id="the tariff counts"),
        pytest.param(_energy(), 0.0, id="none, which the rules refuse"),
    ],
)
def test_the_mean_price_is_that_of_an_even_load(energy: Energy, price: float) -> None:
    """Each price counts for as long as it holds."""
    assert energy.price_per_kwh == pytest.approx(price, abs=1e-12)


def test_a_tariff_keeps_its_entries_in_the_order_of_the_file() -> None:
    """With times of the wall clock."""
    entries = _energy(("22:00", 0.16), ("07:00:30", 0.32)).tariff
    assert [(one.time_ms, one.price_per_kwh) for one in entries] == [
        (22 * HOUR_MS, 0.16),
        (7 * HOUR_MS + 30_000, 0.32),
    ]


def test_no_zero_has_a_sign() -> None:
    """A pump that lifts -0.0 m would be told to lift that, in every report."""
    site = Site(latitude=-0.0, longitude=-0.0, timezone="Etc/UTC", elevation_m=-0.0)
    lift = Lift.model_validate(
        {**HOSE, "height_m": -0.0, "hose_length_m": -0.0, "curve": [[-0.0, 2.0], [1000.0, -0.0]]}
    )
    assert "-0" not in f"{site} {lift}"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('without_clock = "15m on, 15m off"', 'without_clock = "0.09s on, 15m off"'),
        ('cycle = "15m on, 45m off"', 'cycle = "15m on, 0.001s off"'),
        ('fixed = "15m on, 15m off"', 'fixed = "0.001s on, 0.001s off"'),
        ('longest_rest = "45m"', 'longest_rest = "0.09s"'),
        ('shortest_rest = "5m"', 'shortest_rest = "0.001s"'),
        ('shortest_watering = "3m"', 'shortest_watering = "0.09s"'),
        ('longest_watering = "20m"', 'longest_watering = "0.01s"'),
    ],
)
def test_what_no_relay_can_follow_is_refused(old: str, new: str) -> None:
    """Whatever shortest_on and shortest_off allow: it would wear contacts out within hours."""
    bounds = 'watts = 22\nshortest_on = "0s"\nshortest_off = "0s"'
    text = COLUMNS.replace("watts = 22", bounds)
    assert read_plan(text.encode(), "plan.toml").findings == ()
    with pytest.raises(PlanRefusedError) as refused:
        read_plan(text.replace(old, new).encode(), "plan.toml")
    told = [finding.message for finding in refused.value.findings]
    assert [one for one in told if "no relay is made to switch as fast as that" in one]
