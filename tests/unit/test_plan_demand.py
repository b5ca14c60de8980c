"""Spans on demand: their bounds, what they fall back to, and what `check` says of slips."""

from __future__ import annotations

import pytest

from controller.core.cycle import STEADY_OFF, parse_cycle
from controller.core.findings import Finding
from controller.core.plan_parts.spans import DemandBounds, Span
from controller.core.plan_text.reading import read_plan
from controller.core.units import MINUTE_MS
from tests.plan_texts import COLUMNS, changed, findings_in

SLIPS = [
    pytest.param(
        'cycle = "15m on, 45m off"',
        'cycle = "15m on, 45m off"\nlongest_rest = "40m"',
        [
            Finding(
                "error",
                "loads.pump.spans.1.longest_rest",
                (
                    'longest_rest is for a span with cycle = "demand", and this one has the cycle '
                    "15m on, 45m off"
                ),
                'delete longest_rest, or write cycle = "demand"',
                39,
            )
        ],
        id="a bound without demand",
    ),
    pytest.param(
        'cycle = "demand"',
        'cycle = "Demand"',
        [
            Finding(
                "error",
                "loads.pump.spans.0.cycle",
                (
                    "cycle: step 1, 'Demand', is not a duration and a state: write steps like 15m "
                    "on, 15m off, or only on or off"
                ),
                'write cycle = "demand"',
                29,
            )
        ],
        id="a capital letter",
    ),
    pytest.param(
        'cycle = "demand"',
        'cycle = "on demand"',
        [
            Finding(
                "error",
                "loads.pump.spans.0.cycle",
                (
                    "cycle: step 1, 'on demand', is not a duration and a state: write steps like "
                    "15m on, 15m off, or only on or off"
                ),
                'write cycle = "demand"',
                29,
            )
        ],
        id="demand in two words",
    ),
    pytest.param(
        'without_clock = "15m on, 15m off"',
        'without_clock = "demand"',
        [
            Finding(
                "error",
                "loads.pump.without_clock",
                (
                    "without_clock: demand stands only for the cycle of a span: here the lengths "
                    "must be told, like 15m on, 15m off"
                ),
                'write it like without_clock = "15m on, 15m off"',
                14,
            )
        ],
        id="no clock and demand",
    ),
    pytest.param(
        'fixed = "15m on, 15m off"\n',
        "",
        [
            Finding(
                "error",
                "loads.pump.spans.0.fixed",
                (
                    "the demand of pump has no fixed, which says what is done while readings are "
                    "missing"
                ),
                'add fixed = "15m on, 15m off"',
                27,
            )
        ],
        id="no fixed cycle",
    ),
    pytest.param(
        'longest_rest = "45m"\n',
        "",
        [
            Finding(
                "error",
                "loads.pump.spans.0.longest_rest",
                (
                    "the demand of pump has no longest_rest, which says after which time the roots "
                    "are watered whatever the readings say"
                ),
                'add longest_rest = "45m"',
                27,
            )
        ],
        id="no longest rest",
    ),
    pytest.param(
        'shortest_rest = "5m"',
        'shortest_rest = "50m"',
        [
            Finding(
                "error",
                "loads.pump.spans.0.shortest_rest",
                "shortest_rest is 50m and longest_rest is 45m; allowed is at most longest_rest",
                'write shortest_rest = "45m" or less, or a longer longest_rest',
                32,
            )
        ],
        id="rests out of order",
    ),
    pytest.param(
        'shortest_watering = "3m"',
        'shortest_watering = "30m"',
        [
            Finding(
                "error",
                "loads.pump.spans.0.shortest_watering",
                (
                    "shortest_watering is 30m and longest_watering is 20m; allowed is at most "
                    "longest_watering"
                ),
                'write shortest_watering = "20m" or less, or a longer longest_watering',
                33,
            )
        ],
        id="waterings out of order",
    ),
    pytest.param(
        'shortest_watering = "3m"',
        'shortest_watering = "0s"',
        [
            Finding(
                "error",
                "loads.pump.spans.0.shortest_watering",
                "shortest_watering is 0s; allowed is more than no time",
                'write shortest_watering = "3m"',
                33,
            )
        ],
        id="a watering of no time",
    ),
    pytest.param(
        'longest_watering = "20m"',
        'longest_watering = "50m"',
        [
            Finding(
                "error",
                "loads.pump.spans.0.longest_watering",
                ("longest_watering is 50m, and longest_on of pump is 45m; allowed is at most that"),
                'write longest_watering = "45m"',
                34,
            )
        ],
        id="a watering too long for the pump",
    ),
    pytest.param(
        "watts = 22",
        'watts = 22\nshortest_on = "4m"',
        [
            Finding(
                "error",
                "loads.pump.spans.0.shortest_watering",
                (
                    "shortest_watering is 3m, and shortest_on of pump is 4m; allowed is at least "
                    "that"
                ),
                'write shortest_watering = "4m"',
                34,
            )
        ],
        id="a watering too short for the pump",
    ),
    pytest.param(
        'fixed = "15m on, 15m off"',
        'fixed = "15m on, 50m off"',
        [
            Finding(
                "warning",
                "loads.pump.spans.0.fixed",
                "without readings pump would rest for 50m, and longest_rest is 45m",
                "write a fixed cycle that rests no longer than that",
                30,
            )
        ],
        id="a fixed cycle that rests too long",
    ),
    pytest.param(
        "watts = 22",
        'watts = 22\nlimits = { longest_dry_gap = "40m" }',
        [
            Finding(
                "warning",
                "loads.pump.spans.0.longest_rest",
                "longest_rest is 45m, and the limit longest_dry_gap of pump is 40m",
                'write longest_rest = "40m", or state a longer limit',
                32,
            ),
            Finding(
                "warning",
                "loads.pump.spans.1.cycle",
                '"15m on, 45m off" leaves pump off for 45m; its limit longest_dry_gap is 40m',
                "shorten that step, or state a longer limit",
                39,
            ),
        ],
        id="a limit below the longest rest",
    ),
    pytest.param(
        'air = "air"\n',
        "",
        [
            Finding(
                "warning",
                "loads.pump.spans.0.cycle",
                (
                    "pump goes by demand, and heads names no sensor of its air: sun and season "
                    "alone tell how long it rests, so no heat wave shortens a rest"
                ),
                'add air = "air" to [stands.heads], and the sensor if there is none',
                29,
            )
        ],
        id="demand without a sensor",
    ),
    pytest.param(
        '{ from = "23:00", cycle = "off" }',
        '{ from = "23:00", cycle = "demand", fixed = "off", longest_rest = "1h" }',
        [
            Finding(
                "error",
                "loads.lamp.spans.1.cycle",
                "lamp is a lamp and goes by demand; allowed is that to a pump or valve only",
                'write a cycle such as cycle = "15m on, 15m off"',
                51,
            ),
            Finding(
                "error",
                "loads.lamp.spans.1.fixed",
                "without readings lamp would rest for ever, and longest_rest is 1h",
                "write a fixed cycle that rests no longer than that",
                51,
            ),
        ],
        id="a lamp on demand",
    ),
    pytest.param(
        '1m on, 59m off" }',
        (
            '1m on, 59m off" }, { from = "12:00", cycle = "demand", fixed = "1m on, 9m '
            'off", longest_rest = "1h" }'
        ),
        [
            Finding(
                "warning",
                "loads.mist.spans.1.cycle",
                (
                    "mist goes by demand, and young names no sensor of its air: sun and season "
                    "alone tell how long it rests, so no heat wave shortens a rest"
                ),
                'add air = "air" to [stands.young], and the sensor if there is none',
                44,
            )
        ],
        id="a valve on demand without a sensor",
    ),
    pytest.param(
        'watered_by = "pump"',
        'watered_by = "mist"',
        [
            Finding(
                "error",
                "loads.pump.spans.0.cycle",
                (
                    "pump goes by demand, and no stand of the plan is watered by it: nobody knows "
                    "what its plants drink"
                ),
                (
                    'add [stands.heads] with watered_by = "pump", plants and the rest, or write a '
                    "cycle"
                ),
                29,
            ),
            Finding(
                "note",
                "stands.heads.drip_ml_per_min",
                (
                    "heads has no drip_ml_per_min and mist no lift: how fast the roots fill up "
                    "again cannot be told"
                ),
                "add drip_ml_per_min = and what you catch under one plant in a minute",
                57,
            ),
        ],
        id="a demand whose plants hang on another load",
    ),
]


@pytest.mark.parametrize(("old", "new", "found"), SLIPS)
def test_a_slip_is_told_with_line_place_and_mend(old: str, new: str, found: list[Finding]) -> None:
    """Where it is, what was given, what is allowed, and what to write; nothing beside it."""
    assert findings_in(changed(old, new, text=COLUMNS)) == found


def test_a_span_on_demand_has_its_bounds_and_its_fixed_cycle() -> None:
    """What looks ahead takes the cycle, what decides by readings the bounds."""
    day, night = read_plan(COLUMNS.encode(), "plan.toml").plan.loads["pump"].spans
    assert (day.is_on_demand, str(day.cycle)) == (True, "15m on, 15m off")
    assert day.demand == DemandBounds(
        shortest_rest_ms=5 * MINUTE_MS,
        longest_rest_ms=45 * MINUTE_MS,
        shortest_watering_ms=3 * MINUTE_MS,
        longest_watering_ms=20 * MINUTE_MS,
    )
    assert (night.is_on_demand, str(night.cycle), night.demand) == (False, "15m on, 45m off", None)


def _span(**stated: str) -> Span:
    return Span.model_validate({"from": "06:00", "cycle": "demand", **stated})


@pytest.mark.parametrize(
    ("stated", "minutes"),
    [
        pytest.param({"longest_rest": "45m"}, (5, 45, 3, 20), id="the longest rest alone"),
        pytest.param({"longest_rest": "4m"}, (4, 4, 3, 20), id="a rest shorter than the usual"),
        pytest.param(
            {"longest_rest": "45m", "longest_watering": "2m"}, (5, 45, 2, 2), id="a short watering"
        ),
        pytest.param(
            {"longest_rest": "45m", "shortest_watering": "30m"}, (5, 45, 30, 30), id="a long one"
        ),
    ],
)
def test_a_bound_that_is_not_stated_gives_way_to_one_that_is(
    stated: dict[str, str], minutes: tuple[int, int, int, int]
) -> None:
    """Nobody has to state four lengths to be free of contradictions."""
    bounds = _span(fixed="15m on, 15m off", **stated).demand
    assert bounds is not None
    assert minutes == (
        bounds.shortest_rest_ms // MINUTE_MS,
        bounds.longest_rest_ms // MINUTE_MS,
        bounds.shortest_watering_ms // MINUTE_MS,
        bounds.longest_watering_ms // MINUTE_MS,
    )


def test_a_demand_that_the_rules_refuse_waters_nothing() -> None:
    """Without its fixed cycle it is off, and without a longest rest it has no bounds."""
    assert _span(longest_rest="45m").cycle == STEADY_OFF
    assert _span(fixed="on").demand is None


def test_bounds_are_told_as_a_plan_would_tell_them() -> None:
    """Waterings first, then rests."""
    assert str(_span(longest_rest="45m").demand) == "on 3m to 20m, off 5m to 45m, on demand"


def test_a_cycle_stays_what_it_was() -> None:
    """A span with a cycle of its own knows nothing of demand."""
    span = Span.model_validate({"from": "06:00", "cycle": "10m on, 20m off"})
    assert (span.cycle, span.is_on_demand) == (parse_cycle("10m on, 20m off"), False)


def test_a_variant_may_go_by_demand() -> None:
    """Hot afternoons are when it helps most."""
    variant = (
        'name = "hot"\nsensor = "air"\nabove = 32.0\nuntil = 29.0\n'
        '[[loads.pump.variants.spans]]\nfrom = "00:00"\ncycle = "demand"\n'
        'fixed = "20m on, 10m off"\nlongest_rest = "20m"\n'
    )
    assert findings_in(COLUMNS + "\n[[loads.pump.variants]]\n" + variant) == []
