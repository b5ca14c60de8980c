"""Five things that people come for, each done as somebody new to the page would do it, on a phone,
one after the other on one garden. Touches are counted, so that none creeps in unseen."""

from __future__ import annotations

import sys
import time
import tomllib
from typing import TYPE_CHECKING, Any, NamedTuple

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Garden, grown
from tests.browser.plan_view import plan_in_force, wait_told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Locator, Page

# A garden of our own invention.
_PLAN = """
format = 1

[site]
latitude = 47.4
longitude = 8.5
timezone = "Europe/Zurich"

[site.typical_day]
coolest_c = 18
warmest_c = 34

[sensors.air]
measures = "air_temperature"
file = "{folder}/air"
stale_after = "10m"

[loads.tower]
kind = "pump"
line = 17
active = "low"
mains = false
watts = 22

[[loads.tower.spans]]
from = "07:00"
cycle = "15m on, 15m off"   # by day

[[loads.tower.spans]]
from = "20:00"
cycle = "15m on, 15m off"   # by night
"""


class Hand(NamedTuple):
    """One finger that counts."""

    window: Page
    touches: list[str]

    def tap(self, target: Locator) -> None:
        """Touches it once, as soon as it may be touched."""
        self.touches.append("tap")
        target.tap()

    def write(self, target: Locator, text: str) -> None:
        """Touches a field, writes into it and is done with it."""
        self.touches.append("write")
        target.tap()
        target.fill(text)
        target.press("Enter")

    def go(self, name: str) -> None:
        """To another view."""
        self.tap(self.window.get_by_role("navigation").get_by_role("link", name=name))

    def press(self, name: str) -> None:
        """Touches the button of that name."""
        self.tap(self.window.get_by_role("button", name=name, exact=True))


@pytest.fixture
def told_garden(tmp_path: Path) -> Iterator[Garden]:
    """A pump at 15/15 by day and by night."""
    with grown(tmp_path, _PLAN.replace("{folder}", str(tmp_path))) as garden:
        yield garden


def _pump(garden: Garden) -> Any:
    return tomllib.loads(plan_in_force(garden)["text"])["loads"]["tower"]


def test_five_tasks(told_garden: Garden, phone: Page, capsys: pytest.CaptureFixture[str]) -> None:
    """10/20 at night; a hot-day variant; a hold for cleaning; why it did not water at 3; the
    earlier plan again. The controller is asked each time whether it came to pass."""
    hand = Hand(phone, [])
    done: list[tuple[str, int, float]] = []
    phone.goto(told_garden.page.url)
    expect(phone.locator('[data-load="tower"]')).to_be_visible()

    def note(task: str, began: float) -> None:
        done.append((task, len(hand.touches), time.monotonic() - began))
        hand.touches.clear()

    began = time.monotonic()
    hand.go("Plan")
    hand.tap(phone.get_by_role("button", name="20:00 15/15: 15 min on, 15 min off"))
    hand.write(phone.get_by_label("The same in words").first, "10m on, 20m off")
    hand.press("Save")
    wait_told(phone, "Revision 2 is in force.")
    assert [span["cycle"] for span in _pump(told_garden)["spans"]] == [
        "15m on, 15m off",
        "10m on, 20m off",
    ]
    assert "# by night" in plan_in_force(told_garden)["text"]
    note("15/15 to 10/20 at night", began)

    began = time.monotonic()
    hand.tap(phone.locator("summary", has_text="Other times in heat"))
    hand.press("Add it")
    hand.press("Save")
    wait_told(phone, "Revision 3 is in force.")
    (variant,) = _pump(told_garden)["variants"]
    assert (variant["sensor"], variant["above"], variant["until"]) == ("air", 32, 29)
    note("a hot-day variant", began)

    began = time.monotonic()
    hand.go("Now")
    hand.press("Hold off: tower for 20 min")
    expect(phone.locator('[data-load="tower"] .held-text')).to_contain_text("Held off until")
    (load,) = told_garden.daemon.call("status")["loads"]
    assert (load["held"]["order"], load["is_on"]) == ("off", False)
    note("hold the pump for cleaning", began)

    began = time.monotonic()
    hand.go("Journal")
    hand.press("Find out")
    answer = phone.get_by_role("region", name="Why did it not water?")
    expect(answer).to_contain_text("tower")
    expect(answer).to_contain_text("journal does not reach back")  # it has lived for seconds
    note("why it did not water at 3", began)

    began = time.monotonic()
    hand.go("Plan")
    hand.tap(phone.get_by_role("heading", name="Earlier plans"))
    hand.press("Restore revision 1")
    hand.press("Put it into force")
    wait_told(phone, "revision 4")
    assert [span["cycle"] for span in _pump(told_garden)["spans"]] == ["15m on, 15m off"] * 2
    note("restore an earlier plan", began)

    assert [touches for _, touches, _ in done] == [4, 3, 2, 2, 4]
    with capsys.disabled():
        for task, touches, seconds in done:
            sys.stdout.write(f"\n{task}: {touches} touches, {seconds:.1f} s of the page's time")
