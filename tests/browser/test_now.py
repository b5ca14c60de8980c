"""The page Now in a real browser, before a real controller: seen, held, stopped, cut off."""

from __future__ import annotations

import re
import signal
from contextlib import contextmanager
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from controller.core.cautions import CAUTIONS, TITLE
from tests.browser.conftest import Garden
from tests.stage.page_process import PageProcess
from web.security.passcode import stored, write_passcode

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Locator, Page

PASSCODE = "wet roots hang low"


def _load(window: Page, name: str) -> Locator:
    return window.locator(f'[data-load="{name}"]')


def _held(garden: Garden) -> dict[str, str | None]:
    loads = garden.daemon.call("status")["loads"]
    return {load["name"]: load["held"] and load["held"]["order"] for load in loads}


@contextmanager
def _finger_on(window: Page, target: Locator) -> Iterator[None]:
    """A finger that rests there meanwhile. Source: Chrome DevTools Protocol, Input domain."""
    box = target.bounding_box()
    assert box is not None
    point = {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}
    glass = window.context.new_cdp_session(window)
    glass.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [point]})
    yield
    glass.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_it_shows_what_the_controller_tells(garden: Garden, phone: Page) -> None:
    """State and sentence of each load, sensors, mock relays, and the cautions word for word."""
    phone.goto(garden.page.url)
    fan = _load(phone, "fan")
    expect(fan.locator(".state")).to_have_text("Still")
    status = garden.daemon.call("status")
    assert [phone.locator("h3").all_inner_texts()] == [[load["name"] for load in status["loads"]]]
    told = {load["name"]: load for load in status["loads"]}
    expect(fan.locator(".sentence")).to_have_text(told["fan"]["sentence"])
    state = "Watering" if told["tower"]["is_on"] else "Resting"
    tower = _load(phone, "tower")
    expect(tower.locator(".state")).to_have_text(state)
    expect(tower.locator(".left")).to_have_text(re.compile(r"^\d+\s(h|min|s)"))
    expect(phone.locator(".sensor").filter(has_text="air")).to_contain_text("23.4 °C")
    expect(phone.locator(".sensor").filter(has_text="floor")).to_contain_text("Dry")
    expect(phone.get_by_text("Mock relays: nothing real is switched.")).to_be_visible()
    expect(phone.locator(".strip-row")).to_have_count(2)
    assert phone.locator("#caution-list li").all_inner_texts() == list(CAUTIONS)
    expect(phone.locator("#cautions-title")).to_have_text(TITLE)


def test_a_load_is_held_released_and_both_are_undone(garden: Garden, phone: Page) -> None:
    """One tap each; the length is chosen beside it; what the controller holds is asked of it."""
    phone.goto(garden.page.url)
    fan = _load(phone, "fan")
    fan.get_by_label("How long to hold fan").select_option("1h")
    phone.get_by_role("button", name="Hold on: fan for 1 h").tap()
    expect(fan.locator(".held-text")).to_contain_text("Held on until")
    expect(fan.locator(".state")).to_have_text("Blowing")
    assert _held(garden) == {"tower": None, "fan": "on"}
    phone.get_by_role("button", name="Undo").tap()
    expect(fan.locator(".held")).to_be_hidden()
    assert _held(garden) == {"tower": None, "fan": None}
    phone.get_by_role("button", name="Hold off: fan for 1 h").tap()
    phone.get_by_role("button", name="Release fan").tap()
    expect(fan.locator(".held")).to_be_hidden()
    assert _held(garden) == {"tower": None, "fan": None}
    phone.get_by_role("button", name="Undo").tap()
    expect(fan.locator(".held-text")).to_contain_text("Held off until")
    assert _held(garden) == {"tower": None, "fan": "off"}
    left_s = garden.daemon.call("status")["loads"][1]["held"]["left_s"]
    assert 3_570 < left_s <= 3_600


def test_what_another_client_orders_shows_by_itself(garden: Garden, phone: Page) -> None:
    """The event stream brings it, without anybody reloading."""
    phone.goto(garden.page.url)
    fan = _load(phone, "fan")
    expect(fan.locator(".state")).to_have_text("Still")
    garden.daemon.call("hold", {"load": "fan", "order": "on", "for": "20m"})
    expect(fan.locator(".state")).to_have_text("Blowing")


def test_a_tap_does_not_stop_and_a_press_of_a_second_does(garden: Garden, phone: Page) -> None:
    """A tap asks first; so does resume, because pumps may start."""
    phone.goto(garden.page.url)
    stop = phone.locator(".stop-button")
    stop.click()
    expect(phone.get_by_role("dialog")).to_contain_text("Stop everything?")
    assert garden.daemon.call("status")["is_stopped"] is False
    phone.get_by_role("button", name="Let it run").click()
    expect(phone.get_by_role("dialog")).to_be_hidden()
    assert garden.daemon.call("status")["is_stopped"] is False
    with _finger_on(phone, stop):
        expect(phone.locator(".resume")).to_be_visible()
    expect(phone.get_by_role("dialog")).to_be_hidden()
    assert garden.daemon.call("status")["is_stopped"] is True
    expect(_load(phone, "tower").locator(".state")).to_have_text("Stopped")
    phone.get_by_role("button", name="Resume").click()
    assert garden.daemon.call("status")["is_stopped"] is True
    phone.get_by_role("button", name="Resume now").click()
    expect(stop).to_be_visible()
    assert garden.daemon.call("status")["is_stopped"] is False


def test_keys_stop_as_a_finger_does(garden: Garden, phone: Page) -> None:
    """A short Enter asks, and its answer is a key too; one kept down for a second stops."""
    phone.goto(garden.page.url)
    stop = phone.locator(".stop-button")
    expect(stop).to_be_visible()
    stop.focus()
    phone.keyboard.press("Enter")
    expect(phone.get_by_role("dialog")).to_be_visible()
    phone.keyboard.press("Escape")
    expect(stop).to_be_focused()
    assert garden.daemon.call("status")["is_stopped"] is False
    phone.keyboard.down("Enter")
    expect(phone.locator(".resume")).to_be_focused()
    phone.keyboard.down("Enter")  # repeats, as a key that is kept down does
    expect(phone.get_by_role("dialog")).to_be_hidden()
    phone.keyboard.up("Enter")
    assert garden.daemon.call("status")["is_stopped"] is True


# The machine that tests run on may trust its clock: the picture is made to say otherwise.
_UNTRUSTED = """{
  const listen = EventSource.prototype.addEventListener;
  EventSource.prototype.addEventListener = function (name, heard) {
    const trusts = '"is_clock_trusted":true';
    const doubts = '"is_clock_trusted":false';
    const hear = (event) => heard({ data: event.data?.replace(trusts, doubts) });
    listen.call(this, name, name === "picture" ? hear : heard);
  };
}"""


def test_a_person_vouches_for_the_clock(garden: Garden, phone: Page) -> None:
    """It is asked beside what both clocks show, and sent to the controller only after yes."""
    phone.add_init_script(_UNTRUSTED)
    phone.goto(garden.page.url)
    expect(phone.locator(".is-clock")).to_contain_text("does not trust its clock")
    phone.get_by_role("button", name="Look at the clock").tap()
    expect(phone.get_by_role("dialog")).to_contain_text("This device shows")
    with phone.expect_response("**/api/v1/clock-trust") as answer:
        phone.get_by_role("button", name="Yes, it is right").tap()
    assert answer.value.json()["is_clock_trusted"] is True
    expect(phone.locator("#told-text")).to_have_text("The controller trusts its clock again.")


def test_an_alarm_tells_what_to_do_and_is_acknowledged(fresh_garden: Garden, phone: Page) -> None:
    """It stands before the loads; seen but still wet, it stays without the button."""
    phone.goto(fresh_garden.page.url)
    fresh_garden.read("floor", "1")
    alarm = phone.locator(".alarm")
    expect(alarm).to_contain_text("Leak: floor")
    expect(alarm).to_contain_text(fresh_garden.daemon.call("status")["alarms"][0]["what_to_do"])
    expect(_load(phone, "tower").locator(".state")).to_have_text("Kept off")
    assert phone.locator("h2").all_inner_texts()[:2] == ["1 alarm", "Loads"]
    phone.get_by_role("button", name="Acknowledge Leak: floor").tap()
    expect(alarm.get_by_text("Acknowledged. It goes when its cause is over.")).to_be_visible()
    assert fresh_garden.daemon.call("status")["alarms"][0]["is_acknowledged"] is True
    fresh_garden.read("floor", "0")
    expect(alarm).to_have_count(0)


def test_a_cut_connection_shows_the_pictures_age_and_comes_back(
    fresh_garden: Garden, phone: Page
) -> None:
    """First the controller is killed and started again, then the page's own program."""
    phone.goto(fresh_garden.page.url)
    line = phone.locator("#connection")
    expect(line).to_have_text("Live")
    fresh_garden.daemon.end(signal.SIGKILL)
    lost = phone.locator("#lost")
    expect(lost).to_contain_text("The controller does not answer. This picture is")
    phone.evaluate("scrollTo(0, document.body.scrollHeight)")
    expect(lost).to_be_in_viewport()
    expect(_load(phone, "fan").locator(".state")).to_have_text("Still when last seen")
    expect(_load(phone, "tower").locator(".left")).to_be_hidden()
    phone.get_by_role("button", name="Hold on: fan for 20 min").tap()
    expect(phone.locator("#told-text")).to_contain_text("That did not work")
    fresh_garden.daemon.start()
    expect(line).to_have_text("Live", timeout=15_000)
    fresh_garden.page.end()
    expect(lost).to_contain_text(
        "No connection to the machine that this page comes from. This picture is"
    )
    with PageProcess(fresh_garden.daemon.socket_path, port=fresh_garden.page.port):
        expect(line).to_have_text("Live", timeout=15_000)
        phone.get_by_role("button", name="Hold on: fan for 20 min").tap()
        expect(_load(phone, "fan").locator(".state")).to_have_text("Blowing")


def test_a_phone_that_leaves_its_network_says_so_at_once(garden: Garden, phone: Page) -> None:
    """It does not wait until the silence has lasted long; back in the network, it is live again."""
    phone.goto(garden.page.url)
    line = phone.locator("#connection")
    expect(line).to_have_text("Live")
    phone.context.set_offline(True)
    expect(phone.locator("#lost")).to_contain_text("This picture is")
    phone.context.set_offline(False)
    expect(line).to_have_text("Live")


def test_the_passcode_is_asked_for(garden: Garden, phone: Page) -> None:
    """A wrong one is told; the right one opens; logging out closes."""
    kept = garden.folder / "passcode"
    write_passcode(kept, stored(PASSCODE))
    with PageProcess(garden.daemon.socket_path, passcode_path=str(kept)) as page:
        phone.goto(page.url)
        phone.get_by_label("Passcode").fill("dry roots")
        phone.keyboard.press("Enter")
        expect(phone.get_by_role("alert")).to_contain_text("not the passcode")
        expect(_load(phone, "fan")).to_have_count(0)
        phone.get_by_label("Passcode").fill(PASSCODE)
        phone.get_by_role("button", name="Log in").tap()
        expect(_load(phone, "fan")).to_be_visible()
        phone.get_by_role("button", name="Log out").tap()
        expect(phone.get_by_label("Passcode")).to_be_visible()
        expect(_load(phone, "fan")).to_be_hidden()
        expect(phone.locator("#site-time")).to_be_empty()
        expect(phone.locator("#lost")).to_be_hidden()
