"""What the plan's reader says of a file, the form says of its fields: by their names, and with no
line to write anywhere."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

import pytest
from playwright.sync_api import expect

from controller.core.errors import BadRequestError, PlanRefusedError
from controller.core.findings import Finding
from controller.core.plan_edit.edit import Change, edited
from controller.core.plan_text import said
from controller.core.plan_text.keys import keys
from controller.core.plan_text.place import dotted
from controller.core.sentence import Sentence
from tests.browser.conftest import grown
from tests.browser.plan_view import open_plan
from tests.browser.water_form import BARREL, item, open_rest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Page

    from controller.core.plan_text.place import Place
    from controller.core.sentence import Part
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
                        told[finding.message, finding.mend] = finding.as_form_json()
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


_POT, _FULL = ("stands", "heads", "medium_ml"), ("reservoirs", "barrel", "full_l")
_SPAN, _TOWER = ("loads", "tower", "spans", 0), ("loads", "tower")
_VARIANT = (*_TOWER, "variants", 0)


@pytest.mark.parametrize(
    ("where", "sentence", "said_there"),
    [
        pytest.param(
            _POT, (said.key(_POT), " is 1"), "“Volume of one pot or plug” is 1", id="its own key"
        ),
        pytest.param(
            _POT,
            ("leave it, or ", said.key(_FULL)),
            "leave it, or “Full”",
            id="a key of another table",
        ),
        pytest.param(_POT, ("write ", said.line(_POT, "90")), "write 90", id="its own line"),
        pytest.param(
            _POT,
            ("write ", said.line((*_POT[:2], "place"), '"under-lamps"')),
            "write “Where” “under lamps”",
            id="another line, with what its field offers",
        ),
        pytest.param(
            _POT,
            (said.fill_in(_POT, "90"), " or more"),
            "fill in a value like 90 or more",
            id="own",
        ),
        pytest.param(
            _POT,
            (said.fill_in_what(_POT), " what it holds"),
            "fill in what it holds",
            id="its own, by what is meant",
        ),
        pytest.param(
            ("stands", "heads"),
            (said.fill_in(_POT, "90"),),
            "fill in “Volume of one pot or plug” with 90",
            id="another",
        ),
        pytest.param(
            ("stands", "heads"),
            (said.fill_in_what(_POT), " what it holds"),
            "fill in “Volume of one pot or plug”: what it holds",
            id="another, by what is meant",
        ),
        pytest.param(
            _POT,
            (said.leave_out(_POT), " then"),
            "leave “Volume of one pot or plug” empty then",
            id="to leave out",
        ),
        pytest.param(
            _FULL,
            (said.missing(_FULL, "[reservoirs.barrel] has no full_l"), "; it needs one"),
            "“Full” is empty; it needs one",
            id="missing",
        ),
        pytest.param(
            ("stands", "my heads"),
            ("write ", said.table(("stands", "my_heads"))),
            "write my_heads",
            id="a name",
        ),
        pytest.param(
            _TOWER, (said.table((*_TOWER, "spans", 1)),), "spans number 2", id="an item of a list"
        ),
        pytest.param(
            _POT,
            ("a number", said.in_file(" in quotes"), " like 90"),
            "a number like 90",
            id="what matters in a file",
        ),
        pytest.param(
            (*_SPAN, "cycle"), (said.key((*_SPAN, "cycle")),), "“What it does”", id="of a piece"
        ),
        pytest.param(
            (*_VARIANT, "until"),
            (said.key((*_VARIANT, "until")),),
            "“Back to normal at”",
            id="of a variant",
        ),
        pytest.param(
            (*_VARIANT, "spans", 0),
            (said.key((*_VARIANT, "spans", 0, "longest_rest")),),
            "“Longest rest”",
            id="of a variant's piece",
        ),
        pytest.param(
            _TOWER,
            (said.key((*_TOWER, "limits", "longest_dry_gap")),),
            "“Longest dry gap”",
            id="of a load's limits",
        ),
        pytest.param(
            ("loads", "spans"),
            (said.key(("loads", "spans", "watts")),),
            "“Power”",
            id="of a load that is called like a part of one",
        ),
        pytest.param(
            _TOWER,
            (said.key((*_TOWER, "lift", "fittings", "check_valve")),),
            "“check valve”",
            id="that has no field",
        ),
        pytest.param(
            (*_TOWER, "lift", "fittings", "check_valve"),
            (said.key((*_TOWER, "lift", "fittings", "check_valve")), " is 7"),
            "it is 7",
            id="its own, that has no field",
        ),
        pytest.param(
            (*_TOWER, "lift", "curve"),
            (said.line((*_TOWER, "lift", "curve"), "[[1000, 0.0], [0, 2.5]]"),),
            "1000\u00a0L/h at 0\u00a0m, 0\u00a0L/h at 2.5\u00a0m",
            id="points",
        ),
        pytest.param(
            ("energy", "tariff"),
            (said.key(("energy", "tariff", 1, "from")),),
            "“Price 2: from this time”",
            id="of a tariff",
        ),
    ],
)
def test_each_kind_of_part_has_its_words(
    told: Garden, laptop: Page, where: Place, sentence: tuple[Part | str, ...], said_there: str
) -> None:
    """Those of the fields, be it in the message or in the mend."""
    open_plan(laptop, told)
    finding = Finding("error", dotted(where), Sentence(*sentence), Sentence(*sentence))
    [one] = _in_form(laptop, [finding.as_form_json()])
    assert (one["message"], one["mend"]) == (said_there, said_there)


def test_what_comes_without_parts_stays_as_it_is(told: Garden, laptop: Page) -> None:
    """What the controller refused, and what no reader of plans found, is a text alone."""
    open_plan(laptop, told)
    plain = {"level": "error", "message": "write longest_on = 5", "mend": "[loads.x] too"}
    assert _in_form(laptop, [plain]) == [plain]
