"""What a draft would do, drawn beside it: figures, findings, days; at each edit, in place."""

from __future__ import annotations

import gzip
import json
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from controller.core.phrases import amount_words, length_words
from tests.browser import looks
from tests.browser.conftest import grown
from tests.browser.plan_view import LIMITED, NIGHT, edit, open_plan
from tests.browser.views import wait_whole

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Locator, Page, Response

    from tests.browser.conftest import Garden

THIRSTY = 'cycle = "10m on, 50m off"'
_FAN = """
[loads.fan]
kind = "fan"
line = 22
active = "low"
watts = 5
mains = false
spans = [{ from = "00:00", cycle = "5m on, 25m off" }]

[energy]
price_per_kwh = 2.5
currency = "EUR"
"""
PLAN = LIMITED + _FAN
WHOLE_BYTES_MAX = 155_000  # a choice of our own: some one and a half seconds at 100 kB/s


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """A pump with a limit and a fan; nothing is ever saved."""
    with grown(tmp_path_factory.mktemp("shed"), PLAN) as garden:
        yield garden


def _night(window: Page, cycle: str) -> None:
    answer = edit(window, {"do": "set", "at": "loads.tower.spans.1.cycle", "value": cycle})
    assert answer["isDone"] is True


def _shown(window: Page, load: str, figure: str, column: int) -> Locator:
    row = window.locator(f'#preview [data-load="{load}"] [data-figure="{figure}"]')
    return row.locator("td").nth(column)


def _account(folder: Path, text: str, date: str) -> dict[str, Any]:
    """The pump's day, as the command line tells it."""
    plan = folder / "asked.toml"
    plan.write_text(text, encoding="utf-8")
    words = ["dry-run", str(plan), "--from", date, "--days", "1", "--json"]
    done = subprocess.run(  # noqa: S603 - our own program
        [sys.executable, "-m", "controller", *words], capture_output=True, text=True, check=False
    )
    told: dict[str, Any] = json.loads(done.stdout)["loads"]["tower"]
    return told


def _texts(told: dict[str, Any]) -> dict[str, str]:
    return {
        "gap": length_words(round(told["longest_dry_gap_s"] * 1000)),
        "starts": str(told["starts"]),
        "on": length_words(round(told["on_s"] * 1000)),
        "longest": length_words(round(told["longest_on_s"] * 1000)),
        "energy": f"{amount_words(told['energy_kwh'])} kWh",
    }


def test_figures_before_and_after_are_the_command_line_s(
    shed: Garden, laptop: Page, tmp_path: Path
) -> None:
    """Of the next day and the hottest; with sign and word where they differ."""
    open_plan(laptop, shed)
    _night(laptop, "10m on, 50m off")
    gap = _shown(laptop, "tower", "gap", 0)
    expect(gap.locator(".account-change")).to_have_text("+20\u00a0min longer")
    expect(_shown(laptop, "tower", "cost", 0).locator(".account-change")).to_contain_text("less")
    days = laptop.locator("#preview .paper-day")
    dates = [day.get_attribute("data-date") or "" for day in days.all()[:2]]
    for column, date in enumerate(dates):
        before = _texts(_account(tmp_path, PLAN, date))
        after = _texts(_account(tmp_path, PLAN.replace(NIGHT, THIRSTY), date))
        assert before["gap"] != after["gap"]
        for figure, text in after.items():
            cell = _shown(laptop, "tower", figure, column)
            told = cell.locator(".account-after").inner_text().replace("\u00a0", " ")
            assert (date, figure, told) == (date, figure, text)
            if text != before[figure]:
                was = cell.locator(".account-before").inner_text().replace("\u00a0", " ")
                assert (date, figure, was) == (date, figure, before[figure])
    expect(laptop.locator("#preview .preview-changes")).to_contain_text("The same as before: fan.")


def test_two_currencies_are_not_subtracted(shed: Garden, laptop: Page) -> None:
    """The plan in force is not told at the draft's price; words say why there is no cost."""
    open_plan(laptop, shed)
    edit(laptop, {"do": "set", "at": "energy.currency", "value": "CHF"})
    _night(laptop, "10m on, 50m off")
    expect(laptop.locator("#preview")).to_contain_text("prices are in different currencies.")
    expect(_shown(laptop, "tower", "energy", 0)).to_be_visible()
    expect(_shown(laptop, "tower", "cost", 0)).to_be_hidden()


@pytest.mark.parametrize(
    ("locale", "warmest"),
    [("en-GB", "up to 31 °C assumed"), ("en-US", "up to 87.8 °F (31 °C) assumed")],
)
def test_the_hottest_day_is_as_warm_as_the_plan_says(
    tmp_path: Path, chromium: Browser, locale: str, warmest: str
) -> None:
    """In degrees that the reader knows."""
    typical = "elevation_m = 430\ntypical_day = { coolest_c = 18, warmest_c = 31 }"
    with grown(tmp_path, PLAN.replace("elevation_m = 430", typical)) as garden:
        context = chromium.new_context(locale=locale)
        window = context.new_page()
        open_plan(window, garden)
        title = window.locator("#preview .paper-day").nth(1).locator(".day-title")
        expect(title).to_contain_text("The hottest day of a typical year:")
        expect(title).to_contain_text(warmest)
        context.close()


def test_a_plan_that_is_not_changed_changes_nothing(shed: Garden, laptop: Page) -> None:
    """It says so; only the next day is unfolded; a change unfolds the days that it changes."""
    open_plan(laptop, shed)
    lead, days = laptop.locator("#preview .preview-lead"), laptop.locator("#preview .paper-day")
    expect(lead).to_have_text("This is the plan in force: nothing changes.")
    compared = laptop.get_by_role("heading", name="What changes")
    expect(compared).to_be_hidden()
    expect(days).to_have_count(6)
    expect(laptop.locator("#preview .paper-day[open]")).to_have_count(1)
    expect(laptop.locator("#preview .paper-day").first).to_have_attribute("open", "")
    expect(laptop.locator("#preview .account-load")).to_have_count(0)
    _night(laptop, "14m on, 24m off")
    expect(laptop.locator("#preview .paper-day[open]")).to_have_count(6)
    expect(lead).to_contain_text("tower: longest dry gap 6 min shorter")
    expect(days.first.locator(".day-note")).to_have_text("changes: tower")
    expect(compared).to_be_visible()
    laptop.get_by_role("button", name="Discard").click()
    expect(lead).to_have_text("This is the plan in force: nothing changes.")
    expect(laptop.locator("#preview .paper-day[open]")).to_have_count(1)


def test_a_broken_limit_comes_first(shed: Garden, laptop: Page) -> None:
    """In the summary by its number, then in full, with what to do and on how many days."""
    open_plan(laptop, shed)
    _night(laptop, "10m on, 50m off")
    lead = laptop.locator("#preview .preview-lead")
    expect(lead).to_contain_text("1 limit broken.")
    first = laptop.locator("#preview .preview-finding").first
    expect(first).to_contain_text("Limit broken tower: limits, longest dry gap")
    expect(first).to_contain_text("the limit is 40 min")
    expect(first).to_contain_text("To mend it: shorten the off steps")
    expect(first).to_contain_text("On 6 of the days below")
    expect(laptop.locator("#preview .paper-day").first).to_contain_text("1 limit broken")


def test_it_is_redrawn_in_place(shed: Garden, laptop: Page) -> None:
    """No element goes and comes: the very same strip, day and row show what is new."""
    open_plan(laptop, shed)
    _night(laptop, "14m on, 24m off")
    expect(_shown(laptop, "tower", "gap", 0)).to_contain_text("24\u00a0min")
    parts = ".paper-day, .day-strips [data-load], .strip path, .account-load, .account-after"
    count = laptop.evaluate(
        """(parts) => {
          const found = [...document.querySelectorAll("#preview")].flatMap(
            (home) => [...home.querySelectorAll(parts)]);
          for (const part of found) part.wasThere = true;
          return found.length;
        }""",
        parts,
    )
    assert count > 30
    before = laptop.locator('#preview [data-load="tower"] .was-on').first.get_attribute("d")
    _night(laptop, "14m on, 26m off")
    expect(_shown(laptop, "tower", "gap", 0)).to_contain_text("26\u00a0min")
    bars = laptop.locator('#preview [data-load="tower"] .was-on').first
    assert bars.get_attribute("d") != before
    strange = laptop.evaluate(
        """(parts) => [...document.querySelector("#preview").querySelectorAll(parts)]
             .filter((part) => !part.wasThere).length""",
        parts,
    )
    assert strange == 0


def test_what_is_folded_by_hand_stays_folded(shed: Garden, laptop: Page) -> None:
    """An edit opens only what nobody has closed."""
    open_plan(laptop, shed)
    _night(laptop, "14m on, 24m off")
    day = laptop.locator("#preview .paper-day").nth(1)
    expect(day).to_have_attribute("open", "")
    day.locator("summary").click()
    _night(laptop, "14m on, 26m off")
    expect(_shown(laptop, "tower", "gap", 0)).to_contain_text("26\u00a0min")
    assert day.get_attribute("open") is None


def test_days_of_other_lengths_are_drawn_whole(shed: Garden, laptop: Page) -> None:
    """When the clocks go forward, a day has 23 hours and no 02:30, and three o'clock is too near to
    midnight for its words; when back, 25."""
    open_plan(laptop, shed)
    for words, hours in (("The clocks go forward", 23), ("The clocks go back", 25)):
        day = laptop.locator("#preview .paper-day", has_text=words)
        day.locator("summary").click()
        expect(day).to_contain_text(f"This day has {hours} hours.")
        box = day.locator('[data-load="tower"] .strip').first.get_attribute("viewBox")
        assert box == f"0 0 {hours * 3600} 10"
        ticks = day.locator(".axis .tick").all_inner_texts()
        assert [tick.removeprefix("0") for tick in ticks] == [
            f"{hour}:00" for hour in range(0, 24, 3) if (hours, hour) != (23, 3)
        ]


def test_on_a_phone_one_line_stays_in_sight(shed: Garden, phone: Page) -> None:
    """It says what changes while the loads below it are edited, and opens the rest."""
    open_plan(phone, shed)
    line, body = phone.locator(".preview-toggle"), phone.locator("#preview-body")
    expect(body).to_be_hidden()
    expect(line).to_have_text("What it does, day by day")
    phone.evaluate("scrollTo(0, 700)")
    expect(line).to_be_in_viewport()
    _night(phone, "14m on, 24m off")
    expect(line).to_contain_text("longest dry gap 6 min shorter")
    line.tap()
    expect(line).to_have_attribute("aria-expanded", "true")
    expect(body).to_be_visible()
    expect(line).to_be_in_viewport()
    line.tap()
    expect(body).to_be_hidden()


def test_an_error_leaves_what_was_drawn_and_says_so(shed: Garden, laptop: Page) -> None:
    """The days before it stay; they are said to be of the text before it."""
    open_plan(laptop, shed)
    expect(laptop.locator("#preview .paper-day")).to_have_count(6)
    laptop.evaluate(
        """async () => {
          const { draft } = await import("/static/plan/draft.js");
          draft.setText(draft.text.replace("line = 17", "line = 99"));
        }"""
    )
    expect(laptop.locator(".preview-lead")).to_contain_text("1 error in the plan.")
    expect(laptop.locator(".preview-state")).to_have_text(
        "The text has errors: this is of the text before them."
    )
    expect(laptop.locator("#preview .preview-finding").first).to_contain_text("Error tower: line")
    expect(laptop.locator("#preview .paper-day")).to_have_count(6)


def test_without_its_program_it_is_of_an_older_text(tmp_path: Path, laptop: Page) -> None:
    """Which it says; what is drawn stays."""
    with grown(tmp_path, PLAN) as garden:
        open_plan(laptop, garden)
        expect(laptop.locator("#preview .paper-day")).to_have_count(6)
        garden.page.end()
        laptop.evaluate(
            """async () => {
              const { draft } = await import("/static/plan/draft.js");
              draft.setText(draft.text.replace("30m off", "25m off"));
            }"""
        )
        expect(laptop.locator(".preview-state")).to_have_text(
            "The page's own program does not answer: this is of an older text."
        )
        expect(laptop.locator("#preview .paper-day")).to_have_count(6)


@pytest.mark.parametrize("scheme", looks.SCHEMES)
def test_it_is_legible_at_every_width(
    shed: Garden, chromium: Browser, scheme: looks.Scheme
) -> None:
    """With a limit broken and all days unfolded."""
    context = chromium.new_context(color_scheme=scheme, locale="en-GB")
    window = context.new_page()
    open_plan(window, shed)
    _night(window, "10m on, 50m off")
    expect(window.locator(".preview-toggle")).to_contain_text("1 limit broken.")
    for width in looks.WIDTHS:
        window.set_viewport_size({"width": width, "height": 900})
        if window.locator(".preview-toggle").is_visible():
            window.evaluate(
                'document.querySelector(".preview:not(.is-open) .preview-toggle")?.click()'
            )
        expect(window.locator("#preview-body")).to_be_visible()
        assert looks.overflow(window) == []
        assert looks.contrast(window) == []
        assert looks.targets(window) == []
        cut = window.evaluate(
            """() => [...document.querySelectorAll("#preview :is(p, td, th, summary, h3, h4)")]
                 .filter((part) => part.checkVisibility())
                 .filter((part) => part.scrollWidth > part.clientWidth + 1)
                 .map((part) => part.textContent)"""
        )
        assert cut == []
    context.close()


def test_the_view_is_light_on_the_way(shed: Garden, chromium: Browser) -> None:
    """All that ever opens in it, as it goes over the air; nothing from another host. What comes
    before the first paint is a part of that, and judged in test_plan_late.py."""
    context = chromium.new_context()
    window = context.new_page()
    asked: list[Response] = []
    window.on("response", lambda answer: asked.append(answer))
    open_plan(window, shed)
    wait_whole(window)
    assert [one.url for one in asked if not one.url.startswith(shed.page.url)] == []
    files = [one for one in asked if "/api/v1/" not in one.url]
    assert len(files) > 20
    assert {one.headers.get("content-encoding") for one in files} == {"gzip"}
    assert sum(len(gzip.compress(one.body(), mtime=0)) for one in files) < WHOLE_BYTES_MAX
    context.close()
