"""Plants and reservoirs added and removed in the plan's form."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from controller.core.plan_text.keys import keys
from tests.browser.conftest import grown
from tests.browser.editor_form import SHED, draft_text, edited
from tests.browser.plan_view import draft, plan_in_force, save_button, wait_told
from tests.browser.water_form import BARREL, item, open_adding, open_rest

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Locator, Page

    from tests.browser.conftest import Garden

GREENS = """
[stands.greens]
watered_by = "tower"
plants = 36
sown = "2026-06-01"
medium = "expanded-clay"
medium_ml = 90
plants_per_m2 = 22.5
place = "outdoors"
drip_ml_per_min = 40
"""
TANK = """
[reservoirs.tank]
full_l = 60
inlet_at_l = 8
"""


def _fill_greens(form: Locator) -> None:
    form.get_by_label("How many").fill("36")
    form.get_by_label("Sown on").fill("2026-06-01")
    form.get_by_label("Roots in").select_option("expanded-clay")
    form.get_by_label("Volume of one pot or plug").fill("90")
    form.get_by_label("Plants on a square metre").fill("22,5")
    form.get_by_label("Where").select_option("outdoors")
    form.get_by_label("Water for one plant").fill("40")


def test_plants_are_added_with_what_has_to_be_known(shed: Garden, phone: Page) -> None:
    """The one pump is there already, nothing else is made up; they are led to, and undo takes them
    back."""
    rest = open_rest(phone, shed)
    form = open_adding(rest, "Add plants")
    expect(form.get_by_label("Watered by")).to_have_value("tower")
    expect(form.get_by_label("Name of these plants")).to_have_value("greens")
    typed = form.locator("input:visible").evaluate_all("(all) => all.map((e) => e.value)")
    assert typed.count("") == len(typed) - 1
    chosen = [form.get_by_label(name, exact=True) for name in ("Roots in", "Where")]
    assert [one.input_value() for one in chosen] == ["", ""]
    _fill_greens(form)
    form.get_by_role("button", name="Add them").tap()
    expect(item(rest, "greens").locator("summary").first).to_be_focused()
    assert draft_text(phone) == SHED + GREENS
    expect(form.get_by_label("Name of these plants")).to_have_value("greens_2")
    expect(form.get_by_label("How many")).to_have_value("")
    phone.locator("#page-bar").get_by_role("button", name="Undo").tap()
    expect(item(rest, "greens")).to_have_count(0)
    assert draft_text(phone) == SHED


def test_what_is_missing_or_wrong_is_told_beside_its_field(shed: Garden, phone: Page) -> None:
    """All of it at once, with the range allowed; whoever sent it is led to the first; the draft is
    as it was, and what was typed stays."""
    form = open_adding(open_rest(phone, shed), "Add plants")
    form.get_by_label("Plants on a square metre").fill("900")
    form.get_by_role("button", name="Add them").tap()
    many = form.locator(".field", has=phone.get_by_label("How many"))
    expect(many.locator(".finding.is-error")).to_have_text("Error: This has to be known.")
    expect(many.locator(".hint")).to_have_text("1 to 10,000")
    expect(form.get_by_label("How many")).to_be_focused()
    crowd = form.locator(".field", has=phone.get_by_label("Plants on a square metre"))
    expect(crowd.locator(".finding.is-error")).to_contain_text("allowed is a number from 1 to 400")
    wrong = form.locator("[aria-invalid=true]").evaluate_all(
        "(all) => all.map((e) => e.labels[0].textContent)"
    )
    assert wrong == [
        "How many", "Sown on", "Roots in", "Volume of one pot or plug", "Plants on a square metre",
        "Where",
    ]  # fmt: skip
    expect(form.get_by_label("Plants on a square metre")).to_have_value("900")
    assert draft_text(phone) == SHED
    _fill_greens(form)
    form.get_by_role("button", name="Add them").tap()
    expect(form.locator(".finding")).to_have_count(0)
    assert draft_text(phone) == SHED + GREENS


@pytest.mark.parametrize("name", ["two words", "a.b", "", "9th", "12"])
def test_a_name_that_cannot_be_is_told_beside_it(shed: Garden, laptop: Page, name: str) -> None:
    """And nothing is added under another."""
    form = open_adding(open_rest(laptop, shed), "Add a reservoir")
    form.get_by_label("Name of this reservoir").fill(name)
    form.get_by_label("Full").fill("60")
    form.get_by_label("Pump draws air at").fill("8")
    form.get_by_role("button", name="Add it").click()
    field = form.locator(".field", has=laptop.get_by_label("Name of this reservoir"))
    expect(field.locator(".finding.is-error")).to_have_count(1)
    expect(form.get_by_label("Name of this reservoir")).to_be_focused()
    assert draft_text(laptop) == SHED


def test_under_lamps_what_lights_them_is_asked(shed: Garden, laptop: Page) -> None:
    """What means nothing where they are is not asked, and not written either."""
    form = open_adding(open_rest(laptop, shed), "Add plants")
    lamp = form.get_by_label("Lit by")
    expect(lamp).to_be_hidden()
    _fill_greens(form)
    form.get_by_label("How old are they?").select_option("age")
    expect(form.get_by_label("Sown on")).to_be_hidden()
    form.get_by_label("Age", exact=True).fill("21")
    form.get_by_label("Roots in").select_option("bare-roots")
    expect(form.get_by_label("Volume of one pot or plug")).to_be_hidden()
    form.get_by_label("Where").select_option("under-lamps")
    lamp.select_option("lamp")
    form.get_by_label("Light on them").fill("220")
    form.get_by_role("button", name="Add them").click()
    expect(form.locator(".finding")).to_have_count(0)
    assert draft(laptop)["document"]["stands"]["greens"] == {
        "watered_by": "tower", "plants": 36, "age_days": 21, "medium": "bare-roots",
        "plants_per_m2": 22.5, "place": "under-lamps", "lamp": "lamp", "ppfd_umol": 220,
        "drip_ml_per_min": 40,
    }  # fmt: skip


def test_plants_want_something_that_waters_them(shed: Garden, laptop: Page) -> None:
    """Without a pump or a valve the form says so and asks nothing."""
    rest = open_rest(laptop, shed)
    form = open_adding(rest, "Add plants")
    expect(form.get_by_role("button", name="Add them")).to_be_visible()
    laptop.evaluate("""async () => {
      const { draft } = await import("/static/plan/draft.js");
      await draft.edit([{ do: "set", at: "loads.tower.kind", value: "fan" },
                        { do: "remove", at: "loads.tower.without_clock" }], "a fan");
    }""")
    expect(form).to_contain_text("Add a pump or a valve first")
    expect(form.get_by_role("button", name="Add them")).to_be_hidden()


def test_a_reservoir_is_added_and_drawn_from(tmp_path: Path, phone: Page) -> None:
    """The pump that draws from nowhere is chosen, comments stay, and the plan is saved and run."""
    with grown(tmp_path, SHED) as garden:
        rest = open_rest(phone, garden)
        form = open_adding(rest, "Add a reservoir")
        expect(form.get_by_label("Who draws from it?")).to_have_value("tower")
        form.get_by_label("Full").fill("60")
        form.get_by_label("Pump draws air at").fill("70")
        form.get_by_role("button", name="Add it").tap()
        mark = form.locator(".field", has=phone.get_by_label("Pump draws air at"))
        expect(mark.locator(".finding.is-error")).to_contain_text("allowed is less than “Full”")
        assert draft_text(phone) == SHED
        form.get_by_label("Pump draws air at").fill("8")
        form.get_by_role("button", name="Add it").tap()
        expect(item(rest, "tank")).to_be_visible()
        clock = 'without_clock = "10m on, 10m off"\n'
        text = edited(SHED, (clock, clock + 'reservoir = "tank"\n')) + TANK
        assert draft_text(phone) == text
        save_button(phone).tap()
        wait_told(phone, "Revision 2 is in force.")
        assert plan_in_force(garden)["text"] == text


def test_who_names_a_reservoir_is_told_before_it_goes(barrel: Garden, phone: Page) -> None:
    """Kept, nothing is lost; removed, it is named nowhere; undo brings back both, with comments."""
    rest = open_rest(phone, barrel)
    removal = item(rest, "barrel").get_by_role("button", name="Remove the reservoir barrel")
    removal.tap()
    question = phone.get_by_role("dialog")
    expect(question).to_contain_text("Remove barrel?")
    expect(question.locator("li")).to_contain_text(["tower draws from it"])
    expect(question.get_by_role("button", name="Keep it")).to_be_focused()
    assert draft_text(phone) == BARREL
    question.get_by_role("button", name="Keep it").tap()
    expect(question).to_be_hidden()
    expect(item(rest, "barrel")).to_be_visible()
    assert draft_text(phone) == BARREL
    removal.tap()
    question.get_by_role("button", name="Remove it").tap()
    expect(item(rest, "barrel")).to_have_count(0)
    told = draft(phone)
    assert told["isFit"]
    assert "barrel" not in told["document"]["loads"]["tower"].values()
    assert "reservoirs" not in told["document"]
    phone.locator("#told").get_by_role("button", name="Undo").tap()
    expect(item(rest, "barrel")).to_be_visible()
    assert draft_text(phone) == BARREL


def test_plants_are_removed_with_their_lines_only(barrel: Garden, laptop: Page) -> None:
    """Nothing names them, so nothing is asked."""
    rest = open_rest(laptop, barrel)
    item(rest, "heads").get_by_role("button", name="Remove the plants heads").click()
    expect(item(rest, "heads")).to_have_count(0)
    start, end = BARREL.index("[stands.heads]"), BARREL.index("[reservoirs.barrel]")
    assert draft_text(laptop) == BARREL[:start] + BARREL[end:]
    laptop.locator("#told").get_by_role("button", name="Undo").click()
    expect(item(rest, "heads")).to_be_visible()
    assert draft_text(laptop) == BARREL


def test_values_that_are_right_only_together_are_set_one_after_the_other(
    barrel: Garden, phone: Page
) -> None:
    """The first waits, refused and still to be seen, for what it needs; then both are taken in one
    step. What cannot stand beside a value goes with it."""
    rest = open_rest(phone, barrel)
    heads = item(rest, "heads")
    heads.get_by_text("The plants", exact=True).tap()
    medium = heads.get_by_label("Roots in")
    medium.select_option("expanded-clay")
    expect(medium).to_have_attribute("aria-invalid", "true")
    expect(medium).to_have_value("expanded-clay")
    assert draft_text(phone) == BARREL
    volume = heads.get_by_label("Volume of one pot or plug")
    volume.fill("90")
    volume.press("Enter")
    expect(medium).to_have_attribute("aria-invalid", "false")
    potted = edited(
        BARREL,
        ('medium = "bare-roots"', 'medium = "expanded-clay"'),
        ("plants_per_m2 = 25\n", "plants_per_m2 = 25\nmedium_ml = 90\n"),
    )
    assert draft_text(phone) == potted
    sown = heads.get_by_label("Sown on")
    sown.fill("2026-06-01")
    sown.press("Enter")
    expect(heads.get_by_label("Age", exact=True)).to_have_value("")
    stand = draft(phone)["document"]["stands"]["heads"]
    assert (stand.get("age_days"), stand["sown"]) == (None, "2026-06-01")
    medium.select_option("bare-roots")
    expect(volume).to_have_value("")
    undo = phone.locator("#page-bar").get_by_role("button", name="Undo")
    for text in (None, potted, BARREL):
        undo.tap()
        if text is not None:
            expect(medium).to_have_value("expanded-clay" if text == potted else "bare-roots")
            assert draft_text(phone) == text


def test_plants_move_under_lamps_by_their_fields(barrel: Garden, laptop: Page) -> None:
    """Where, lit by and light are taken together; back outdoors, the last two go by themselves."""
    rest = open_rest(laptop, barrel)
    heads = item(rest, "heads")
    heads.get_by_text("Light and air", exact=True).click()
    place = heads.get_by_label("Where", exact=True)
    place.select_option("under-lamps")
    expect(place).to_have_attribute("aria-invalid", "true")
    heads.get_by_label("Lit by").select_option("lamp")
    light = heads.get_by_label("Light on them")
    expect(light).to_be_visible()
    light.fill("220")
    light.press("Enter")
    expect(place).to_have_attribute("aria-invalid", "false")
    stand = draft(laptop)["document"]["stands"]["heads"]
    assert (stand["place"], stand["lamp"], stand["ppfd_umol"]) == ("under-lamps", "lamp", 220)
    place.select_option("outdoors")
    expect(light).to_be_hidden()
    assert draft_text(laptop) == BARREL


TWO = (
    SHED
    + """
[loads.side]
kind = "pump"
line = 27
active = "low"
spans = [{ from = "06:00", cycle = "15m on, 15m off" }]
"""
)


def test_where_several_would_do_nobody_is_chosen(tmp_path: Path, laptop: Page) -> None:
    """Which pump waters the plants has to be known; all of them can draw from one reservoir."""
    with grown(tmp_path, TWO) as garden:
        rest = open_rest(laptop, garden)
        form = open_adding(rest, "Add plants")
        waters = form.get_by_label("Watered by")
        expect(waters).to_have_value("")
        _fill_greens(form)
        form.get_by_role("button", name="Add them").click()
        expect(waters).to_have_attribute("aria-invalid", "true")
        expect(waters).to_be_focused()
        assert draft_text(laptop) == TWO
        form = open_adding(rest, "Add a reservoir")
        expect(form.get_by_label("Who draws from it?")).to_have_value("")
        form.get_by_label("Who draws from it?").select_option(label="all pumps and valves")
        form.get_by_label("Full").fill("60")
        form.get_by_label("Pump draws air at").fill("8")
        form.get_by_role("button", name="Add it").click()
        expect(item(rest, "tank")).to_be_visible()
        loads = draft(laptop)["document"]["loads"]
        assert [load.get("reservoir") for load in loads.values()] == ["tank", None, "tank"]


# A plan in which each key that names something does so, each name once in each list.
_NAMING = {
    "loads": {
        "x": {"spans": []},
        "pump": {
            "reservoir": "x", "level": "x", "flow": "x", "spans": [{"from": "x on + 1h"}],
            "variants": [{"name": "hot", "sensor": "x", "spans": [{"from": "06:00"}]}],
        },
    },
    "stands": {"heads": {"watered_by": "x", "lamp": "x", "air": "x", "humidity": "x"}},
    "guards": {"leak": "x", "stop_switch": "x"},
}  # fmt: skip
_NAMED_BY = """async ([plan, list]) => {
  const { namedBy } = await import("/static/editor/named.js");
  return namedBy(plan, list, "x").map(({ at, way }) => [at, way]);
}"""


@pytest.mark.parametrize(
    ("named", "found"),
    [
        (
            "loads",
            [
                ["loads.pump.spans.0.from", "needs"],
                ["stands.heads.watered_by", "needs"],
                ["stands.heads.lamp", "needs"],
            ],
        ),
        (
            "sensors",
            [
                ["loads.pump.level", "needs"],
                ["loads.pump.flow", "needs"],
                ["loads.pump.variants.0.sensor", "waits"],
                ["guards.leak", "needs"],
                ["guards.stop_switch", "needs"],
                ["stands.heads.air", "without"],
                ["stands.heads.humidity", "without"],
            ],
        ),
        ("reservoirs", [["loads.pump.reservoir", "without"]]),
        ("stands", []),
    ],
)
def test_all_that_names_something_is_found(
    shed: Garden, laptop: Page, named: str, found: list[list[str]]
) -> None:
    """Every key whose value is a name, and anchors; what protects is never taken out by the way."""
    laptop.goto(f"{shed.page.url}/plan")
    assert laptop.evaluate(_NAMED_BY, [_NAMING, named]) == found


def test_the_form_knows_every_key_that_names_something(shed: Garden, laptop: Page) -> None:
    """Those of the plan's own form: one that comes later must be told of before removals, too."""
    keys_all = {
        key for table in keys().values() for key, told in table.items() if told.kind == "name"
    }
    laptop.goto(f"{shed.page.url}/plan")
    known = laptop.evaluate(
        """async (keys) => {
          const { isName } = await import("/static/editor/named.js");
          return keys.filter(isName);
        }""",
        sorted(keys_all),
    )
    assert known == sorted(keys_all)
