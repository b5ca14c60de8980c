"""What a plan does to roots, pumps and reservoirs on the page: beside a draft, after a dry run, and
in the form, where a piece of the day can be put on demand."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from tests.browser import looks
from tests.browser.conftest import grown
from tests.browser.dry_run_view import choose_file, open_dry_run, run, said, saved
from tests.browser.editor_form import card, chips, open_drawer, open_form
from tests.browser.plan_view import draft, edit, open_plan

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Locator, Page

    from tests.browser.conftest import Garden

# A garden of our own invention, on a warm terrace.
PLAN = """# Heads on a terrace.
format = 1

[site]
latitude = 47.4
longitude = 8.5
timezone = "Europe/Zurich"
elevation_m = 430
typical_day = { coolest_c = 18, warmest_c = 33 }

[loads.tower]
kind = "pump"
line = 17
active = "low"
watts = 22
mains = false
reservoir = "tank"

[loads.tower.lift] # from the label of the pump
height_m = 1.5
shut_off_head_m = 2.2
free_flow_l_per_h = 1200
hose_bore_mm = 16
hose_length_m = 3

# by day
[[loads.tower.spans]]
from = "06:00"
cycle = "15m on, 15m off" # as ever

# by night
[[loads.tower.spans]]
from = "21:00"
cycle = "15m on, 45m off"

[stands.heads] # nearly grown
watered_by = "tower"
plants = 40
age_days = 35
medium = "expanded-clay"
medium_ml = 90
place = "outdoors"
plants_per_m2 = 25

[reservoirs.tank]
full_l = 60
inlet_at_l = 8
top_up_at_l = 20
"""
DRY = "5m on, 40m off"


@pytest.fixture(scope="module")
def terrace(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """Heads, their pump with its lift, their reservoir; nothing is ever saved."""
    with grown(tmp_path_factory.mktemp("terrace"), PLAN) as garden:
        yield garden


def _rest_longer(window: Page) -> None:
    answer = edit(window, {"do": "set", "at": "loads.tower.spans.0.cycle", "value": DRY})
    assert answer["isDone"] is True


def _cell(window: Page, kind: str, name: str, figure: str, column: int) -> Locator:
    """A figure's cell in the blocks of water."""
    row = f'[data-water="{kind}"] [data-load="{name}"] [data-figure="{figure}"]'
    return window.locator(row).locator("td").nth(column)


def _said(folder: Path, text: str, date: str) -> Any:
    """What the command line tells of a day."""
    plan = folder / "asked.toml"
    plan.write_text(text, encoding="utf-8")
    words = ["dry-run", str(plan), "--from", date, "--days", "1", "--json"]
    done = subprocess.run(  # noqa: S603 - our own program
        [sys.executable, "-m", "controller", *words], capture_output=True, text=True, check=False
    )
    return json.loads(done.stdout)


def _percent(share: float) -> str:
    return f"{share * 100:.0f}\u00a0%"


def test_the_driest_moment_before_and_after_is_the_command_line_s(
    terrace: Garden, laptop: Page, tmp_path: Path
) -> None:
    """Of the next day and the hottest, with its range; the summary tells it in one line."""
    open_plan(laptop, terrace)
    _rest_longer(laptop)
    edited = PLAN.replace("15m on, 15m off", DRY)
    dates = laptop.locator("#preview .paper-day")
    expect(_cell(laptop, "stands", "heads", "driest", 0).locator(".account-change")).to_be_visible()
    for column in (0, 1):
        date = dates.nth(column).get_attribute("data-date") or ""
        before, after = (_said(tmp_path, text, date)["stands"]["heads"] for text in (PLAN, edited))
        cell = _cell(laptop, "stands", "heads", "driest", column)
        expect(cell.locator(".account-before")).to_have_text(
            _percent(before["driest_share"]["likely"])
        )
        expect(cell.locator(".account-after")).to_have_text(
            _percent(after["driest_share"]["likely"])
        )
        low, high = (f"{after['driest_share'][end] * 100:.0f}" for end in ("low", "high"))
        expect(cell.locator(".account-beside")).to_contain_text(f"{low} to {high}")
    expect(laptop.locator("#preview .preview-lead")).to_contain_text(
        "Roots at their driest on the hottest day: heads"
    )


def test_a_phone_s_line_has_room_for_the_roots(terrace: Garden, phone: Page) -> None:
    """What a change does to them stands whole in the line that stays in sight."""
    open_plan(phone, terrace)
    _rest_longer(phone)
    line = phone.locator("#preview .preview-line")
    expect(line).to_contain_text("Roots at their driest on the hottest day: heads")
    below = line.evaluate("""(line) => {
      const [text] = line.childNodes, range = document.createRange();
      range.setStart(text, 0);
      range.setEnd(text, text.data.indexOf("left.") + "left.".length);
      return range.getBoundingClientRect().bottom - line.getBoundingClientRect().bottom;
    }""")
    assert below <= 1, line.inner_text()


def test_pump_and_reservoir_are_told(terrace: Garden, laptop: Page) -> None:
    """That the pump lifts so high, what arrives, and how long a full reservoir lasts."""
    open_plan(laptop, terrace)
    lift = laptop.locator('[data-water="lifts"]')
    expect(lift.locator("li")).to_have_text("tower: This pump lifts 1.50 m.")
    expect(_cell(laptop, "lifts", "tower", "flow", 0)).to_contain_text("L/h")
    expect(_cell(laptop, "reservoirs", "tank", "topUpAfter", 1)).to_contain_text("days")
    row = laptop.locator('[data-water="reservoirs"] [data-figure="topUpAfter"] th')
    expect(row).to_have_text("A full one falls to 20 L after")


def test_the_roots_are_drawn_through_the_day(terrace: Garden, laptop: Page) -> None:
    """A band, a line, the reserve, the driest moment; told in words as well."""
    open_plan(laptop, terrace)
    _rest_longer(laptop)
    course = laptop.locator('#preview .paper-day >> [data-stand="heads"]').first
    expect(course.locator(".course-before")).to_be_visible()
    expect(course.locator(".strip-title")).to_contain_text(
        "the reserve is 30 %; with the plan in force"
    )
    drawn = course.locator(".course-likely").get_attribute("d") or ""
    assert drawn.count("L") > 60
    mark = course.locator(".course-driest").evaluate("(e) => [e.style.left, e.style.bottom]")
    assert all(text.endswith("%") for text in mark)


def test_a_stand_that_changes_is_told_though_no_load_does(terrace: Garden, laptop: Page) -> None:
    """Older plants on the same cycles have less left."""
    open_plan(laptop, terrace)
    answer = edit(laptop, {"do": "set", "at": "stands.heads.medium_ml", "value": 30})
    assert answer["isDone"] is True
    lead = laptop.locator("#preview .preview-lead")
    expect(lead).to_contain_text("Roots at their driest on the hottest day: heads")
    expect(laptop.locator("#preview .day-note").first).to_contain_text(
        "roots are left more or less"
    )


def _piece(window: Page) -> Locator:
    """The first piece of the day, opened."""
    tower = card(window, "tower")
    chips(tower).first.click()
    panel = tower.locator(".piece")
    expect(panel).to_be_visible()
    return panel


def test_a_piece_is_put_on_demand_and_taken_back(terrace: Garden, laptop: Page) -> None:
    """Its cycle becomes what is done without readings; comments stay where they were."""
    open_form(laptop, terrace)
    panel = _piece(laptop)
    panel.get_by_role("button", name="On demand").click()
    expect(panel.get_by_role("textbox", name="Longest rest")).to_have_value("45 min")
    text = draft(laptop)["text"]
    assert 'cycle = "demand" # as ever' in text
    assert 'fixed = "15m on, 15m off"' in text
    panel.get_by_role("button", name="Longest rest: less").click()
    expect(panel.get_by_role("textbox", name="Longest rest")).to_have_value("40 min")
    panel.get_by_role("textbox", name="Shortest watering").fill("6")
    panel.get_by_role("textbox", name="Shortest watering").press("Enter")
    expect(chips(card(laptop, "tower")).first).to_contain_text("on demand")
    span = draft(laptop)["document"]["loads"]["tower"]["spans"][0]
    assert span == {
        "from": "06:00", "cycle": "demand", "fixed": "15m on, 15m off",
        "longest_rest": "40m", "shortest_watering": "6m",
    }  # fmt: skip
    panel.get_by_role("button", name="On and off").click()
    expect(panel.locator(".demand")).to_be_hidden()
    told = draft(laptop)
    assert told["text"] == PLAN
    assert told["isFit"]


def test_a_bound_that_does_not_fit_is_refused_beside_it(terrace: Garden, laptop: Page) -> None:
    """In the words of the plan's reader; the plan keeps what it had."""
    open_form(laptop, terrace)
    panel = _piece(laptop)
    panel.get_by_role("button", name="On demand").click()
    expect(panel.get_by_role("textbox", name="Longest rest")).to_have_value("45 min")
    shortest = panel.get_by_role("textbox", name="Shortest rest")
    shortest.fill("60")
    shortest.press("Enter")
    expect(shortest).to_have_attribute("aria-invalid", "true")
    expect(panel.locator(".demand")).to_contain_text("“Shortest rest” is 1h")
    assert "shortest_rest" not in draft(laptop)["document"]["loads"]["tower"]["spans"][0]


def test_demand_is_offered_only_where_plants_are_known(limited: Garden, laptop: Page) -> None:
    """Nobody knows what plants drink of which the plan tells nothing."""
    open_form(laptop, limited)
    expect(_piece(laptop).get_by_role("button", name="On demand")).to_be_hidden()


def test_plants_reservoir_and_lift_are_edited(terrace: Garden, laptop: Page) -> None:
    """By fields; a comment beside a table stays."""
    open_form(laptop, terrace)
    rest = open_drawer(laptop.locator("#editor"), "Plants, reservoirs, sensors, place and guards")
    rest.get_by_text("The plants", exact=True).click()
    age = rest.locator(".item").get_by_label("Age", exact=True)
    expect(age).to_have_value("35")
    age.fill("28")
    age.press("Enter")
    settings = open_drawer(card(laptop, "tower"), "Settings")
    settings.locator("summary:visible", has_text="The way up").click()
    height = settings.get_by_label("Height", exact=True)
    height.fill("1.2")
    height.press("Enter")
    expect(laptop.locator('[data-water="lifts"] li')).to_contain_text("lifts 1.20 m")
    text = draft(laptop)["text"]
    assert "[stands.heads] # nearly grown" in text
    assert "age_days = 28" in text


def test_a_dry_run_tells_of_water(terrace: Garden, laptop: Page) -> None:
    """In blocks, and in the files to take home."""
    open_dry_run(laptop, terrace)
    run(laptop)
    expect(_cell(laptop, "stands", "heads", "driest", 0)).to_contain_text("%")
    expect(_cell(laptop, "reservoirs", "tank", "end", 0)).to_contain_text("L")
    expect(laptop.locator('[data-water="lifts"] li')).to_have_text("tower: This pump lifts 1.50 m.")
    with laptop.expect_download() as figures:
        laptop.get_by_role("button", name="Figures (JSON)").click()
    told = json.loads(figures.value.path().read_text(encoding="utf-8"))
    assert set(told["stands"]) == {"heads"}
    with laptop.expect_download() as days:
        laptop.get_by_role("button", name="Water by day (CSV)").click()
    head, *rows = days.value.path().read_text(encoding="utf-8").splitlines()
    assert head.split(",")[:2] == ["date", "et0_mm"]
    assert head.split(",")[4:6] == ["stand", "drunk_ml_low"]
    assert [row.split(",")[0] for row in rows] == [day["date"] for day in told["days"]]
    likely = told["days"][0]["stands"]["heads"]["driest_share"]["likely"]
    assert float(rows[0].split(",")[head.split(",").index("driest_share_likely")]) == likely


# Invented, as a min/max thermometer would tell it.
DAYS = """\
date,coolest_c,warmest_c
2026-07-11,19.0,33.0
2026-07-12,20.0,36.0
2026-07-13,21.0,37.0
2026-07-14,19.0,31.0
"""


def test_weather_may_come_as_days(terrace: Garden, phone: Page, tmp_path: Path) -> None:
    """Each day's coolest and warmest are enough; the day's own ET0 goes home with the others."""
    weather = tmp_path / "thermometer.csv"
    weather.write_text(DAYS, encoding="utf-8")
    plan = terrace.folder / "plan.toml"
    by_command = said(tmp_path, plan, "2026-07-12", 2, "--weather", str(weather))
    open_dry_run(phone, terrace, "?from=2026-07-12&days=2&weather=file")
    choose_file(phone, "Choose a weather file", weather)
    run(phone)
    account = json.loads(saved(phone, "Figures (JSON)"))
    assert account["days"] == by_command.account["days"]
    rows = csv.DictReader(saved(phone, "Water by day (CSV)").splitlines())
    keys = ("date", "et0_mm", "et0_daily_mm", "et0_hargreaves_mm")
    assert [[row[key] for key in keys] for row in rows] == [
        [str(day[key]) for key in keys] for day in account["days"]
    ]


def test_two_plans_are_compared_by_their_roots_too(
    terrace: Garden, laptop: Page, tmp_path: Path
) -> None:
    """What differs in a load stands first, then what comes of it, in the command line's words."""
    drier = tmp_path / "drier.toml"
    drier.write_text(PLAN.replace("15m on, 15m off", DRY), encoding="utf-8")
    open_dry_run(laptop, terrace, "?from=2026-07-12&days=3")
    laptop.get_by_label("Beside it").select_option("file")
    choose_file(laptop, "Choose a plan file", drier, number=1)
    run(laptop)
    told = json.loads(saved(laptop, "Figures (JSON)"))["compared"]
    titles = laptop.locator(".differences dt")
    expect(titles).to_have_text(
        ["tower", "heads (stand)", "tower (water to the top)", "tank (reservoir)"]
    )
    words = told["water_differences"]["stands"]["heads"]["words"]
    assert " left when driest instead of " in words
    expect(laptop.locator(".differences dd").nth(1)).to_have_text(f"{words}.")
    expect(laptop.locator(".differences dd").nth(2)).to_have_text("The same in both.")


_LOOKS = [(width, scheme) for width in looks.WIDTHS for scheme in looks.SCHEMES]


@pytest.mark.parametrize(("width", "scheme"), _LOOKS)
def test_it_can_be_read_and_reached(
    terrace: Garden, chromium: Browser, width: int, scheme: looks.Scheme
) -> None:
    """Nothing hangs over, stands out too little or is too small to hit; axe finds nothing."""
    context = chromium.new_context(
        viewport={"width": width, "height": 900}, color_scheme=scheme, locale="en-GB"
    )
    window = context.new_page()
    open_plan(window, terrace)
    _rest_longer(window)
    if window.locator("#preview .preview-toggle").is_visible():
        window.locator("#preview .preview-toggle").click()
    expect(window.locator("#preview .course-before").first).to_be_visible()
    assert looks.all_of(window) == []
    assert looks.axe(window) == []
    panel = _piece(window)
    panel.get_by_role("button", name="On demand").click()
    expect(panel.locator(".demand")).to_be_visible()
    assert looks.all_of(window) == []
    assert looks.axe(window) == []
    context.close()
