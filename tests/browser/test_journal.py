"""The view Journal in a real browser, before a real controller with nine days of journal."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from controller.core.units import rfc3339
from controller.report.journal_week import week_bounds, week_told
from controller.shell.clock.today import now
from tests.browser.journal_garden import ZURICH, Night, garden_with_a_past

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Locator, Page

    from tests.browser.conftest import Garden


@pytest.fixture(scope="module")
def night(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Night]:
    """Started once: its past does not change."""
    with garden_with_a_past(tmp_path_factory.mktemp("past")) as night:
        yield night


def _url(night: Night, query: str = "") -> str:
    return f"{night.garden.page.url}/journal{query}"


def _numbers(window: Page) -> list[int]:
    numbers = window.locator("#list .entry").evaluate_all("all => all.map((e) => e.dataset.number)")
    return [int(number) for number in numbers]


def _top_px(entry: Locator) -> float:
    box = entry.bounding_box()
    assert box is not None
    return box["y"]


def _log(night: Night, **params: Any) -> list[dict[str, Any]]:
    entries: list[dict[str, Any]] = night.garden.daemon.call("log", {"last": 1000, **params})[
        "entries"
    ]
    return entries


def test_why_it_did_not_water_at_three_is_found_out(night: Night, phone: Page) -> None:
    """The load and three at night stand there already: one date, one tap."""
    phone.goto(_url(night))
    expect(phone.locator("#why-load")).to_have_value("tower")
    expect(phone.locator("#why-time")).to_have_value("03:00")
    phone.locator("#why-date").fill(night.date)
    phone.get_by_role("button", name="Find out").tap()
    answer = phone.locator("#why-answer")
    expect(answer.locator(".why-sentence")).to_have_text("tower was off, for 20 min by then.")
    expect(answer).to_contain_text("Everything is stopped until a person lets it go on.")
    expect(answer).to_contain_text("because: stop switch")
    stood = answer.locator("h3", has_text="What stood at that time").locator("+ ol")
    expect(stood).to_contain_text("Everything stopped")
    expect(stood).to_contain_text("by Wren")
    assert f"why=tower&at={night.date}T03%3A00" in phone.url
    phone.reload()
    expect(phone.locator(".why-sentence")).to_have_text("tower was off, for 20 min by then.")


def test_a_time_before_the_journal_is_told_as_such(night: Night, phone: Page) -> None:
    """And nothing that was typed is lost."""
    phone.goto(_url(night, "?why=tower&at=2001-02-03T04:05"))
    expect(phone.locator(".why-sentence")).to_contain_text("does not reach back so far")
    expect(phone.locator("#why-date")).to_have_value("2001-02-03")
    expect(phone.locator("#why-time")).to_have_value("04:05")


def test_the_weeks_numbers_are_those_of_the_command_line(night: Night, laptop: Page) -> None:
    """Seven local days, the newest first; what does not change is compared."""
    bounds = week_bounds(ZURICH, now())
    asked = {"since": rfc3339(bounds.since), "until": rfc3339(bounds.until)}
    week = week_told(night.garden.daemon.call("history", asked), bounds.days)
    laptop.goto(_url(night))
    rows = laptop.locator("#week > .day")
    expect(rows).to_have_count(7)
    expected = [str(day["loads"][0]["starts"]) for day in reversed(week["days"])]
    assert rows.locator(".day-count strong").all_inner_texts()[1:] == expected[1:]
    dates = rows.evaluate_all("all => all.map((e) => e.dataset.date)")
    assert dates == [day["date"] for day in reversed(week["days"])]
    row = laptop.locator(f'[data-date="{night.date}"]')
    expect(row.locator(".is-long")).to_contain_text("longer than usual")
    expect(row.locator(".over.is-long-gap")).to_have_count(1)


def test_a_day_is_seen_closer_with_its_entries(night: Night, phone: Page) -> None:
    """Every load's strip, what was out of the ordinary in words, and its entries on request."""
    phone.goto(_url(night))
    row = phone.locator(f'[data-date="{night.date}"]')
    row.get_by_role("button").first.tap()
    expect(row.get_by_role("button").first).to_have_attribute("aria-expanded", "true")
    expect(row.locator(".closer .strip-row")).to_have_count(2)
    expect(row.locator(".closer")).to_contain_text("dry gap of")
    expect(row.locator(".closer")).to_contain_text("Everything stopped")
    ordered = re.compile(r"the plan wanted it on \d times, decided by: stop switch")
    expect(row.locator(".odd").filter(has_text=ordered)).to_have_count(1)
    row.get_by_role("button", name="Show all entries of this day").tap()
    expect(phone.locator(".list-day")).to_have_count(1)
    expect(phone.locator("#filter-since")).to_have_value(f"{night.date}T00:00")
    assert f"since={night.date}&until={night.date}" in phone.url


def test_a_day_is_seen_closer_once_the_connection_is_back(night: Night, phone: Page) -> None:
    """What shows it comes when it is first wanted; while it cannot, that is said."""
    phone.goto(_url(night))
    day = phone.locator(f'[data-date="{night.date}"]').get_by_role("button").first
    expect(day).to_be_visible()
    phone.route("**/journal/closer.js", lambda route: route.abort())
    day.tap()
    problem = phone.locator("#week-problem")
    expect(problem).to_have_text("The day cannot be shown closer: no connection.")
    expect(day).to_have_attribute("aria-expanded", "false")
    phone.unroute("**/journal/closer.js")
    day.tap()
    expect(day).to_have_attribute("aria-expanded", "true")
    expect(problem).to_be_empty()


def test_entries_are_filtered_searched_and_read_to_their_beginning(
    night: Night, phone: Page
) -> None:
    """By kind and text; page after page, each entry once and in order."""
    phone.goto(_url(night))
    phone.get_by_role("button", name="By hand").tap()
    expect(phone.locator("#list .entry")).to_have_count(len(_log(night, only=["holds"])))
    assert "only=holds" in phone.url
    phone.get_by_role("button", name="By hand").tap()
    expect(phone.locator("#list .entry")).to_have_count(60)
    phone.get_by_label("With the text").fill("RESTING")
    wanted = [one["number"] for one in reversed(_log(night, find="resting"))]
    expect(phone.locator('#list .entry[data-what="on"]')).to_have_count(0)
    expect(phone.locator("#list .entry")).to_have_count(60)
    while phone.get_by_role("button", name="Show earlier entries").count():
        shown = phone.locator("#list .entry").count()
        phone.get_by_role("button", name="Show earlier entries").tap()
        expect(phone.locator(f"#list .entry >> nth={shown}")).to_be_attached()
    assert _numbers(phone) == wanted
    phone.get_by_label("With the text").fill("no such words")
    expect(phone.locator("#list-told")).to_have_text("No entry is like that.")
    phone.get_by_role("button", name="Clear the filters").tap()
    expect(phone.locator("#list .entry")).to_have_count(60)
    assert "?" not in phone.url


def test_days_before_the_journal_began_are_not_known(garden: Garden, phone: Page) -> None:
    """Nobody can tell that nothing was watered then. And where nothing is filtered, nothing offers
    to clear what is."""
    phone.goto(f"{garden.page.url}/journal")
    expect(phone.locator(".day-count")).to_have_text(
        [re.compile("waterings?$"), *["not known"] * 6]
    )
    expect(phone.locator("#list .entry").first).to_be_visible()
    expect(phone.get_by_role("button", name="Clear the filters")).to_be_hidden()
    expect(phone).to_have_title("Journal · rootclock")


def test_an_impossible_filter_is_told_and_kept(night: Night, phone: Page) -> None:
    """Where it is, what is wrong; what was typed stays."""
    phone.goto(_url(night, "?since=2026-07-02T00:00&until=2026-07-01T00:00"))
    expect(phone.locator("#list-problem")).to_contain_text("since is not before until")
    expect(phone.locator("#filter-until")).to_have_value("2026-07-01T00:00")


def test_what_is_saved_is_what_is_filtered(night: Night, laptop: Page, tmp_path: Path) -> None:
    """Exactly the filtered entries, as CSV and as JSON lines."""
    laptop.goto(_url(night, "?load=tower&find=stopped"))
    wanted = [one["number"] for one in reversed(_log(night, load="tower", find="stopped"))]
    assert wanted
    for name, count in (("CSV", len(wanted) + 1), ("JSON lines", len(wanted))):
        with laptop.expect_download() as download:
            laptop.get_by_role("link", name=name).click()
        path = tmp_path / download.value.suggested_filename
        download.value.save_as(path)
        assert len(path.read_text(encoding="utf-8").splitlines()) == count
    lines = (tmp_path / "journal.jsonl").read_text(encoding="utf-8").splitlines()
    assert [json.loads(line)["number"] for line in lines] == wanted


def test_new_entries_come_in_on_top_and_move_nothing_that_is_read(
    night: Night, phone: Page
) -> None:
    """At the top they slide in; further down they wait for a tap."""
    call = night.garden.daemon.call
    phone.goto(_url(night))
    expect(phone.locator("#list .entry")).to_have_count(60)
    call("hold", {"load": "fan", "order": "on", "for": "20m"})
    expect(phone.locator("#list .entry").first).to_contain_text("fan")
    newest = _numbers(phone)
    assert newest == sorted(newest, reverse=True)
    read = phone.locator("#list .entry").nth(30)
    read.scroll_into_view_if_needed()
    before = _top_px(read)
    call("release", {"load": "fan"})
    waiting = phone.get_by_role("button", name=re.compile(r"Show \d+ new entr"))
    expect(waiting).to_be_visible()
    assert abs(_top_px(read) - before) < 1.0  # it may still come to rest on a whole pixel
    waiting.tap()
    expect(waiting).to_be_hidden()
    expect(phone.locator("#list .entry").filter(has_text="Hold ended")).to_have_count(1)
    shown = _numbers(phone)  # the garden goes on, and more may be written by now
    logged = [one["number"] for one in reversed(_log(night)) if one["number"] <= shown[0]]
    assert shown == logged[: len(shown)]


def test_relays_and_lateness_are_told(night: Night, laptop: Page) -> None:
    """The numbers are the controller's."""
    laptop.goto(_url(night))
    told = {load["name"]: load for load in night.garden.daemon.call("wear")["loads"]}
    tower = laptop.locator(".relay").filter(has_text="tower")
    expect(tower).to_contain_text(f"{told['tower']['operations']:,} of 100,000 rated operations")
    expect(tower).to_contain_text(re.compile(r"At [\d.]+ a day lately, the rest lasts about \d"))
    expect(laptop.locator("#relays")).to_contain_text("half within 1.5 ms")


def test_all_of_it_goes_by_keyboard(night: Night, laptop: Page) -> None:
    """A day is opened and stays in focus; a chip is pressed."""
    laptop.goto(_url(night))
    day = laptop.locator(f'[data-date="{night.date}"] .day-button')
    day.focus()
    laptop.keyboard.press("Enter")
    expect(day).to_have_attribute("aria-expanded", "true")
    expect(day).to_be_focused()
    chip = laptop.get_by_role("button", name="Alarms")
    chip.focus()
    laptop.keyboard.press("Space")
    expect(chip).to_have_attribute("aria-pressed", "true")
    expect(chip).to_be_focused()


def test_now_tells_where_the_plan_wanted_otherwise(night: Night, phone: Page) -> None:
    """On the strip as a mark, beside it in words, and with the rule that decided."""
    phone.goto(night.garden.page.url)
    row = phone.locator(".strip-row").filter(has_text="tower")
    expect(row).to_contain_text("not as planned")
    expect(row.locator(".over.is-ordered-off").first).to_be_attached()
    phone.locator(".history summary").tap()
    told = phone.locator(".notes li").filter(has_text="not as planned: tower")
    expect(told.filter(has_text="The plan wanted it off")).to_contain_text("Decided by: hold")
