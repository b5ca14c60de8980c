"""Edits of a plan's text, each by the lines that it takes and the lines that it puts."""

from __future__ import annotations

from collections.abc import Callable
from difflib import unified_diff

import pytest

from controller.core.errors import BadRequestError, PlanRefusedError
from tests.plan_edits import add_item, add_table, remove, set_value
from tests.plan_texts import PLAN, SMALLEST, changed

SPAN = {"from": "12:00", "cycle": "on"}
SHORT = {"from": "12:00", "cycle": "10m on, 10m off"}

BRACES = """\
format = 1
site.latitude = 47.1 # north
site.longitude = 8.3
site.timezone = "Europe/Zurich"
loads = { lamp = { kind = "lamp", line = 17, active = "low", spans = [{from="06:00",cycle="on"}] } }
"""


def difference(old: str, new: str) -> list[str]:
    """The lines that went and came, each group after `@@ -line +line @@`."""
    diff = unified_diff(old.split("\n"), new.split("\n"), lineterm="", n=0)
    return [line for line in diff if not line.startswith(("---", "+++"))]


@pytest.mark.parametrize(
    ("where", "value", "lines"),
    [
        pytest.param(
            "loads.pump.line",
            5,
            [
                "@@ -14 +14 @@",
                "-line = 17                     # header pin 11",
                "+line = 5                     # header pin 11",
            ],
            id="a value keeps its comment",
        ),
        pytest.param(
            "loads.pump.spans.1.cycle",
            "10m on, 50m off",
            ["@@ -35 +35 @@", '-cycle = "15m on, 45m off"', '+cycle = "10m on, 50m off"'],
            id="a value in an item",
        ),
        pytest.param(
            "loads.lamp.spans.0.cycle",
            "off",
            [
                "@@ -69 +69 @@",
                '-  { from = "04:00", cycle = "on" },   # early',
                '+  { from = "04:00", cycle = "off" },   # early',
            ],
            id="a value in braces",
        ),
        pytest.param(
            "sensors.air.stale_after",
            "20m",
            ["@@ -81 +81 @@", '-air.stale_after = "15m"', '+air.stale_after = "20m"'],
            id="a value under a dotted key",
        ),
        pytest.param(
            "loads.pump.contact_life",
            200_000,
            ["@@ -24,0 +25 @@", "+contact_life = 200000"],
            id="a new key comes after the last, above the next table's comment",
        ),
        pytest.param(
            "loads.pump.variants.0.below",
            None,
            ["refused"],
            id="nothing is no value",
        ),
        pytest.param(
            "sensors.float.stale_after",
            "1m",
            ["@@ -85,0 +86 @@", '+float.stale_after = "1m"'],
            id="a new key beside dotted ones",
        ),
        pytest.param(
            "sensors.meter.stale_after",
            "1m",
            [
                "@@ -86 +86 @@",
                '-meter = { measures = "flow", line = 20, pulses_per_litre = 450 }',
                '+meter = { measures = "flow", line = 20, pulses_per_litre = 450, stale_after = "1m" }',  # noqa: E501 - as a file has it
            ],
            id="a new key in braces",
        ),
        pytest.param(
            "loads.lamp.limits.on_per_day",
            "18h",
            ["@@ -72,0 +73,3 @@", "+[loads.lamp.limits]", '+on_per_day = "18h"', "+"],
            id="a new key in a table that is not there yet",
        ),
        pytest.param(
            "energy.currency",
            'a "k"\t',
            ["@@ -98 +98 @@", '-currency = "CHF"', r'+currency = "a \"k\"\t"'],
            id="marks and blanks are escaped",
        ),
    ],
)
def test_a_value_is_set(where: str, value: str | int | None, lines: list[str]) -> None:
    """One line changes or comes; the comment on it stays."""
    if value is None:
        with pytest.raises(BadRequestError):
            set_value(PLAN, where, value)
        return
    assert difference(PLAN, set_value(PLAN, where, value)) == lines


@pytest.mark.parametrize(
    ("where", "index", "item", "lines"),
    [
        pytest.param(
            "loads.pump.spans",
            0,
            SHORT,
            [
                "@@ -24,0 +25,4 @@",
                "+",
                "+[[loads.pump.spans]]",
                '+from = "12:00"',
                '+cycle = "10m on, 10m off"',
            ],
            id="before the first, above its comment",
        ),
        pytest.param(
            "loads.pump.spans",
            2,
            SHORT,
            [
                "@@ -35,0 +36,4 @@",
                "+",
                "+[[loads.pump.spans]]",
                '+from = "12:00"',
                '+cycle = "10m on, 10m off"',
            ],
            id="after the last",
        ),
        pytest.param(
            "loads.pump.variants.0.spans",
            1,
            SHORT,
            [
                "@@ -47,0 +48,4 @@",
                "+",
                "+  [[loads.pump.variants.spans]]",
                '+  from = "12:00"',
                '+  cycle = "10m on, 10m off"',
            ],
            id="with the indent of the others",
        ),
        pytest.param(
            "loads.pump.variants.1.spans",
            1,
            SHORT,
            [
                "@@ -56 +56 @@",
                '-spans = [{ from = "00:00", cycle = "5m on, 10m off" }]',
                '+spans = [{ from = "00:00", cycle = "5m on, 10m off" }, '
                '{ from = "12:00", cycle = "10m on, 10m off" }]',
            ],
            id="on the one line of a list",
        ),
        pytest.param(
            "loads.lamp.spans",
            0,
            SPAN,
            ["@@ -67,0 +68 @@", '+  { from = "12:00", cycle = "on" },'],
            id="before the first of a list over lines, above its comment",
        ),
        pytest.param(
            "loads.lamp.spans",
            2,
            SPAN,
            ["@@ -70,0 +71 @@", '+  { from = "12:00", cycle = "on" },'],
            id="after the last of a list over lines, below its comment",
        ),
        pytest.param(
            "loads.fan.variants",
            0,
            {"name": "smoke", "by_hand": True, "spans": [SPAN]},
            [
                "@@ -78,0 +79,8 @@",
                "+[[loads.fan.variants]]",
                '+name = "smoke"',
                "+by_hand = true",
                "+",
                "+[[loads.fan.variants.spans]]",
                '+from = "12:00"',
                '+cycle = "on"',
                "+",
            ],
            id="the first of a list that was not there",
        ),
    ],
)
def test_an_item_is_added(
    where: str, index: int, item: dict[str, object], lines: list[str]
) -> None:
    """An item joins its list in the way in which the list is written."""
    assert difference(PLAN, add_item(PLAN, where, index, item)) == lines


@pytest.mark.parametrize(
    ("old", "new", "lines"),
    [
        pytest.param(
            '  { from = "22:00", cycle = "off" },  # late\n',
            '  { from = "22:00", cycle = "off" }  # late\n',
            [
                "@@ -70 +70,2 @@",
                '-  { from = "22:00", cycle = "off" }  # late',
                '+  { from = "22:00", cycle = "off" },  # late',
                '+  { from = "12:00", cycle = "on" }',
            ],
            id="no comma after the last",
        ),
        pytest.param(
            '"off" },  # late\n]',
            '"off" },]',
            [
                "@@ -70 +70 @@",
                '-  { from = "22:00", cycle = "off" },]',
                '+  { from = "22:00", cycle = "off" }, { from = "12:00", cycle = "on" }]',
            ],
            id="the bracket on the last item's line",
        ),
    ],
)
def test_commas_are_kept_right(old: str, new: str, lines: list[str]) -> None:
    """A comma comes where one is needed, and none that was not there at the end."""
    text = changed(old, new)
    assert difference(text, add_item(text, "loads.lamp.spans", 2, SPAN)) == lines


@pytest.mark.parametrize(
    ("where", "lines"),
    [
        pytest.param(
            "loads.pump.spans.1",
            [
                "@@ -30,6 +29,0 @@",
                "-",
                "-# by night",
                "-# (less light, less thirst)",
                "-[[loads.pump.spans]]",
                '-from = "sunset + 1h"',
                '-cycle = "15m on, 45m off"',
            ],
            id="an item with the comment right above it",
        ),
        pytest.param(
            "loads.pump.variants.0.spans.0",
            [
                "@@ -43,5 +42,0 @@",
                "-",
                "-  # while it is hot",
                "-  [[loads.pump.variants.spans]]",
                '-  from = "10:00"',
                '-  cycle = "20m on, 10m off"',
            ],
            id="an item of an item",
        ),
        pytest.param(
            "loads.lamp.spans.0",
            [
                "@@ -68,2 +67,0 @@",
                "-  # light for eighteen hours",
                '-  { from = "04:00", cycle = "on" },   # early',
            ],
            id="an item on a line of its own",
        ),
        pytest.param(
            "loads.fan.spans.0",
            [
                "@@ -77 +77 @@",
                '-spans = [{ from = "lamp on + 5m", cycle = "5m on, 5m off" }, '
                '{ from = "lamp off", cycle = "off" }]',
                '+spans = [{ from = "lamp off", cycle = "off" }]',
            ],
            id="the first of two on a line",
        ),
        pytest.param(
            "loads.fan.spans.1",
            [
                "@@ -77 +77 @@",
                '-spans = [{ from = "lamp on + 5m", cycle = "5m on, 5m off" }, '
                '{ from = "lamp off", cycle = "off" }]',
                '+spans = [{ from = "lamp on + 5m", cycle = "5m on, 5m off" }]',
            ],
            id="the second of two on a line",
        ),
        pytest.param(
            "site.typical_day",
            ["@@ -9 +8,0 @@", "-typical_day = { coolest_c = 12, warmest_c = 27.5 }"],
            id="a table in braces",
        ),
        pytest.param("site.elevation_m", ["@@ -8 +7,0 @@", "-elevation_m = 450"], id="a key"),
        pytest.param(
            "sensors.air",
            [
                "@@ -80,4 +79,0 @@",
                '-air.measures = "air_temperature"',
                '-air.stale_after = "15m"',
                '-air.file = "/sys/class/hwmon/hwmon0/temp1_input"',
                "-air.scale = 0.001",
            ],
            id="a table of dotted keys",
        ),
        pytest.param(
            "limits",
            ["@@ -100,2 +99,0 @@", "-[limits]", "-energy_per_month_kwh = 50"],
            id="the last",
        ),
    ],
)
def test_something_is_removed(where: str, lines: list[str]) -> None:
    """It goes with its own comment, and with one of two blank lines that would meet."""
    assert difference(PLAN, remove(PLAN, where)) == lines


def test_a_load_goes_with_all_its_tables() -> None:
    """Spans, variants and limits under headers of their own go too."""
    begin, end = PLAN.index("# The pump in"), PLAN.index("[loads.lamp]")
    assert remove(PLAN, "loads.pump") == PLAN[:begin] + PLAN[end:]


def test_a_list_goes_with_all_its_items() -> None:
    """Both variants, and the spans within them."""
    begin = PLAN.index("[[loads.pump.variants]]")
    end = PLAN.index("[loads.pump.limits]")
    assert remove(PLAN, "loads.pump.variants") == PLAN[:begin] + PLAN[end:]


@pytest.mark.parametrize(
    ("where", "table", "lines"),
    [
        pytest.param(
            "loads.heater",
            {"kind": "heater", "line": 5, "active": "low", "limits": {"on_per_day": "6h"}}
            | {"spans": [SHORT]},
            [
                "@@ -78,0 +79,12 @@",
                "+[loads.heater]",
                '+kind = "heater"',
                "+line = 5",
                '+active = "low"',
                "+",
                "+[loads.heater.limits]",
                '+on_per_day = "6h"',
                "+",
                "+[[loads.heater.spans]]",
                '+from = "12:00"',
                '+cycle = "10m on, 10m off"',
                "+",
            ],
            id="a load below the last load",
        ),
        pytest.param(
            "sensors.shade",
            {"measures": "air_temperature"},
            ["@@ -89,0 +90,3 @@", "+[sensors.shade]", '+measures = "air_temperature"', "+"],
            id="a sensor below the sensors",
        ),
        pytest.param(
            "loads.fan.limits",
            {"starts_per_day": 300},
            ["@@ -78,0 +79,3 @@", "+[loads.fan.limits]", "+starts_per_day = 300", "+"],
            id="a table of a load, below that load's last",
        ),
    ],
)
def test_a_table_is_added(where: str, table: dict[str, object], lines: list[str]) -> None:
    """A table joins those of its kind, set off by a blank line."""
    assert difference(PLAN, add_table(PLAN, where, table)) == lines


def test_the_first_of_its_kind_comes_at_the_end() -> None:
    """Also where the file does not end with a line end."""
    assert add_table(SMALLEST.rstrip(), "energy", {"price_per_kwh": 0.2, "currency": "kr"}) == (
        SMALLEST + '\n[energy]\nprice_per_kwh = 0.2\ncurrency = "kr"'
    )


@pytest.mark.parametrize(
    ("edit", "lines"),
    [
        pytest.param(
            lambda: set_value(BRACES, "site.elevation_m", 450),
            ["@@ -4,0 +5 @@", "+site.elevation_m = 450"],
            id="beside dotted keys",
        ),
        pytest.param(
            lambda: add_table(BRACES, "site.typical_day", {"coolest_c": 5, "warmest_c": 20}),
            ["@@ -4,0 +5 @@", "+site.typical_day = { coolest_c = 5, warmest_c = 20 }"],
            id="a table beside dotted keys",
        ),
        pytest.param(
            lambda: set_value(BRACES, "loads.lamp.watts", 60),
            [
                "@@ -5 +5 @@",
                '-loads = { lamp = { kind = "lamp", line = 17, active = "low", '
                'spans = [{from="06:00",cycle="on"}] } }',
                '+loads = { lamp = { kind = "lamp", line = 17, active = "low", '
                'spans = [{from="06:00",cycle="on"}], watts = 60 } }',
            ],
            id="within braces",
        ),
        pytest.param(
            lambda: set_value(BRACES, "loads.lamp.limits.starts_per_day", 4),
            [
                "@@ -5 +5 @@",
                '-loads = { lamp = { kind = "lamp", line = 17, active = "low", '
                'spans = [{from="06:00",cycle="on"}] } }',
                '+loads = { lamp = { kind = "lamp", line = 17, active = "low", '
                'spans = [{from="06:00",cycle="on"}], limits = { starts_per_day = 4 } } }',
            ],
            id="a table within braces",
        ),
        pytest.param(
            lambda: remove(set_value(BRACES, "loads.lamp.watts", 60), "loads.lamp.watts"),
            [],
            id="there and back",
        ),
    ],
)
def test_braces_and_dotted_keys_are_kept(edit: Callable[[], str], lines: list[str]) -> None:
    """What is written in braces or dotted keys goes on in them."""
    assert difference(BRACES, edit()) == lines


@pytest.mark.parametrize(
    ("edit", "message"),
    [
        pytest.param(
            lambda: set_value(PLAN, "loads.pump", 1),
            "loads.pump is a table or a list: set one of the keys in it",
            id="a value for a table",
        ),
        pytest.param(
            lambda: set_value(PLAN, "loads.pump.spans", 1),
            "loads.pump.spans is a table or a list: set one of the keys in it",
            id="a value for a list",
        ),
        pytest.param(
            lambda: set_value(PLAN, "loads.none.line", 1),
            "the plan has no loads.none in which to set line",
            id="no such load",
        ),
        pytest.param(
            lambda: set_value(PLAN, "loads.pump.line.x", 1),
            "loads.pump.line holds no keys",
            id="a key within a number",
        ),
        pytest.param(
            lambda: set_value(PLAN, "", 1),
            "name a place in the plan, such as loads.pump.line",
            id="no place",
        ),
        pytest.param(
            lambda: set_value(PLAN, "loads.pump.watts", 2**63),
            "9223372036854775808 is no value of a plan: it takes texts, numbers, true and false",
            id="a number that TOML has not",
        ),
        pytest.param(
            lambda: add_item(PLAN, "loads.pump.spans", 3, SPAN),
            "loads.pump.spans has 2 items: there is no place 3 in it",
            id="beyond the end",
        ),
        pytest.param(
            lambda: add_item(BRACES, "loads.lamp.spans", 2, SPAN),
            "loads.lamp.spans has 1 item: there is no place 2 in it",
            id="beyond the only one",
        ),
        pytest.param(
            lambda: add_item(PLAN, "loads.pump.spans", -1, SPAN),
            "loads.pump.spans has 2 items: there is no place -1 in it",
            id="before the beginning",
        ),
        pytest.param(
            lambda: add_item(PLAN, "loads.pump.kind", 0, SPAN),
            "loads.pump.kind is no list of tables in the plan",
            id="an item for a text",
        ),
        pytest.param(
            lambda: add_item(PLAN, "loads.pump.moods", 0, SPAN),
            "loads.pump.moods is no list of tables in a plan",
            id="an item for no list",
        ),
        pytest.param(
            lambda: add_item(PLAN, "loads.none.spans", 0, SPAN),
            "loads.none.spans is no list of tables in the plan",
            id="an item for no load",
        ),
        pytest.param(
            lambda: add_table(PLAN, "guards", {}),
            "guards is in the plan already: change its keys instead",
            id="a table twice",
        ),
        pytest.param(
            lambda: add_table(PLAN, "loads.pump.spans.2", SPAN),
            "loads.pump.spans.2 is an item of a list: add it with its number",
            id="an item as a table",
        ),
        pytest.param(
            lambda: add_table(PLAN, "energy2", {1: 2}),
            "1 is no key: keys are texts",
            id="a number as a key",
        ),
        pytest.param(
            lambda: remove(PLAN, "loads.pump.mood"),
            "there is no loads.pump.mood in the plan",
            id="nothing to remove",
        ),
    ],
)
def test_a_request_that_does_not_suit_is_refused(edit: Callable[[], str], message: str) -> None:
    """The message says what is at the place, or what is missing there."""
    with pytest.raises(BadRequestError) as refusal:
        edit()
    assert str(refusal.value) == message


@pytest.mark.parametrize(
    ("edit", "where"),
    [
        pytest.param(
            lambda: set_value(PLAN, "loads.pump.line", "x"), "loads.pump.line", id="another kind"
        ),
        pytest.param(
            lambda: set_value(PLAN, "loads.pump.longest_on", "10m"),
            "loads.pump.without_clock",
            id="a bound that cycles break",
        ),
        pytest.param(
            lambda: remove(PLAN, "loads.lamp"),
            "loads.fan.spans.0.from",
            id="a load that is followed",
        ),
        pytest.param(lambda: remove(PLAN, "site"), "site", id="what every plan needs"),
        pytest.param(
            lambda: add_table(PLAN, "sensors.x", {"measure": "level"}),
            "sensors.x.measure",
            id="a key misspelt",
        ),
    ],
)
def test_an_edit_that_breaks_the_plan_is_refused(edit: Callable[[], str], where: str) -> None:
    """The refusal is the same as if the edited plan had been read from a file."""
    with pytest.raises(PlanRefusedError) as refusal:
        edit()
    assert refusal.value.source == "the edited plan"
    assert where in [finding.where for finding in refusal.value.findings]


@pytest.mark.parametrize(
    ("text", "edit", "lines"),
    [
        pytest.param(
            PLAN.replace("format = 1\n\n", "\n"),
            lambda text: set_value(text, "format", 1),
            ["@@ -1,0 +2,2 @@", "+", "+format = 1"],
            id="at the top, where nothing stands",
        ),
        pytest.param(
            changed("[guards]", "wind = {}\n[guards]"),
            lambda text: set_value(text, "sensors.wind.measures", "light"),
            ["@@ -90 +90 @@", "-wind = {}", '+wind = { measures = "light" }'],
            id="in empty braces",
        ),
        pytest.param(
            changed('"low", spans', '"low", limits.starts_per_day = 5, spans', text=BRACES),
            lambda text: set_value(text, "loads.lamp.limits.on_per_day", "5h"),
            [
                "@@ -5 +5 @@",
                '-loads = { lamp = { kind = "lamp", line = 17, active = "low", '
                'limits.starts_per_day = 5, spans = [{from="06:00",cycle="on"}] } }',
                '+loads = { lamp = { kind = "lamp", line = 17, active = "low", '
                'limits.starts_per_day = 5, limits.on_per_day = "5h", '
                'spans = [{from="06:00",cycle="on"}] } }',
            ],
            id="beside dotted keys within braces",
        ),
        pytest.param(
            SMALLEST + "variants = [] # none yet\n",
            lambda text: add_item(
                text, "loads.lamp.variants", 0, {"name": "a", "by_hand": True, "spans": [SPAN]}
            ),
            [
                "@@ -8 +8 @@",
                "-variants = [] # none yet",
                '+variants = [{ name = "a", by_hand = true, '
                'spans = [{ from = "12:00", cycle = "on" }] }] # none yet',
            ],
            id="in an empty list",
        ),
    ],
)
def test_empty_and_odd_forms_take_edits_too(
    text: str, edit: Callable[[str], str], lines: list[str]
) -> None:
    """What has no neighbour to join begins where its holder begins."""
    assert difference(text, edit(text)) == lines


def test_a_key_that_no_table_takes_is_refused_where_only_headers_imply_the_table() -> None:
    """The loads have no keys but their names."""
    with pytest.raises(PlanRefusedError) as refusal:
        set_value(PLAN, "loads.extra", 1)
    assert [finding.where for finding in refusal.value.findings] == ["loads.extra"]
