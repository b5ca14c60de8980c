"""What `check` says of the keys that the water models and a demand go by: one slip each."""

from __future__ import annotations

import pytest

from controller.core.findings import Finding
from tests.plan_texts import COLUMNS, changed, findings_in

SLIPS = [
    pytest.param(
        'watered_by = "pump"',
        'watered_by = "pmp"',
        [
            Finding(
                "error",
                "stands.heads.watered_by",
                (
                    "watered_by names pmp, and the plan has no [loads.pmp]; its loads are pump, "
                    "mist, lamp"
                ),
                "did you mean pump?",
                58,
            )
        ],
        id="a load that is not there",
    ),
    pytest.param(
        'watered_by = "pump"',
        'watered_by = "lamp"',
        [
            Finding(
                "error",
                "stands.heads.watered_by",
                "watered_by names lamp, which is a lamp; allowed is a pump or valve",
                'write watered_by = "pump"',
                58,
            )
        ],
        id="a load that waters nothing",
    ),
    pytest.param(
        'lamp = "lamp"\nppfd',
        'lamp = "mist"\nppfd',
        [
            Finding(
                "error",
                "stands.young.lamp",
                "lamp names mist, which is a valve; allowed is a lamp",
                'write lamp = "lamp"',
                76,
            )
        ],
        id="a lamp that is a valve",
    ),
    pytest.param(
        "ppfd_umol = 220\n",
        "",
        [
            Finding(
                "error",
                "stands.young.ppfd_umol",
                (
                    'young has place = "under-lamps" and no ppfd_umol; allowed is it only with lamp'
                    " and ppfd_umol"
                ),
                "add ppfd_umol = and the µmol/m²/s at the leaves: 150 to 300 are usual",
                69,
            )
        ],
        id="no light on the leaves",
    ),
    pytest.param(
        'lamp = "lamp"\nppfd',
        "ppfd",
        [
            Finding(
                "error",
                "stands.young.lamp",
                (
                    'young has place = "under-lamps" and no lamp; allowed is it only with lamp and '
                    "ppfd_umol"
                ),
                'add lamp = "lamp", the load that lights it',
                69,
            )
        ],
        id="no lamp",
    ),
    pytest.param(
        "age_days = 35\n",
        "",
        [
            Finding(
                "error",
                "stands.heads",
                "heads has neither age_days nor sown; allowed is exactly one of the two",
                "add age_days = 35 for plants of one age, or sown = 2026-06-01 and they age",
                57,
            )
        ],
        id="no age",
    ),
    pytest.param(
        "sown = 2026-06-01",
        "sown = 2026-06-01\nage_days = 3",
        [
            Finding(
                "error",
                "stands.young.age_days",
                "young has age_days and sown; allowed is exactly one of the two",
                "delete age_days and the plants age from the day of sowing, or delete sown",
                73,
            )
        ],
        id="two ages",
    ),
    pytest.param(
        "medium_ml = 90\n",
        "",
        [
            Finding(
                "error",
                "stands.heads.medium_ml",
                (
                    'heads has medium = "expanded-clay" and no medium_ml: what a plant holds could '
                    "not be told"
                ),
                "add medium_ml = 90 for a net pot of 5 cm, or 25 for a plug",
                57,
            )
        ],
        id="a pot without volume",
    ),
    pytest.param(
        'medium = "bare-roots"',
        'medium = "bare-roots"\nmedium_ml = 40',
        [
            Finding(
                "error",
                "stands.young.medium_ml",
                'young has medium = "bare-roots" and a medium_ml; bare roots stand in no volume',
                "delete medium_ml, or write the medium that the roots stand in",
                74,
            )
        ],
        id="bare roots in a pot",
    ),
    pytest.param(
        "light_share = 0.7",
        "ppfd_umol = 200",
        [
            Finding(
                "error",
                "stands.heads.ppfd_umol",
                (
                    'ppfd_umol means nothing with place = "outdoors"; allowed is it with "under-'
                    'lamps"'
                ),
                "delete ppfd_umol, or correct place",
                65,
            )
        ],
        id="light of lamps outdoors",
    ),
    pytest.param(
        "reserve = 0.3",
        "light_share = 0.5",
        [
            Finding(
                "error",
                "stands.young.light_share",
                (
                    'light_share means nothing with place = "under-lamps"; allowed is it with '
                    '"outdoors" or "under-glass"'
                ),
                "delete light_share, or correct place",
                82,
            )
        ],
        id="sunlight under lamps",
    ),
    pytest.param(
        "drip_ml_per_min = 50\n",
        "",
        [
            Finding(
                "note",
                "stands.young.drip_ml_per_min",
                (
                    "young has no drip_ml_per_min and mist no lift: how fast the roots fill up "
                    "again cannot be told"
                ),
                "add drip_ml_per_min = and what you catch under one plant in a minute",
                69,
            )
        ],
        id="no drip",
    ),
    pytest.param(
        'air = "air"\n',
        'air = "damp"\n',
        [
            Finding(
                "error",
                "stands.heads.air",
                (
                    "air names the sensor damp, which measures humidity; allowed is one that "
                    "measures air_temperature"
                ),
                'write air = "air"',
                66,
            )
        ],
        id="a sensor of another quantity",
    ),
    pytest.param(
        'humidity = "damp"\n',
        'humidity = "dmp"\n',
        [
            Finding(
                "error",
                "stands.heads.humidity",
                (
                    "humidity names the sensor dmp, and the plan has no [sensors.dmp]; its sensors "
                    "are air, damp: nothing would tell how much heads drinks"
                ),
                "did you mean damp?",
                67,
            )
        ],
        id="a sensor that is not there",
    ),
    pytest.param(
        'spans = [{ from = "00:00", cycle = "1m on, 59m off" }]\nreservoir = "tank"',
        (
            'spans = [{ from = "00:00", cycle = "1m on, 59m off" }]\n'
            "lift = { height_m = 1, hose_bore_mm = 9, hose_length_m = 2,"
            " shut_off_head_m = 2, free_flow_l_per_h = 900 }"
        ),
        [
            Finding(
                "error",
                "loads.mist.lift",
                "mist is a valve and has a lift; allowed is one with a pump only",
                "delete [loads.mist.lift], or write it at the pump that lifts the water",
                45,
            )
        ],
        id="a valve that lifts",
    ),
    pytest.param(
        "hose_bore_mm = 13",
        "hose_bore_mm = 13\nshut_off_head_m = 2",
        [
            Finding(
                "error",
                "loads.pump.lift.shut_off_head_m",
                "the lift of pump has a curve and shut_off_head_m; allowed is one of the two",
                "delete shut_off_head_m: the curve says more",
                21,
            )
        ],
        id="a curve and a label",
    ),
    pytest.param(
        "curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]   # from the maker's chart",
        "free_flow_l_per_h = 900",
        [
            Finding(
                "error",
                "loads.pump.lift",
                (
                    "the lift of pump has no shut_off_head_m; it needs both numbers of the pump's "
                    "label, or a curve"
                ),
                (
                    "add shut_off_head_m = 2.0, as the label says, or curve = with the maker's "
                    "points"
                ),
                17,
            )
        ],
        id="half a label",
    ),
    pytest.param(
        "hose_length_m = 2.0",
        "hose_length_m = 1.0",
        [
            Finding(
                "error",
                "loads.pump.lift.hose_length_m",
                (
                    "the hose of pump is 1 m long and the outlet is 1.5 m above the water; allowed "
                    "is 1.5 m or more"
                ),
                "measure the way of the water from pump to outlet, bends and all",
                21,
            )
        ],
        id="a hose that is too short",
    ),
    pytest.param(
        "hose_roughness_mm = 0.0015",
        "hose_roughness_mm = 1",
        [
            Finding(
                "error",
                "loads.pump.lift.hose_roughness_mm",
                (
                    "hose_roughness_mm is 1 in a hose of 13 mm; allowed is 0 to 0.65, a twentieth "
                    "of the bore"
                ),
                "leave it out for smooth plastic, or write 0.15 for old and rough walls",
                22,
            )
        ],
        id="a wall rougher than can be",
    ),
    pytest.param(
        "height_m = 1.5",
        "height_m = 2.0",
        [
            Finding(
                "warning",
                "loads.pump.lift.height_m",
                (
                    "pump lifts water by 2 m at the most, and the outlet is 2 m above the water: "
                    "nothing arrives at the top"
                ),
                "take a pump with a greater lift, or a lower column",
                18,
            )
        ],
        id="a column that is too high",
    ),
    pytest.param(
        'longest_on = "45m"\nwithout_clock = "15m on, 15m off"\nreservoir = "tank"',
        'longest_on = "45m"\nwithout_clock = "15m on, 15m off"\nreservoir = "tnk"',
        [
            Finding(
                "error",
                "loads.pump.reservoir",
                (
                    "reservoir names tnk, and the plan has no [reservoirs.tnk]; its reservoirs are "
                    "tank"
                ),
                "did you mean tank?",
                15,
            )
        ],
        id="a reservoir that is not there",
    ),
    pytest.param(
        'active = "low"\nspans = [{ from = "05:00"',
        'active = "low"\nreservoir = "tank"\nspans = [{ from = "05:00"',
        [
            Finding(
                "error",
                "loads.lamp.reservoir",
                "lamp is a lamp and has a reservoir; allowed is one with a pump or valve only",
                "delete reservoir",
                51,
            )
        ],
        id="a lamp with a reservoir",
    ),
    pytest.param(
        "inlet_at_l = 8",
        "inlet_at_l = 80",
        [
            Finding(
                "error",
                "reservoirs.tank.inlet_at_l",
                "inlet_at_l is 80 and full_l is 60; allowed is less than full_l",
                "write the litres that are left when the pump begins to draw air",
                86,
            )
        ],
        id="an inlet above the rim",
    ),
    pytest.param(
        "top_up_at_l = 20",
        "top_up_at_l = 4",
        [
            Finding(
                "error",
                "reservoirs.tank.top_up_at_l",
                "top_up_at_l is 4; allowed is from inlet_at_l, 8, to less than full_l, 60",
                "write the litres that are left when somebody fills it up",
                87,
            )
        ],
        id="a mark below the inlet",
    ),
    pytest.param(
        "[reservoirs.tank]",
        "[reservoirs.spare]\nfull_l = 20\ninlet_at_l = 2\n\n[reservoirs.tank]",
        [
            Finding(
                "warning",
                "reservoirs.spare",
                "no load draws from spare: its water is not counted",
                'write reservoir = "spare" in [loads.pump], or delete it',
                84,
            )
        ],
        id="a reservoir that nobody uses",
    ),
    pytest.param(
        'currency = "CHF"',
        'currency = "CHF"\nprice_per_kwh = 0.3',
        [
            Finding(
                "note",
                "energy.price_per_kwh",
                "the tariff has a price for every time of the day: price_per_kwh does nothing",
                "delete price_per_kwh, or the tariff",
                95,
            )
        ],
        id="a tariff and a price",
    ),
    pytest.param(
        'from = "22:00"',
        'from = "07:00"',
        [
            Finding(
                "error",
                "energy.tariff.1.from",
                "two entries of the tariff begin at 07:00; allowed is one at a time",
                "give this one another time, or delete it",
                101,
            )
        ],
        id="two prices at one time",
    ),
    pytest.param(
        'from = "22:00"',
        'from = "sunset"',
        [
            Finding(
                "error",
                "energy.tariff.1.from",
                "from: 'sunset' is not a time of the clock: write hours and minutes, like 22:00",
                'write it like from = "22:00"',
                101,
            )
        ],
        id="a tariff by the sun",
    ),
    pytest.param(
        'from = "22:00"',
        'from = "10 pm"',
        [
            Finding(
                "error",
                "energy.tariff.1.from",
                "from: '10 pm' is not a time of the clock: write hours and minutes, like 22:00",
                'write from = "22:00"',
                101,
            )
        ],
        id="a time as people say it",
    ),
    pytest.param(
        'from = "22:00"',
        "from = 22:00:00",
        [
            Finding(
                "error",
                "energy.tariff.1.from",
                (
                    "from is 22:00:00, a time without quotes; allowed is a time of the clock in "
                    'quotes like "22:00"'
                ),
                'write from = "22:00"',
                101,
            )
        ],
        id="a time without quotes",
    ),
    pytest.param(
        "ppm_scale = 500",
        "ppm_scale = 550",
        [
            Finding(
                "error",
                "reservoirs.tank.ppm_scale",
                "ppm_scale is 550; allowed is one of 500, 640, 700",
                "write it like ppm_scale = 500",
                90,
            )
        ],
        id="a scale of no meter",
    ),
    pytest.param(
        "ppm_scale = 500",
        'ppm_scale = "640 ppm"',
        [
            Finding(
                "error",
                "reservoirs.tank.ppm_scale",
                'ppm_scale is "640 ppm", a text; allowed is one of 500, 640, 700',
                "write ppm_scale = 640",
                90,
            )
        ],
        id="a scale in quotes with its unit",
    ),
    pytest.param(
        "sown = 2026-06-01",
        'sown = "2026/6/1"',
        [
            Finding(
                "error",
                "stands.young.sown",
                "sown: '2026/6/1' is not a date: write it like 2026-07-01",
                'write sown = "2026-06-01"',
                72,
            )
        ],
        id="a date with strokes",
    ),
    pytest.param(
        "sown = 2026-06-01",
        "sown = 2026-06-01T06:00:00",
        [
            Finding(
                "error",
                "stands.young.sown",
                (
                    "sown is 2026-06-01 06:00:00, a date and time without quotes; allowed is a date"
                    " like 2026-06-01, without quotes or within them"
                ),
                "write sown = 2026-06-01",
                72,
            )
        ],
        id="a date with a time",
    ),
    pytest.param(
        "sown = 2026-06-01",
        'sown = "June"',
        [
            Finding(
                "error",
                "stands.young.sown",
                "sown: 'June' is not a date: write it like 2026-07-01",
                "write it like sown = 2026-06-01",
                72,
            )
        ],
        id="a month",
    ),
    pytest.param(
        "sown = 2026-06-01",
        "sown = 1890-01-01",
        [
            Finding(
                "error",
                "stands.young.sown",
                "sown: 1890-01-01 is outside of 1970-01-02 to 2199-12-30",
                "write it like sown = 2026-06-01",
                72,
            )
        ],
        id="a date before all",
    ),
    pytest.param(
        "plants = 40",
        "plant = 40",
        [
            Finding(
                "error",
                "stands.heads.plant",
                (
                    "[stands.heads] has no key named plant; its keys are watered_by, plants, "
                    "age_days, sown, medium, medium_ml, place, plants_per_m2, light_share, lamp, "
                    "ppfd_umol, air, humidity, air_c, humidity_pct, air_speed_m_s, drip_ml_per_min,"
                    " reserve"
                ),
                "did you mean plants?",
                59,
            )
        ],
        id="a key misspelt",
    ),
    pytest.param(
        "{ elbow = 2, valve = 1 }",
        "{ elbow = 2, valves = 1 }",
        [
            Finding(
                "error",
                "loads.pump.lift.fittings.valves",
                (
                    "[loads.pump.lift.fittings] has no key named valves; its keys are elbow, "
                    "elbow_45, bend, tee_through, tee_branch, valve, gate_valve, globe_valve, "
                    "check_valve, entrance, exit, barb, reducer, strainer, drip_manifold"
                ),
                "did you mean valve?",
                23,
            )
        ],
        id="a fitting misspelt",
    ),
    pytest.param(
        "[stands.heads]",
        "[heads]",
        [
            Finding(
                "error",
                "heads",
                (
                    "the plan has no key named heads; its keys are format, site, loads, sensors, "
                    "stands, reservoirs, guards, energy, limits"
                ),
                "write [stands.heads]",
                57,
            )
        ],
        id="a stand at the top",
    ),
    pytest.param(
        "[reservoirs.tank]",
        "[tank]",
        [
            Finding(
                "error",
                "tank",
                (
                    "the plan has no key named tank; its keys are format, site, loads, sensors, "
                    "stands, reservoirs, guards, energy, limits"
                ),
                "write [reservoirs.tank]",
                84,
            )
        ],
        id="a reservoir at the top",
    ),
    pytest.param(
        "[stands.heads]",
        "[stands.Young]",
        [
            Finding(
                "error",
                "stands.Young",
                (
                    "the stand Young is called like young but for capital letters: people would "
                    "take one for the other"
                ),
                "give it another name, such as [stands.Young_2]",
                57,
            )
        ],
        id="two names alike",
    ),
    pytest.param(
        'medium = "expanded-clay"',
        'medium = "clay"',
        [
            Finding(
                "error",
                "stands.heads.medium",
                (
                    'medium is "clay"; allowed is one of "expanded-clay", "mineral-wool", "bare-'
                    'roots"'
                ),
                'write it like medium = "expanded-clay"',
                61,
            )
        ],
        id="a medium of no list",
    ),
    pytest.param(
        'place = "outdoors"',
        'place = "outside"',
        [
            Finding(
                "error",
                "stands.heads.place",
                'place is "outside"; allowed is one of "outdoors", "under-glass", "under-lamps"',
                'write it like place = "outdoors"',
                63,
            )
        ],
        id="a place of no list",
    ),
    pytest.param(
        "age_days = 35",
        "age_days = 350",
        [
            Finding(
                "error",
                "stands.heads.age_days",
                "age_days is 350; allowed is a whole number from 0 to 120",
                "write it like age_days = 35",
                60,
            )
        ],
        id="plants too old",
    ),
]


def test_a_garden_that_states_everything_is_sound() -> None:
    """Nothing is found in it, so that whatever is found below comes from the slip."""
    assert findings_in(COLUMNS) == []


@pytest.mark.parametrize(("old", "new", "found"), SLIPS)
def test_a_slip_is_told_with_line_place_and_mend(old: str, new: str, found: list[Finding]) -> None:
    """Where it is, what was given, what is allowed, and what to write; nothing beside it."""
    assert findings_in(changed(old, new, text=COLUMNS)) == found


def test_two_stands_may_hang_on_one_pump() -> None:
    """Young plants and grown ones are watered together, each counted as what it is."""
    text = changed('watered_by = "mist"', 'watered_by = "pump"', text=COLUMNS)
    assert findings_in(text) == []


def test_a_stand_that_is_misspelt_brings_no_other_errors() -> None:
    """What hangs on it is judged when it can be read."""
    text = changed("plants = 40", 'plants = "many"', text=COLUMNS)
    assert [(one.level, one.where) for one in findings_in(text)] == [
        ("error", "stands.heads.plants")
    ]
