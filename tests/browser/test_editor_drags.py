"""Borders of the day moved where days are not as others: at midnight, and when the clocks change.

The controller's clock shows today, whatever day that is; so that each test has the day which it is
about, previews are worked out here, by the page's own code, for another moment.
"""

from __future__ import annotations

import re
from contextlib import contextmanager
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from controller.core.plan_text.reading import read_plan
from controller.core.schedule import make_schedule
from controller.core.units import HOUR_MS, day_number, parse_rfc3339
from controller.report.day import spans_on
from tests.browser.conftest import Garden
from tests.browser.editor_form import (
    SHED,
    borders,
    box_of,
    card,
    chips,
    draft_text,
    edited,
    finger_drags,
    open_form,
)
from web.paper.jobs import answer
from web.paper.shares import share_of, whole

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Locator, Page, Route

MORNING, EVENING = 'from = "06:30"  ', 'from = "sunset + 1h"  '
SUMMER = date(2026, 7, 1)
# The sun sets at 21:23:08: of what is so many times five minutes later, 23:58:08 is nearest to
# midnight, and on the day before.
SHORT_OF_MIDNIGHT = date(2026, 7, 9)
# Directive 2000/84/EC: the last Sundays of March and October.
FORWARD, BACK = date(2026, 3, 29), date(2026, 10, 25)
HOURS = {SUMMER: 24, SHORT_OF_MIDNIGHT: 24, FORWARD: 23, BACK: 25}


def _open(window: Page, shed: Garden, day: date, text: str = SHED) -> Locator:
    """The card of the pump in the form of a draft, drawn for a day."""
    now = parse_rfc3339(f"{day}T10:00:00Z")

    def preview(route: Route) -> None:
        asked = route.request.post_data_json
        assert asked is not None
        job = {"text": asked["text"], "parts": asked["parts"], "running": SHED, "now": now}
        told = answer({"job": "preview", "share": [0, 1], **job})["result"]
        route.fulfill(body=whole([share_of(told)]), content_type="application/json")

    window.route("**/api/v1/plan/preview", preview)
    open_form(window, shed)
    if text != SHED:
        put = "async (text) => (await import('/static/plan/draft.js')).draft.setText(text)"
        window.evaluate(put, text)
        assert draft_text(window) == text
    tower = card(window, "tower")
    expect(borders(tower)).to_have_count(2)
    return tower


def _hour(border: Locator, day: date) -> float:
    """How many hours of the day are over where a border stands in the band."""
    share: float = border.evaluate("(border) => parseFloat(border.style.left) / 100")
    return share * HOURS[day]


def _starts(text: str, day: date) -> dict[int, float]:
    """When the pieces of the pump start on a day by the controller's own reckoning: hours after
    the start of the day, by place. A piece that begins after midnight is of the day before."""
    schedule = make_schedule(read_plan(text.encode(), "the draft").plan)
    load = next(load for load in schedule.loads if load.name == "tower")
    begin, end = schedule.calendar.local_day(day_number(day))
    found = {}
    for one in (day, day - timedelta(days=1)):
        for span in spans_on(schedule, load.own, one):
            if begin <= span.start < end:
                found[span.place] = (span.start - begin) / HOUR_MS
    return found


@contextmanager
def _held(window: Page, border: Locator) -> Iterator[float]:
    """A mouse that holds a border; gives where."""
    box = box_of(border)
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    window.mouse.move(x, y)
    window.mouse.down()
    yield x
    window.mouse.up()


def _stands_where_told(border: Locator, text: str, day: date, place: int) -> None:
    """The border is drawn where the controller would begin the piece, to the minute."""
    assert _hour(border, day) == pytest.approx(_starts(text, day)[place], abs=1 / 60)


# Midnight


def test_a_border_is_not_dragged_over_the_end_of_the_day(shed: Garden, laptop: Page) -> None:
    """Far beyond the edge of the band it stays a few minutes before midnight, tied to the sun as
    it was, and never shows on the other side."""
    tower = _open(laptop, shed, SUMMER)
    evening = borders(tower).nth(1)
    width = box_of(tower.locator(".band-track"))["width"]
    with _held(laptop, evening) as x:
        y = box_of(evening)["y"] + 5
        for share in (0.02, 0.05, 0.3, 0.9, 0.4):
            laptop.mouse.move(x + share * width, y)
            assert _hour(evening, SUMMER) > 22
    expect(evening).to_have_attribute("aria-valuetext", re.compile("^23:5.*after sunset$"))
    text = draft_text(laptop)
    assert re.search(r'from = "sunset \+ \dh\d+m"  ', text)
    assert 23.8 < _starts(text, SUMMER)[1] < 24
    _stands_where_told(evening, text, SUMMER, 1)


# In July the sun sets at about half past nine; three hours and a half later it is past midnight.
LATE = edited(SHED, (EVENING, 'from = "sunset + 3h30m"  '))


def test_a_piece_of_the_evening_that_begins_after_midnight_is_dragged_there(
    shed: Garden, phone: Page
) -> None:
    """It stands at the left of the band, and goes where the finger goes; it stays of the sun."""
    tower = _open(phone, shed, SUMMER, LATE)
    late = borders(tower).nth(1)
    before = _hour(late, SUMMER)
    assert 0.5 < before < 1.5
    width = box_of(tower.locator(".band-track"))["width"]
    with finger_drags(phone, late, width * 2 / 24):
        assert _hour(late, SUMMER) == pytest.approx(before + 2, abs=0.1)
        assert draft_text(phone) == LATE
    expect(late).to_have_attribute("aria-valuetext", re.compile("5\u00a0h .*after sunset$"))
    text = draft_text(phone)
    assert re.search(r'from = "sunset \+ 5h\d*m?"  ', text)
    _stands_where_told(late, text, SUMMER, 1)


@pytest.mark.parametrize(
    "day",
    [
        SUMMER,
        SHORT_OF_MIDNIGHT,
    ],
)
def test_a_piece_after_midnight_stops_at_midnight(shed: Garden, laptop: Page, day: date) -> None:
    """Dragged beyond the left edge it stays at it, however long the mouse goes on."""
    tower = _open(laptop, shed, day, LATE)
    late = borders(tower).nth(1)
    width = box_of(tower.locator(".band-track"))["width"]
    with _held(laptop, late) as x:
        y = box_of(late)["y"] + 5
        for share in (0.03, 0.06, 0.2, 0.21, 0.1, 0.22):
            laptop.mouse.move(x - share * width, y)
            assert _hour(late, day) < 0.3
    text = draft_text(laptop)
    assert _starts(text, day)[1] < 0.1
    _stands_where_told(late, text, day, 1)


def test_keys_stop_at_both_ends_of_the_day(shed: Garden, laptop: Page) -> None:
    """And come back from there; a key that leads nowhere writes nothing."""
    tower = _open(laptop, shed, SUMMER, edited(SHED, (MORNING, 'from = "00:05"  ')))
    morning = borders(tower).nth(0)
    morning.focus()
    for _ in range(3):
        laptop.keyboard.press("ArrowLeft")
    expect(morning).to_have_attribute("aria-valuetext", "00:00")
    assert draft_text(laptop) == edited(SHED, (MORNING, 'from = "00:00"  '))
    laptop.keyboard.press("ArrowRight")
    expect(morning).to_have_attribute("aria-valuetext", "00:05")
    evening = borders(tower).nth(1)
    evening.focus()
    for _ in range(3):
        laptop.keyboard.press("Shift+ArrowRight")
    expect(evening).to_have_attribute("aria-valuetext", re.compile("^23:5"))
    expect(evening).to_be_focused()
    _stands_where_told(evening, draft_text(laptop), SUMMER, 1)


# The clocks change


@pytest.mark.parametrize("day", [FORWARD, BACK])
def test_a_day_of_another_length_is_drawn_as_long_as_it_is(
    shed: Garden, laptop: Page, day: date
) -> None:
    """Borders stand where the controller begins their pieces, and show the time of the clocks."""
    tower = _open(laptop, shed, day)
    for place in (0, 1):
        _stands_where_told(borders(tower).nth(place), SHED, day, place)
    expect(borders(tower).nth(0)).to_have_attribute("aria-valuetext", "06:30")
    assert _hour(borders(tower).nth(0), day) == pytest.approx(6.5 + HOURS[day] - 24, abs=1e-3)


@pytest.mark.parametrize("day", [FORWARD, BACK])
def test_a_border_that_is_dragged_on_such_a_day_begins_where_it_was_put(
    shed: Garden, laptop: Page, day: date
) -> None:
    """By clock time in the morning, and tied to the sun in the evening."""
    tower = _open(laptop, shed, day)
    width = box_of(tower.locator(".band-track"))["width"]
    for place, hours in ((0, 2.0), (1, -3.0)):
        border = borders(tower).nth(place)
        before = _hour(border, day)
        with _held(laptop, border) as x:
            y = box_of(border)["y"] + 5
            laptop.mouse.move(x + hours / HOURS[day] * width, y, steps=3)
        expect(tower.locator(".band-bubble")).to_be_hidden()
        text = draft_text(laptop)
        assert text != SHED
        _stands_where_told(border, text, day, place)
        assert _hour(border, day) == pytest.approx(before + hours, abs=0.1)


def test_a_time_that_the_clocks_skip_is_when_they_have_skipped(shed: Garden, laptop: Page) -> None:
    """Half past two is three o'clock on that day (design, rule 2), in band and chip alike."""
    text = edited(SHED, (MORNING, 'from = "02:30"  '))
    tower = _open(laptop, shed, FORWARD, text)
    _stands_where_told(borders(tower).nth(0), text, FORWARD, 0)
    expect(borders(tower).nth(0)).to_have_attribute("aria-valuetext", "03:00")
    expect(chips(tower).nth(0)).to_contain_text("03:00")


def test_keys_go_over_the_hour_that_the_clocks_skip(shed: Garden, laptop: Page) -> None:
    """From five to two to three, and back."""
    tower = _open(laptop, shed, FORWARD, edited(SHED, (MORNING, 'from = "01:55"  ')))
    morning = borders(tower).nth(0)
    morning.focus()
    laptop.keyboard.press("ArrowRight")
    expect(morning).to_have_attribute("aria-valuetext", "03:00")
    assert draft_text(laptop) == edited(SHED, (MORNING, 'from = "03:00"  '))
    laptop.keyboard.press("ArrowLeft")
    expect(morning).to_have_attribute("aria-valuetext", "01:55")


def test_a_border_stays_where_it_was_put_until_the_preview_comes(
    shed: Garden, laptop: Page
) -> None:
    """On the other side of the hour that the clocks skip, it is not drawn an hour too late."""
    tower = _open(laptop, shed, FORWARD, edited(SHED, (MORNING, 'from = "01:55"  ')))
    held: list[Route] = []
    laptop.route("**/api/v1/plan/preview", lambda route: held.append(route))
    morning = borders(tower).nth(0)
    morning.focus()
    laptop.keyboard.press("Shift+ArrowRight")
    text = edited(SHED, (MORNING, 'from = "03:55"  '))
    assert draft_text(laptop) == text
    _stands_where_told(morning, text, FORWARD, 0)
    expect(morning).to_have_attribute("aria-valuetext", "03:55")
    for route in held:
        route.fallback()


def test_a_border_is_dragged_over_the_hour_that_the_clocks_skip(shed: Garden, laptop: Page) -> None:
    """It stays under the mouse all the way."""
    text = edited(SHED, (MORNING, 'from = "00:30"  '))
    tower = _open(laptop, shed, FORWARD, text)
    _follows_the_mouse(laptop, tower, FORWARD)


def test_a_border_is_dragged_over_the_hour_that_comes_twice(shed: Garden, laptop: Page) -> None:
    """In its second turn no clock time can begin a piece: it may stay where that turn began or
    ended, and must not fall back by an hour."""
    text = edited(SHED, (MORNING, 'from = "01:00"  '))
    tower = _open(laptop, shed, BACK, text)
    _follows_the_mouse(laptop, tower, BACK, hour_max=1.1)


def _follows_the_mouse(window: Page, tower: Locator, day: date, *, hour_max: float = 0.1) -> None:
    """Over four hours it goes on, and is never far from the mouse."""
    border = borders(tower).nth(0)
    before = _hour(border, day)
    a_minute = box_of(tower.locator(".band-track"))["width"] / HOURS[day] / 60
    went = [before]
    with _held(window, border) as x:
        y = box_of(border)["y"] + 5
        for minutes in range(20, 240, 3):  # so far at least: else it might be a touch
            window.mouse.move(x + minutes * a_minute, y)
            went.append(_hour(border, day))
            assert went[-1] == pytest.approx(before + minutes / 60, abs=hour_max), went
            assert went[-1] >= went[-2], went


def test_keys_go_over_the_hour_that_comes_twice(shed: Garden, laptop: Page) -> None:
    """On and on, and back again, without an end in which they are caught."""
    tower = _open(laptop, shed, BACK, edited(SHED, (MORNING, 'from = "02:50"  ')))
    morning = borders(tower).nth(0)
    morning.focus()
    laptop.keyboard.press("ArrowRight")
    expect(morning).to_have_attribute("aria-valuetext", "02:55")
    laptop.keyboard.press("ArrowRight")
    expect(morning).to_have_attribute("aria-valuetext", "03:00")
    laptop.keyboard.press("ArrowLeft")
    expect(morning).to_have_attribute("aria-valuetext", "02:55")
    laptop.keyboard.press("Shift+ArrowRight")
    expect(morning).to_have_attribute("aria-valuetext", re.compile("^03:"))
