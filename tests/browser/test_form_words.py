"""What the plan's reader says of a file, the form says of its fields: by their names, and with no
line to write anywhere."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

import pytest
from playwright.sync_api import expect

from controller.core.errors import BadRequestError, PlanRefusedError
from controller.core.plan_edit.edit import Change, edited
from controller.core.plan_text.keys import keys
from tests.browser.conftest import grown
from tests.browser.plan_view import open_plan
from tests.browser.water_form import BARREL, item, open_rest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Page

    from controller.core.findings import Finding
    from tests.browser.conftest import Garden

# Where the form has fields, and by which model the keys there go; with what a demand needs besides.
HOMES: Final = {
    "loads.tower": "Load", "loads.tower.limits": "LoadLimits", "loads.tower.lift": "Lift",
    "loads.tower.lift.fittings": "Fittings",
    "loads.tower.spans.0": "Span", "stands.heads": "Stand", "reservoirs.barrel": "Reservoir",
    "sensors.air": "Sensor", "site": "Site", "site.typical_day": "TypicalDay", "guards": "Guards",
    "energy": "Energy", "limits": "SiteLimits",
}  # fmt: skip
TOLD: Final = (
    BARREL
    + """
[sensors.air]
measures = "air_temperature"
file = "/sys/class/hwmon/hwmon0/temp1_input"
scale = 0.001

[site.typical_day]
coolest_c = 18
warmest_c = 33

[guards]
starts_together = 1

[energy]
price_per_kwh = 0.2
currency = "CHF"

[limits]
watts_at_once = 400
"""
)
# What a thumb may type: too little, too much, another unit, words, nothing at all.
TYPED: Final[tuple[Any, ...]] = (-1, 0, 1e9, 3.5, "90ml", "30 %", "soon", "")
# What belongs in a file: a pair, a table's header, a key that no form shows.
OF_A_FILE: Final = re.compile(r"\w = |\[\w|\w_\w|in quotes|, a text|, a number|, a whole number")


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """A garden that has every table for which there are fields; nothing is saved."""
    with grown(tmp_path_factory.mktemp("told"), TOLD) as garden:
        yield garden


def _all_findings() -> list[dict[str, Any]]:
    """What is said where any of that stands at any key."""
    told: dict[tuple[str, str], dict[str, Any]] = {}
    for home, model in HOMES.items():
        for key, one in keys()[model].items():
            at = f"{home}.{key}"
            changes = [Change("remove", at), *(Change("set", at, value) for value in TYPED)]
            for change in [] if one.holds else changes:
                for finding in _refused(change):
                    if finding.where.startswith(at):
                        told[finding.message, finding.mend] = finding.as_json()
    return list(told.values())


def _refused(change: Change) -> tuple[Finding, ...]:
    try:
        edited(TOLD, [change])
    except PlanRefusedError as refused:
        return refused.findings
    except BadRequestError:  # it is not there, and cannot be taken out
        return ()
    return ()


def _in_form(window: Page, findings: list[dict[str, Any]]) -> list[dict[str, str]]:
    said: list[dict[str, str]] = window.evaluate(
        """async (findings) => {
          const { inForm } = await import("/static/words/in_form.js");
          return findings.map(inForm);
        }""",
        findings,
    )
    return said


def test_no_answer_to_a_field_speaks_of_the_file(told: Garden, laptop: Page) -> None:
    """Whatever is typed for any key that the form shows, or left out."""
    findings = _all_findings()
    assert len(findings) > 150
    open_plan(laptop, told)
    said = _in_form(laptop, findings)
    poor = [
        f"{one['message']} -> {one['mend']} (from: {read['message']} -> {read['mend']})"
        for one, read in zip(said, findings, strict=True)
        if OF_A_FILE.search(re.sub(r"“[^”]*”|/\S+", "", f"{one['message']} {one['mend']}"))
    ]
    assert poor == [], "\n".join(poor)


def test_a_field_is_told_by_its_name(told: Garden, laptop: Page) -> None:
    """With what is allowed, and with what to type there."""
    heads = item(open_rest(laptop, told), "heads")
    heads.get_by_text("The plants", exact=True).click()
    age = heads.get_by_label("Age", exact=True)
    age.fill("-3")
    age.press("Tab")
    expect(heads.locator(".finding.is-error")).to_have_text(
        "Error: “Age” is -3; allowed is a whole number from 0 to 120. To mend it: write it like 35."
    )


@pytest.mark.parametrize(
    ("where", "message", "mend", "said", "to_do"),
    [
        (
            "stands.heads.medium_ml",
            'medium_ml is "90ml", a text; allowed is a number',
            "write medium_ml = 90",
            '“Volume of one pot or plug” is "90ml"; allowed is a number',
            "write 90",
        ),
        (
            "reservoirs.barrel.full_l",
            "[reservoirs.barrel] has no full_l (water in it (L)); it needs a number",
            "add full_l = 60",
            "“Full” is empty; it needs a number",
            "fill in a value like 60",
        ),
        (
            "loads.tower.spans.0.longest_rest",
            "tower: draws rests out, to longest_rest, 40m",
            "state the longest_rest",
            "tower: draws rests out, to “Longest rest”, 40m",
            "state the “Longest rest”",
        ),
        (
            "loads.tower.without_clock",
            "without_clock: 'x' is no cycle",
            'write it like without_clock = "15m on, 15m off"',
            "“While no clock can be trusted”: 'x' is no cycle",
            "write it like 15m on, 15m off",
        ),
        (
            "loads.tower.longest_on",
            "longest_on: 'x' is not so: write it like 15m",
            'write it like longest_on = "45m"',
            "“Longest on”: 'x' is not so: write it like 15m",
            "",
        ),
        (
            "loads.tower.spans.0.cycle",
            "tower goes by demand, and heads names no sensor of its air",
            'add air = "air" to [stands.heads], and the sensor if there is none',
            "tower goes by demand, and heads names no sensor of its air",
            "add “Sensor of their air” air to heads, and the sensor if there is none",
        ),
        (
            "stands.my heads",
            '"my heads" is no name',
            "write [stands.my_heads]",
            '"my heads" is no name',
            "write my_heads",
        ),
    ],
)
def test_kinds_of_sentences(
    told: Garden, laptop: Page, where: str, message: str, mend: str, said: str, to_do: str
) -> None:
    """Each kind by an example."""
    open_plan(laptop, told)
    [one] = _in_form(laptop, [{"level": "error", "where": where, "message": message, "mend": mend}])
    assert (one["message"], one["mend"]) == (said, to_do)
