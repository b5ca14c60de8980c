"""Rules of the plan: warnings and notes word by word, and what each rule leaves alone.

The errors that rules find are in `test_plan_errors`, beside all others.
"""

from __future__ import annotations

import importlib
import pkgutil

import pytest
from hypothesis import given
from hypothesis import strategies as st

import controller.core.plan_rules
from controller.core.findings import Finding
from controller.core.plan import Plan
from controller.core.plan_rules.rulebook import RULES, found_in, rules, sound_errors
from controller.core.plan_text.form import read_form
from controller.core.plan_text.reading import read_plan
from tests.plan_texts import SMALLEST, changed, findings_in
from tests.strategies import Document, examples, plans

# old text, new text, the one finding
ADVICE = [
    pytest.param(
        'longitude = 8.3\ntimezone = "Europe/Zurich"',
        'longitude = 118.2\ntimezone = "America/Los_Angeles"',
        Finding(
            "warning",
            "site.longitude",
            "at longitude 118.2 the sun is 8 h away from the clocks of America/Los_Angeles; east "
            "is positive, west negative: is the sign right?",
            "if not, write longitude = -118.2, else check timezone",
            6,
        ),
        id="east for west",
    ),
    pytest.param(
        "longitude = 8.3",
        "longitude = 98.3",
        Finding(
            "warning",
            "site.longitude",
            "at longitude 98.3 the sun is 6 h away from the clocks of Europe/Zurich; east is "
            "positive, west negative",
            "check longitude and timezone: one of them is of another place",
            6,
        ),
        id="a digit too many",
    ),
    pytest.param(
        'timezone = "Europe/Zurich"',
        'timezone = "America/Los_Angeles"',
        Finding(
            "warning",
            "site.longitude",
            "at longitude 8.3 the sun is 9 h away from the clocks of America/Los_Angeles; east "
            "is positive, west negative",
            "check longitude and timezone: one of them is of another place",
            6,
        ),
        id="a zone of another continent",
    ),
    pytest.param(
        "latitude = 47.1",
        "latitude = -47.1",
        Finding(
            "warning",
            "site.latitude",
            "Europe/Zurich has its summer time in July, north of the equator, and latitude -47.1 "
            "is on the other side; north is positive: is the sign right?",
            "if not, write latitude = 47.1, else check timezone",
            5,
        ),
        id="south for north",
    ),
    pytest.param(
        'when_stopped = "off"',
        'when_stopped = "on"',
        Finding(
            "warning",
            "loads.pump.when_stopped",
            "pump stays on while the controller does not run: nobody would notice a dry "
            "reservoir or a burst hose",
            'write when_stopped = "off", unless people are safe and you know why',
            20,
        ),
        id="a pump that nobody watches",
    ),
    pytest.param(
        "energy_per_month_kwh = 50",
        "watts_at_once = 50",
        Finding(
            "warning",
            "limits.watts_at_once",
            "watts_at_once is 50 and lamp alone takes 60.5 W: a dry run in which it starts "
            "breaks this limit",
            "write watts_at_once = 60.5 or more",
            101,
        ),
        id="a limit below what one load takes",
    ),
    pytest.param(
        "watts = 22\n",
        "",
        Finding(
            "note",
            "loads.pump.watts",
            "pump has no watts, so its energy and cost cannot be told",
            "add watts = and the power on the pump's plate",
            12,
        ),
        id="a pump without power",
    ),
    pytest.param(
        'longest_on = "45m"\n',
        "",
        Finding(
            "note",
            "loads.pump.longest_on",
            "pump has no longest_on, so nothing ends a watering that should have ended",
            'add it, such as longest_on = "45m"',
            12,
        ),
        id="a pump without a longest on",
    ),
    pytest.param(
        'without_clock = "15m on, 15m off"\n',
        "",
        Finding(
            "note",
            "loads.pump.without_clock",
            "pump has no without_clock: until the clock is trusted it runs the first cycle of "
            "its spans that waters",
            'add it, such as without_clock = "15m on, 15m off"',
            12,
        ),
        id="a pump without a cycle for no clock",
    ),
    pytest.param(
        'longest_dry_gap = "50m"',
        'longest_dry_gap = "44m"',
        Finding(
            "warning",
            "loads.pump.spans.1.cycle",
            '"15m on, 45m off" leaves pump off for 45m; its limit longest_dry_gap is 44m',
            "shorten that step, or state a longer limit",
            35,
        ),
        id="a limit that a cycle breaks by itself",
    ),
    pytest.param(
        'flow_within = "30s"',
        'flow_within = "20m"',
        Finding(
            "warning",
            "loads.pump.flow_within",
            "flow_within is 20m and the longest watering of pump is 20m: a missing flow would "
            "never be seen",
            'write flow_within = "10m", or less than 20m',
            24,
        ),
        id="a flow judged after every watering",
    ),
    pytest.param(
        'from = "sunset + 1h"',
        'from = "sunrise - 30m"',
        Finding(
            "warning",
            "loads.pump.spans.0.from",
            'span 1 starts at "sunrise - 30m" like span 2; the later one wins, so this one is '
            "never used",
            "give it another anchor, or delete it",
            28,
        ),
        id="two spans that start together",
    ),
    pytest.param(
        'until = 29.0\nat_least = "30m"',
        "until = 32.0",
        Finding(
            "warning",
            "loads.pump.variants.0.until",
            "until and above are both 32: the variant will come and go with every flutter of the "
            "reading",
            'write until = 29, or add at_least = "30m"',
            41,
        ),
        id="thresholds without a gap",
    ),
    pytest.param(
        'air.measures = "air_temperature"\nair.stale_after = "15m"\n'
        'air.file = "/sys/class/hwmon/hwmon0/temp1_input"\nair.scale = 0.001\n',
        "",
        Finding(
            "warning",
            "loads.pump.variants.0.sensor",
            "the variant waits for the sensor air, and the plan has no [sensors.air]: a dry run "
            "takes it for the weather's air temperature, and the controller will have no reading",
            'add [sensors.air] with measures = "air_temperature"',
            39,
        ),
        id="a sensor for dry runs only",
    ),
    pytest.param(
        'sensor = "air"',
        'sensor = "shade"',
        Finding(
            "warning",
            "loads.pump.variants.0.sensor",
            "the variant waits for the sensor shade, and the plan has no [sensors.shade]: a dry "
            "run knows only air, the weather's air temperature, and the controller will have no "
            "reading",
            'add [sensors.shade] with measures = "air_temperature"',
            39,
        ),
        id="a sensor that no dry run knows",
    ),
    pytest.param(
        "line = 17 ",
        "line = 3 ",
        Finding(
            "note",
            "loads.pump.line",
            "on common boards line 3 is the I2C bus for sensors, with a resistor to 3.3 V",
            "make sure that your board leaves it free, or take another line",
            14,
        ),
        id="the bus of the sensors",
    ),
    pytest.param(
        "line = 17 ",
        "line = 14 ",
        Finding(
            "note",
            "loads.pump.line",
            "on common boards line 14 is the serial console, which chatters while starting",
            "make sure that your board leaves it free, or take another line",
            14,
        ),
        id="the serial console",
    ),
    pytest.param(
        "line = 17 ",
        "line = 0 ",
        Finding(
            "note",
            "loads.pump.line",
            "on common boards line 0 reads the identity of plugged-on boards while starting",
            "make sure that your board leaves it free, or take another line",
            14,
        ),
        id="the identity of boards",
    ),
    pytest.param(
        "line = 17 ",
        "line = 40 ",
        Finding(
            "note",
            "loads.pump.line",
            "on common boards line 40 is not on the 40-pin header",
            "make sure that your board leaves it free, or take another line",
            14,
        ),
        id="not on the header",
    ),
]


@pytest.mark.parametrize(("old", "new", "finding"), ADVICE)
def test_advice_is_told_and_the_plan_is_taken(old: str, new: str, finding: Finding) -> None:
    """A warning or note comes with the plan, and alone."""
    assert read_plan(changed(old, new).encode(), "plan.toml").findings == (finding,)


SITE = 'latitude = 47.1, longitude = 8.3, timezone = "Europe/Zurich"'


@pytest.mark.parametrize(
    "site",
    [
        # Longitudes and zones from memory; the tz database's zone1970.tab agrees.
        pytest.param((39.5, 76.0, "Asia/Shanghai"), id="western China, 3 h from its meridian"),
        pytest.param((1.9, -157.4, "Pacific/Kiritimati"), id="UTC+14, west of the date line"),
        pytest.param((-43.9, -176.5, "Pacific/Chatham"), id="UTC+12:45, west of the date line"),
        pytest.param((-14.3, -170.7, "Pacific/Pago_Pago"), id="UTC-11"),
        pytest.param((64.1, -21.9, "Atlantic/Reykjavik"), id="UTC all year"),
        pytest.param((53.3, -6.3, "Europe/Dublin"), id="winter time that the law calls negative"),
        pytest.param((-72.0, 2.5, "Antarctica/Troll"), id="northern summer time in the south"),
        pytest.param((-31.6, 159.1, "Australia/Lord_Howe"), id="half an hour of summer time"),
        pytest.param((-33.4, -70.7, "America/Santiago"), id="south and west"),
        pytest.param((33.6, -7.6, "Africa/Casablanca"), id="summer time but for Ramadan"),
        pytest.param((42.9, -8.5, "Europe/Madrid"), id="Galicia, far west in its zone"),
        pytest.param((69.6, 18.9, "Europe/Oslo"), id="beyond the polar circle"),
        pytest.param((27.7, 85.3, "Asia/Kathmandu"), id="UTC+5:45"),
    ],
)
def test_no_real_place_is_warned_about(site: tuple[float, float, str]) -> None:
    """Odd zones of real places raise no doubt about a sign."""
    latitude, longitude, timezone = site
    new = f'latitude = {latitude}, longitude = {longitude}, timezone = "{timezone}"'
    assert findings_in(changed(SITE, new, text=SMALLEST)) == []


@pytest.mark.parametrize(
    ("cycle", "is_taken"),
    [
        pytest.param("45m on, 5m off", True, id="exactly longest_on"),
        pytest.param("45m0.001s on, 5m off", False, id="a millisecond more"),
        pytest.param("20m on, 25m on, 5m off", True, id="two steps together exactly"),
        pytest.param("20m on, 26m on, 5m off", False, id="two steps together too long"),
        pytest.param("20m on, 5m off, 26m on", False, id="the last and the first together"),
        pytest.param("5s on, 5s off", True, id="exactly the shortest"),
        pytest.param("3s on, 3s on, 5m off", True, id="two steps together long enough"),
        pytest.param("3s on, 5m off, 3s on", False, id="the first alone where the span starts"),
        pytest.param("1s off", True, id="steady, however it is written"),
        pytest.param("off", True, id="steady off"),
    ],
)
def test_bounds_are_judged_to_the_millisecond(cycle: str, is_taken: bool) -> None:
    """Steps of one state are one stretch; borders are allowed."""
    text = changed('cycle = "15m on, 45m off"', f'cycle = "{cycle}"')
    assert (findings_in(text) == []) is is_taken


@pytest.mark.parametrize(
    "kind", [pytest.param(kind, id=f"a {kind} may stay on") for kind in ("lamp", "fan")]
)
def test_light_and_air_may_stay_on_unwatched(kind: str) -> None:
    """Only water and heat are dangerous alone."""
    text = changed('kind = "lamp"', f'kind = "{kind}"\nwhen_stopped = "on"', text=SMALLEST)
    assert findings_in(text) == []


def test_a_ring_is_told_once_and_named_whole() -> None:
    """Of three loads that follow each other one finding names all, in their order."""
    loads = "".join(
        f'[loads.{name}]\nkind = "lamp"\nline = {line}\nactive = "low"\n'
        f'spans = [{{ from = "{follows} on", cycle = "on" }}]\n'
        for name, line, follows in (("a", 5, "b"), ("b", 6, "c"), ("c", 7, "a"), ("d", 8, "a"))
    )
    assert [(f.where, f.message) for f in findings_in(SMALLEST + loads)] == [
        (
            "loads.a.spans.0.from",
            "a follows b follows c follows a: in such a ring no load knows when to start",
        )
    ]


def test_a_variant_by_hand_and_by_sensor_is_refused() -> None:
    """A variant has one who switches it."""
    text = changed("by_hand = true", 'by_hand = true\nsensor = "air"')
    assert [(f.where, f.message) for f in findings_in(text)] == [
        (
            "loads.pump.variants.1",
            'the variant "seedlings" has a sensor and by_hand; allowed is one of the two',
        )
    ]


def test_a_variant_for_cold_is_left_above() -> None:
    """For `below` the sides are exchanged."""
    cold = changed("above = 32.0\nuntil = 29.0", "below = 5\nuntil = 8")
    assert findings_in(cold) == []
    wrong = changed("above = 32.0\nuntil = 29.0", "below = 5\nuntil = 3")
    assert [(f.where, f.message, f.mend) for f in findings_in(wrong)] == [
        (
            "loads.pump.variants.0.until",
            "until is 3 and below is 5; allowed is an until not lower than below",
            "write until = 8, or what suits the place",
        )
    ]


def test_a_name_that_cannot_be_shown_is_refused() -> None:
    """What a terminal would obey, or what turns a line around, names no variant."""
    for name in (r"\u001b[31mhot", r"\u202ehot", "hot ", r"\nhot"):
        findings = findings_in(changed('name = "hot"', f'name = "{name}"'))
        assert [f.where for f in findings] == ["loads.pump.variants.0.name"]
        assert findings[0].message.isprintable()


def test_every_rule_of_the_package_is_in_the_list() -> None:
    """A rule that is written and not listed would be none."""
    names = [
        module.name
        for module in pkgutil.iter_modules(controller.core.plan_rules.__path__)
        if module.name not in {"rule", "rulebook"}
    ]
    written = {
        function
        for name in names
        for function in vars(importlib.import_module(f"controller.core.plan_rules.{name}")).values()
        if getattr(function, "__module__", "").endswith(f"plan_rules.{name}")
        and not getattr(function, "__name__", "_").startswith("_")
    }
    assert len(names) == 13
    assert set(RULES) == written
    assert len(RULES) == len(written)


def test_rules_are_told_without_lines_for_plans_that_have_none() -> None:
    """A plan that was never a file has places only."""
    plan = read_plan(changed("watts = 22\n", "").encode(), "plan.toml").plan
    assert [(f.level, f.where, f.line) for f in rules(plan)] == [("note", "loads.pump.watts", None)]


@given(plans())
@examples(40)
def test_rules_judge_every_plan(document: Document) -> None:
    """No plan of the right form, however odd, breaks a rule's own arithmetic."""
    plan, misfits = read_form(document)
    assert misfits == []
    assert isinstance(plan, Plan)
    for finding in rules(plan):
        assert finding.message
        assert finding.mend


@given(plans(), st.data())
@examples(40)
def test_sound_errors_rest_on_nothing_in_doubt(document: Document, data: st.DataObject) -> None:
    """With a place in doubt, the errors told are those whose places do not touch it."""
    plan, _ = read_form(document)
    assert plan is not None
    errors = [found for found in found_in(plan) if found.level == "error"]
    assert sound_errors(plan, ()) == errors
    assert sound_errors(plan, [()]) == []
    if errors:
        doubt = data.draw(st.sampled_from(errors)).place
        assert all(found.place != doubt for found in sound_errors(plan, [doubt]))
