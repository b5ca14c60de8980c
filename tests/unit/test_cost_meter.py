"""What a dry run costs where the price changes with the time of day."""

from __future__ import annotations

import pytest

from controller.core.plan import Plan
from controller.core.schedule import make_schedule
from controller.core.units import DAY_MS, HOUR_MS
from controller.core.wall_clock import load_zone
from controller.dry_run.account import Account
from controller.dry_run.account_keeper import AccountKeeper
from controller.dry_run.cost_meter import CostMeter, tariff_of
from controller.dry_run.run import run
from tests.worlds import GARDEN, MIDNIGHT, load

_NIGHT = [{"from": "06:00", "price_per_kwh": 0.3}, {"from": "22:00", "price_per_kwh": 0.1}]


def _plan(**energy: object) -> Plan:
    pump = {"line": 17, **load("30m on, 30m off", watts=100.0)}
    stated = {"energy": {"currency": "EUR", **energy}} if energy else {}
    return Plan.model_validate({"format": 1, "site": GARDEN, "loads": {"pump": pump}, **stated})


def _account(plan: Plan) -> Account:
    """A day from midnight on."""
    schedule = make_schedule(plan)
    keeper = AccountKeeper(schedule)
    run(
        schedule,
        start=MIDNIGHT,
        end=MIDNIGHT + DAY_MS,
        air={},
        script=None,
        listeners=[keeper],
    )
    return keeper.account


@pytest.mark.parametrize(
    ("energy", "cost"),
    [
        # 24 half hours of 100 W are 1.2 kWh.
        ({"price_per_kwh": 0.25}, 1.2 * 0.25),
        # 8 of them by night, 0.4 kWh; 16 by day, 0.8 kWh.
        ({"tariff": _NIGHT}, 0.4 * 0.1 + 0.8 * 0.3),
    ],
    ids=["one price", "day and night"],
)
def test_a_day_of_a_pump_costs_what_each_hour_costs(energy: dict[str, object], cost: float) -> None:
    """Worked out by hand, for the load and for all of them."""
    account = _account(_plan(**energy))
    assert account.loads["pump"].cost == pytest.approx(cost, rel=1e-12)
    assert account.cost == account.loads["pump"].cost


def test_without_prices_no_cost_is_told() -> None:
    """None is not nothing."""
    account = _account(_plan())
    assert account.loads["pump"].cost is None
    assert account.cost is None


def test_a_load_that_is_on_for_years_is_charged_for_all_of_them() -> None:
    """A tariff is laid out piece by piece, and no piece is lost or told twice: 1,000 days with 8 h
    of night and 16 h of day each; then an hour long before, of the day."""
    energy = _plan(tariff=_NIGHT).energy
    assert energy is not None
    meter = CostMeter(tariff_of(energy), load_zone("Etc/UTC"))
    cost = meter.cost(1000.0, MIDNIGHT, MIDNIGHT + 1000 * DAY_MS)
    assert cost == pytest.approx(1000 * (8 * 0.1 + 16 * 0.3), rel=1e-12)
    early = MIDNIGHT - 12 * HOUR_MS
    assert meter.cost(1000.0, early, early + HOUR_MS) == pytest.approx(0.3, rel=1e-12)
    assert meter.cost(1000.0, early, early) == 0.0
