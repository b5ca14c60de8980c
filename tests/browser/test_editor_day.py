"""The day of a load in the plan's form: borders dragged and moved by keys, pieces changed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from playwright.sync_api import Route, expect

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
    minutes_of,
    open_form,
)

if TYPE_CHECKING:
    from playwright.sync_api import Page

NIGHT = 'cycle = "15m on, 15m off" # as by day'
MORNING = 'from = "06:30"  '
EVENING = 'from = "sunset + 1h"  '


def test_the_night_goes_from_15_15_to_10_20_in_three_taps(shed: Garden, phone: Page) -> None:
    """The night's piece, less on, more off; every comment stays."""
    open_form(phone, shed)
    tower = card(phone, "tower")
    chips(tower).nth(1).tap()
    tower.get_by_role("button", name="On: less").tap()
    tower.get_by_role("button", name="Off: more").tap()
    expect(chips(tower).nth(1)).to_contain_text("10/20")
    assert draft_text(phone) == edited(SHED, (NIGHT, 'cycle = "10m on, 20m off" # as by day'))
    expect(tower.locator(".sentence")).to_have_text(
        "15 min on, 15 min off from 06:30; 10 min on, 20 min off from 1 h after sunset."
    )


def test_a_finger_drags_a_border_that_stays_tied_to_the_sun(shed: Garden, phone: Page) -> None:
    """Meanwhile it says where it would go, and nothing is changed before the finger is lifted."""
    open_form(phone, shed)
    evening = borders(card(phone, "tower")).nth(1)
    track = box_of(card(phone, "tower").locator(".band-track"))
    shift = 60 + minutes_of(-42, track)
    assert shift < -100
    hours, minutes = divmod(-shift, 60)
    with finger_drags(phone, evening, -42):
        bubble = card(phone, "tower").locator(".band-bubble")
        expect(bubble).to_contain_text(f"{hours} h {minutes} min before sunset")
        assert draft_text(phone) == SHED
    expect(bubble).to_be_hidden()
    written = f'from = "sunset - {hours}h{minutes}m"  '
    expect(evening).to_have_attribute("aria-valuetext", re.compile("before sunset$"))
    assert draft_text(phone) == edited(SHED, (EVENING, written))


def test_a_mouse_drags_a_border_that_stays_a_clock_time(shed: Garden, laptop: Page) -> None:
    """To the nearest five minutes; it stops short of the next border."""
    open_form(laptop, shed)
    tower = card(laptop, "tower")
    morning = borders(tower).nth(0)
    box, track = box_of(morning), box_of(tower.locator(".band-track"))
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    laptop.mouse.move(x, y)
    laptop.mouse.down()
    laptop.mouse.move(x + 30, y, steps=3)
    laptop.mouse.up()
    at = 6 * 60 + 30 + minutes_of(30, track)
    written = f'from = "{at // 60:02}:{at % 60:02}"  '
    expect(morning).to_have_attribute("aria-valuenow", str(at))
    assert draft_text(laptop) == edited(SHED, (MORNING, written))

    box = box_of(morning)
    laptop.mouse.move(box["x"] + box["width"] / 2, y)
    laptop.mouse.down()
    laptop.mouse.move(box["x"] + track["width"], y, steps=3)
    laptop.mouse.up()
    evening = borders(tower).nth(1)
    expect(morning).not_to_have_attribute("aria-valuenow", str(at))
    gap = int(evening.get_attribute("aria-valuenow") or 0) - int(
        morning.get_attribute("aria-valuenow") or 0
    )
    assert 2 <= gap <= 8


def test_keys_move_a_border_and_keep_the_focus(shed: Garden, laptop: Page) -> None:
    """An arrow five minutes, with Shift an hour; each tells the new moment; Enter opens it."""
    open_form(laptop, shed)
    tower = card(laptop, "tower")
    morning, evening = borders(tower).nth(0), borders(tower).nth(1)
    morning.focus()
    laptop.keyboard.press("ArrowRight")
    expect(morning).to_have_attribute("aria-valuetext", "06:35")
    laptop.keyboard.press("Shift+ArrowLeft")
    expect(morning).to_have_attribute("aria-valuetext", "05:35")
    expect(morning).to_be_focused()
    evening.focus()
    laptop.keyboard.press("ArrowLeft")
    expect(evening).to_have_attribute("aria-valuetext", re.compile("55\u00a0min after sunset$"))
    assert draft_text(laptop) == edited(
        SHED, (MORNING, 'from = "05:35"  '), (EVENING, 'from = "sunset + 55m"  ')
    )
    expect(evening).to_be_focused()
    laptop.keyboard.press("Enter")
    title = tower.locator(".piece-title")
    expect(title).to_have_text(re.compile("^From .* to 05:35$"))
    expect(title).to_be_focused()
    laptop.keyboard.press("Escape")
    expect(title).to_be_hidden()
    expect(chips(tower).nth(1)).to_be_focused()


def test_many_keys_in_a_row_are_all_heard(shed: Garden, laptop: Page) -> None:
    """Faster than the plan's reader answers."""
    open_form(laptop, shed)
    morning = borders(card(laptop, "tower")).nth(0)
    morning.focus()
    for _ in range(24):
        laptop.keyboard.press("ArrowRight")
    expect(morning).to_have_attribute("aria-valuetext", "08:30")
    assert draft_text(laptop) == edited(SHED, (MORNING, 'from = "08:30"  '))


def test_a_piece_is_tied_to_something_else_and_starts_when_it_did(
    shed: Garden, laptop: Page
) -> None:
    """From the clock to the lamp, and back."""
    open_form(laptop, shed)
    tower = card(laptop, "tower")
    chips(tower).nth(0).click()
    base = tower.get_by_label("Tied to")
    base.select_option("lamp on")
    expect(chips(tower).nth(0)).to_have_attribute(
        "aria-label", re.compile("1\u00a0h 30\u00a0min after lamp on")
    )
    assert draft_text(laptop) == edited(SHED, (MORNING, 'from = "lamp on + 1h30m"  '))
    tower.get_by_role("button", name="Earlier").click()
    expect(tower.get_by_label("Before or after")).to_have_value("1 h 25 min after")
    base.select_option("clock")
    expect(tower.get_by_label("Time", exact=True)).to_have_value("06:25")
    assert draft_text(laptop) == edited(SHED, (MORNING, 'from = "06:25"  '))
    tower.get_by_label("Time", exact=True).fill("07:10")
    tower.get_by_label("Time", exact=True).blur()
    expect(borders(tower).nth(0)).to_have_attribute("aria-valuetext", "07:10")
    assert draft_text(laptop) == edited(SHED, (MORNING, 'from = "07:10"  '))


def test_a_piece_is_tied_anew_before_the_last_step_has_arrived(shed: Garden, laptop: Page) -> None:
    """Where the step before is still on its way to the plan's reader, it is not lost."""
    open_form(laptop, shed)
    tower = card(laptop, "tower")
    chips(tower).nth(0).click()
    base = tower.get_by_label("Tied to")
    base.select_option("lamp on")
    expect(chips(tower).nth(0)).to_have_attribute("aria-label", re.compile("after lamp on"))
    held: list[Route] = []
    is_slow = True

    def kept(route: Route) -> None:
        if is_slow:
            held.append(route)
        else:
            route.continue_()

    laptop.route("**/plan/edit", kept)
    tower.get_by_role("button", name="Earlier").click()
    expect(tower.get_by_label("Before or after")).to_have_value("1 h 25 min after")
    base.select_option("clock")
    is_slow = False
    for route in held:
        route.continue_()
    expect(tower.get_by_label("Time", exact=True)).to_have_value("06:25")
    expect(borders(tower).nth(0)).to_have_attribute("aria-valuetext", "06:25")
    assert draft_text(laptop) == edited(SHED, (MORNING, 'from = "06:25"  '))


def test_a_piece_is_added_and_removed(shed: Garden, phone: Page) -> None:
    """Split in its middle it does the same in both halves; removed, the file is as before."""
    open_form(phone, shed)
    lamp = card(phone, "lamp")
    lamp.get_by_role("button", name="Add a piece to the day of lamp").tap()
    expect(chips(lamp)).to_have_count(3)
    expect(lamp.locator(".piece-title")).to_have_text("From 14:00 to 23:00")
    two = '"on" }, { from = "23:00"'
    assert draft_text(phone) == edited(
        SHED, (two, '"on" }, { from = "14:00", cycle = "on" }, { from = "23:00"')
    )
    lamp.get_by_role("button", name="Off", exact=True).tap()
    expect(chips(lamp).nth(1)).to_contain_text("14:00 off")
    lamp.get_by_role("button", name="Remove this piece").tap()
    expect(chips(lamp)).to_have_count(2)
    assert draft_text(phone) == SHED


def test_what_is_no_cycle_is_told_beside_it_and_stays_typed(shed: Garden, laptop: Page) -> None:
    """In the words of the plan's own reader; the draft is as it was; Escape takes it back."""
    open_form(laptop, shed)
    tower = card(laptop, "tower")
    chips(tower).nth(1).click()
    words = tower.get_by_label("The same in words").first
    words.fill("10m on, 20")
    words.press("Enter")
    refused = tower.locator(".piece .finding.is-error")
    expect(refused).to_contain_text("step 2, '20', is not a duration and a state")
    expect(words).to_have_value("10m on, 20")
    expect(words).to_have_attribute("aria-invalid", "true")
    assert draft_text(laptop) == SHED
    words.press("Escape")
    expect(words).to_have_value("15m on, 15m off")
    expect(refused).to_have_count(0)
    words.fill("2m30s on, 20m off, 1m on, 40m off")
    words.press("Enter")
    expect(tower.locator(".stepper:visible")).to_have_count(5)
    assert draft_text(laptop) == edited(
        SHED, (NIGHT, 'cycle = "2m30s on, 20m off, 1m on, 40m off" # as by day')
    )


def test_a_length_is_typed_into_a_stepper(shed: Garden, laptop: Page) -> None:
    """A number is minutes, `90 s` is seconds; what is neither is refused beside it."""
    open_form(laptop, shed)
    tower = card(laptop, "tower")
    chips(tower).nth(1).click()
    on = tower.get_by_label("On", exact=True).and_(laptop.locator("input"))
    on.fill("12")
    on.press("Enter")
    expect(on).to_have_value("12 min")
    on.fill("90 s")
    on.press("Enter")
    expect(on).to_have_value("1 min 30 s")
    assert draft_text(laptop) == edited(SHED, (NIGHT, 'cycle = "1m30s on, 15m off" # as by day'))
    on.fill("soon")
    on.press("Enter")
    expect(tower.locator(".piece .finding.is-error")).to_contain_text("soon")
    assert draft_text(laptop) == edited(SHED, (NIGHT, 'cycle = "1m30s on, 15m off" # as by day'))


def test_a_button_that_is_held_runs(shed: Garden, laptop: Page) -> None:
    """From 15 minutes to over an hour in one press."""
    open_form(laptop, shed)
    tower = card(laptop, "tower")
    chips(tower).nth(1).click()
    box = box_of(tower.get_by_role("button", name="Off: more"))
    off = tower.get_by_label("Off", exact=True).and_(laptop.locator("input"))
    laptop.mouse.move(box["x"] + 20, box["y"] + 20)
    laptop.mouse.down()
    expect(off).to_have_value(re.compile("^[0-9]+ h"))
    laptop.mouse.up()
    reached = off.input_value()
    laptop.mouse.move(box["x"] + 20, box["y"] - 300)
    expect(chips(tower).nth(1)).to_have_attribute(
        "aria-label", re.compile(reached.replace(" ", r"\s") + " off$")
    )


def test_an_error_in_the_text_stands_beside_its_field(shed: Garden, laptop: Page) -> None:
    """However the text got it; and one that is in no field that shows stands on the card."""
    open_form(laptop, shed)
    tower = card(laptop, "tower")
    chips(tower).nth(1).click()
    expect(tower.locator(".piece")).to_be_visible()
    broken = edited(SHED, ("line = 17  ", "line = 99  "), (EVENING, 'from = "sunsett + 1h"  '))
    laptop.evaluate(
        "async (text) => (await import('/static/plan/draft.js')).draft.setText(text)", broken
    )
    expect(tower.locator(".piece .part").last.locator(".finding")).to_contain_text("sunsett")
    expect(tower.locator("> .findings .finding").first).to_contain_text("99")
    expect(tower.get_by_label("The same in words").last).to_have_value("sunsett + 1h")


def test_a_text_that_is_hardly_a_plan_is_shown_as_far_as_it_goes(
    shed: Garden, laptop: Page
) -> None:
    """Wrong kinds of values everywhere: each is told, and the form stays usable."""
    open_form(laptop, shed)
    broken = """
site = "here"
sensors = { air = 5 }
loads = { tower = { spans = [5, { from = 6, cycle = [] }], variants = "no" }, lamp = 3 }
"""
    put = "async (text) => (await import('/static/plan/draft.js')).draft.setText(text)"
    laptop.evaluate(put, broken)
    tower = card(laptop, "tower")
    expect(chips(tower)).to_have_count(2)
    expect(tower.locator("> .findings .finding").first).to_be_visible()
    chips(tower).first.click()
    expect(tower.locator(".piece")).to_be_visible()
    laptop.evaluate(put, 'loads = { tower = { spans = "none" } }')
    expect(chips(tower)).to_have_count(0)
    laptop.evaluate(put, SHED)
    expect(borders(tower)).to_have_count(2)
    expect(laptop.locator(".editor .finding.is-error")).to_have_count(0)
