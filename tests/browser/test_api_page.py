"""The view of the API's description: all that the page's program offers, drawn by the page."""

from __future__ import annotations

import re
import shlex
import signal
import subprocess
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from tests.browser import looks
from tests.browser.views import open_view
from tests.stage.page_process import PageProcess
from web.security.passcode import stored, write_passcode

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

    from tests.browser.conftest import Garden

METHODS = ("get", "post", "put", "patch", "delete")


def _description(garden: Garden) -> dict[str, Any]:
    with garden.page.client() as client:
        told: dict[str, Any] = client.get("/api/v1/openapi.json").json()
    return told


def _route(window: Page, method: str, path: str) -> Locator:
    """A route, opened."""
    name = window.get_by_role("heading", name=f"{method} {path}", exact=True)
    route = window.locator("details.route", has=name)
    route.locator("summary").click()
    return route


def _open_all(window: Page) -> None:
    window.evaluate("document.querySelectorAll('.route').forEach((e) => { e.open = true; })")
    expect(window.locator(".route-home:empty")).to_have_count(0)


def _run(command: str) -> subprocess.CompletedProcess[str]:
    """Runs an example as it stands, in a shell."""
    return subprocess.run(  # noqa: S603 - what the page offers to be typed
        ["sh", "-c", f"{command} --silent --show-error"],  # noqa: S607
        capture_output=True, text=True, timeout=30, check=True,
    )  # fmt: skip


def test_every_route_is_there_with_what_it_does(garden: Garden, laptop: Page) -> None:
    """As the description has them, in its order within each group, with all of its parameters."""
    open_view(laptop, garden, "/api")
    _open_all(laptop)
    paths = _description(garden)["paths"]
    wanted = [
        (f"{method.upper()} {path}", {one["name"] for one in told.get("parameters", [])})
        for path, item in paths.items()
        for method, told in item.items()
        if method in METHODS
    ]
    seen = laptop.evaluate("""() => [...document.querySelectorAll(".route")].map((e) => [
      e.querySelector("h3").textContent,
      [...e.querySelectorAll(".route-home > .shape > li > .key")].map((key) => key.textContent),
      e.querySelector(".route-about").textContent,
    ])""")
    assert len(wanted) > 30
    assert sorted(name for name, _, _ in seen) == sorted(name for name, _ in wanted)
    keys = {name: set(found) for name, found, _ in seen}
    assert [name for name, parameters in wanted if not parameters <= keys[name]] == []
    assert [name for name, _, about in seen if not re.fullmatch(r"[A-Z].{5,}\.", about)] == []
    assert laptop.locator(".routes").inner_text().count("undefined") == 0


def test_what_is_asked_and_told_is_described(garden: Garden, laptop: Page) -> None:
    """Kinds, bounds and examples of a body; an answer with the objects in it; problem details."""
    open_view(laptop, garden, "/api")
    hold = _route(laptop, "POST", "/api/v1/hold")
    order = hold.locator("li", has=laptop.locator("code", has_text=re.compile("^order$"))).first
    expect(order).to_contain_text("needed")
    expect(order).to_contain_text('at most 2000 characters; such as "on" or "off"')
    answer = hold.locator("h4", has_text="Answer 200, application/json")
    expect(answer).to_be_visible()
    assert laptop.locator(".routes").inner_text().count("`") == 0
    sun = hold.locator("li", has=laptop.locator("code", has_text=re.compile("^sunrise_utc$"))).last
    expect(sun).to_contain_text("text or null")
    expect(hold).to_contain_text("4XX or 5XX: problem details")
    log = _route(laptop, "GET", "/api/v1/log")
    only = log.locator("li", has=laptop.locator("code", has_text=re.compile("^only$")))
    expect(only).to_have_text("only list of text; at most 20 of them; once for each")
    last = log.locator("li", has=laptop.locator("code", has_text=re.compile("^last$")))
    expect(last).to_have_text("last whole number; 1 to 1000; without it 200")
    expect(log.locator(".route-about code")).to_have_text("page")
    hold.get_by_role("link", name="What they look like").click()
    problems = laptop.get_by_role("region", name="When something goes wrong")
    expect(problems.get_by_role("heading")).to_be_focused()
    expect(problems.locator(".key")).to_have_text(["type", "title", "status", "detail"])


def test_examples_work_as_they_stand(garden: Garden, laptop: Page) -> None:
    """One that looks, one that orders something of a load of this garden."""
    open_view(laptop, garden, "/api")
    expect(laptop.locator("#connection")).to_have_text("Live")
    why = _route(laptop, "GET", "/api/v1/why").locator(".example").inner_text()
    assert '"name":"tower"' in _run(why).stdout.replace(" ", "")
    hold = _route(laptop, "POST", "/api/v1/hold")
    expect(hold).to_contain_text("Sent, it does at once what stands above.")
    done = _run(hold.locator(".example").inner_text())
    assert '"ends_utc"' in done.stdout
    held = {one["name"]: one["held"] for one in garden.daemon.call("status")["loads"]}
    assert held["tower"]["order"] == "on"


def test_an_example_of_a_page_with_a_passcode_sends_the_cookie_along(
    garden: Garden, laptop: Page
) -> None:
    """And that of logging in keeps it. The page asks before it describes anything."""
    kept = garden.folder / "passcode"
    write_passcode(kept, stored("wet roots hang low"))
    with PageProcess(garden.daemon.socket_path, passcode_path=str(kept)) as page:
        laptop.goto(f"{page.url}/api")
        laptop.get_by_label("Passcode").fill("wet roots hang low")
        laptop.keyboard.press("Enter")
        expect(laptop.locator(".route").first).to_be_visible(timeout=30_000)
        status = _route(laptop, "GET", "/api/v1/status").locator(".example").inner_text()
        login = _route(laptop, "POST", "/api/v1/session").locator(".example").inner_text()
    assert shlex.split(status)[1:3] == ["-b", "cookies.txt"]
    words = shlex.split(login)
    assert words[words.index("-c") + 1] == "cookies.txt"
    assert words[words.index("-d") + 1] == '{"passcode":"PASSCODE"}'


def test_an_example_is_copied_or_selected(garden: Garden, chromium: Browser) -> None:
    """A browser that keeps its clipboard from the page leaves the text selected, and says so."""
    context = chromium.new_context(
        locale="en-GB", permissions=["clipboard-read", "clipboard-write"]
    )
    window = context.new_page()
    open_view(window, garden, "/api")
    route = _route(window, "GET", "/api/v1/wear")
    copy = route.get_by_role("button", name="Copy the example of GET /api/v1/wear")
    copy.click()
    expect(route.get_by_role("status")).to_have_text("Copied.")
    command = f"curl {garden.page.url}/api/v1/wear"
    assert window.evaluate("navigator.clipboard.readText()") == command
    window.evaluate("() => { navigator.clipboard.writeText = () => Promise.reject(new Error()); }")
    copy.click()
    expect(route.get_by_role("status")).to_contain_text("It is selected")
    assert window.evaluate("getSelection().toString()") == command
    context.close()


def test_an_address_may_name_a_route(garden: Garden, laptop: Page) -> None:
    """It is open, in sight, and has the focus; so is one that is named later."""
    laptop.goto(f"{garden.page.url}/api#get-api-v1-log")
    route = laptop.locator("#get-api-v1-log")
    expect(route.locator("summary")).to_be_focused()
    expect(route.locator(".example")).to_be_in_viewport()
    laptop.evaluate("location.hash = 'post-api-v1-stop'")
    expect(laptop.locator("#post-api-v1-stop summary")).to_be_focused()


def test_the_page_s_program_is_away_at_first(limited: Garden, laptop: Page) -> None:
    """That is told, and the description comes by itself."""
    laptop.route("**/openapi.json", lambda route: route.abort())
    laptop.goto(f"{limited.page.url}/api")
    expect(laptop.get_by_role("alert")).to_contain_text("The description cannot be read")
    laptop.unroute("**/openapi.json")
    limited.daemon.call("hold", {"load": "tower", "order": "off", "for": "1m"})  # a new picture
    expect(laptop.locator(".route").first).to_be_visible()
    expect(laptop.get_by_role("alert")).to_be_hidden()


def test_it_needs_no_controller(limited: Garden, laptop: Page) -> None:
    """The description is the page's own."""
    limited.daemon.end(signal.SIGKILL)
    open_view(laptop, limited, "/api")
    expect(laptop.locator(".route")).not_to_have_count(0)


def test_now_leads_there(garden: Garden, laptop: Page) -> None:
    """By a link beside the controller's clock and plan; the views at the top lead back."""
    open_view(laptop, garden, "/")
    card = laptop.get_by_role("region", name="Clock and plan")
    card.get_by_role("link", name="For your own programs: the API").click()
    expect(laptop.get_by_role("heading", name="For programs: the API")).to_be_visible()
    laptop.get_by_role("navigation", name="Views").get_by_role("link", name="Now").click()
    expect(card).to_be_visible()


@pytest.mark.parametrize("scheme", looks.SCHEMES)
def test_it_is_legible_at_every_width(
    garden: Garden, chromium: Browser, scheme: looks.Scheme
) -> None:
    """With every route open."""
    context = chromium.new_context(color_scheme=scheme, locale="en-GB")
    window = context.new_page()
    open_view(window, garden, "/api")
    _open_all(window)
    for width in looks.WIDTHS:
        window.set_viewport_size({"width": width, "height": 800})
        assert looks.all_of(window) == [], width
    context.close()


def test_axe_finds_nothing_with_every_route_open(garden: Garden, chromium: Browser) -> None:
    """What opens is judged too."""
    context = chromium.new_context(locale="en-GB")
    window = context.new_page()
    open_view(window, garden, "/api")
    _open_all(window)
    assert looks.axe(window) == []
    context.close()


def test_it_is_light_and_asks_nobody_else(garden: Garden, chromium: Browser) -> None:
    """All that the first load fetches, uncompressed, and from where."""

    def is_drawn(window: Page) -> None:
        expect(window.locator(".route").first).to_be_visible()

    size, foreign = looks.weight(chromium, f"{garden.page.url}/api", is_drawn)
    assert (size < looks.WEIGHT_MAX_BYTES, foreign) == (True, set())


def test_what_stands_beside_the_routes_scrolls_in_itself(garden: Garden, laptop: Page) -> None:
    """However low the window: it stays in sight above the bar, and its last line can be reached."""
    open_view(laptop, garden, "/api")
    beside = laptop.locator(".api .beside")
    for height in (800, 420):
        laptop.set_viewport_size({"width": 1280, "height": height})
        laptop.evaluate("scrollTo(0, 1500)")
        box, bar = beside.bounding_box(), laptop.locator(".bar").bounding_box()
        assert box is not None
        assert bar is not None
        assert 0 <= box["y"] < box["y"] + box["height"] <= bar["y"]
        last = beside.locator("> *").last
        beside.evaluate("(pane) => pane.scrollTo(0, pane.scrollHeight)")
        end = last.evaluate("(part) => part.getBoundingClientRect().bottom")
        assert end <= box["y"] + box["height"] + 1
