"""How the view Plan looks beyond its form: the text, earlier plans, a conflict, each question."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import Browser, expect

from tests.browser import looks
from tests.browser.conftest import Garden
from tests.browser.plan_view import (
    DAY,
    NIGHT,
    edit,
    in_step,
    open_plan,
    replace,
    save_button,
    unfold,
    wait_told,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Locator, Page

SLOW_MS = 60_000  # examining a plan on a busy machine
LONG = f"{DAY}  # {'as it was through all of last summer; ' * 4}"  # wider than any phone


@pytest.fixture(params=looks.SCHEMES)
def window(request: pytest.FixtureRequest, chromium: Browser) -> Iterator[Page]:
    """A window in each scheme of colours."""
    scheme: looks.Scheme = request.param
    context = chromium.new_context(color_scheme=scheme, locale="en-GB")
    yield context.new_page()
    context.close()


def _assert_legible(window: Page) -> None:
    """At every width, and axe-core finds nothing."""
    wrong = {}
    for width in looks.WIDTHS:
        window.set_viewport_size({"width": width, "height": 900})
        wrong[width] = looks.all_of(window)
    assert wrong == {width: [] for width in looks.WIDTHS}
    # So high that nothing lies below the bar, which would count as too small a target.
    window.set_viewport_size({"width": looks.WIDTHS[1], "height": 6_000})
    # Borders of pieces may stand close together; a chip moves each as well: WCAG 2.2, 2.5.8.
    found = looks.axe(window)
    assert [one for one in found if "band-handle" not in one or "target-size" not in one] == []


def _set_cycle(window: Page, span: int, cycle: str) -> None:
    at: dict[str, Any] = {"do": "set", "at": f"loads.tower.spans.{span}.cycle", "value": cycle}
    assert edit(window, at) == {"isDone": True}


def _dialog(window: Page, name: str) -> Locator:
    dialog = window.get_by_role("dialog", name=name)
    expect(dialog).to_be_visible(timeout=SLOW_MS)
    return dialog


def test_the_text_with_its_findings(limited: Garden, window: Page) -> None:
    """A line that does not fit, marked and told; what changed; a line wider than the window."""
    open_plan(window, limited)
    replace(window, DAY, LONG)
    replace(window, NIGHT, 'cycle = "15x on, 30m off"')
    expect(window.locator("#as-text .is-error").first).to_be_visible(timeout=SLOW_MS)
    window.locator("summary", has_text="See what changed").click()
    expect(window.locator("#edited .come")).to_have_count(2)
    _assert_legible(window)


def test_the_question_about_errors(limited: Garden, window: Page) -> None:
    """With the way to the line."""
    open_plan(window, limited)
    replace(window, NIGHT, 'cycle = "15x on, 30m off"')
    save_button(window).click()
    expect(_dialog(window, "It cannot be saved yet")).to_contain_text("Go to line")
    _assert_legible(window)


def test_the_question_for_a_reason(limited: Garden, window: Page) -> None:
    """With what was forgotten told."""
    open_plan(window, limited)
    _set_cycle(window, 1, "15m on, 1h off")
    save_button(window).click()
    dialog = _dialog(window, "It breaks a limit of its own")
    in_step(window, "Save and run it").click()
    expect(dialog.get_by_role("alert")).to_contain_text("Say why")
    _assert_legible(window)


def test_the_cautions_before_mains_are_switched(fresh_garden: Garden, window: Page) -> None:
    """All of them."""
    open_plan(window, fresh_garden)
    answer = edit(window, {"do": "set", "at": "loads.fan.spans.0.cycle", "value": "on"})
    assert answer == {"isDone": True}
    save_button(window).click()
    expect(_dialog(window, "Mains near water").locator("li")).not_to_have_count(0)
    _assert_legible(window)


def test_earlier_plans_and_the_question_before_one_is_restored(
    limited: Garden, window: Page
) -> None:
    """One looked at, another compared; then what it would change."""
    open_plan(window, limited)
    for cycle in ("14m on, 15m off", "13m on, 15m off"):
        _set_cycle(window, 0, cycle)
        save_button(window).click()
        expect(window.get_by_role("heading", name="Plan in force: revision")).to_be_visible(
            timeout=SLOW_MS
        )
    wait_told(window, "Revision 3 is in force.")
    earlier = unfold(window, "Earlier plans")
    earlier.get_by_role("button", name="View revision 3").click()
    earlier.get_by_role("button", name="Against the one in force: revision 1").click()
    expect(earlier.locator(".come")).to_have_count(1)
    _assert_legible(window)
    earlier.get_by_role("button", name="Restore revision 1").click()
    dialog = _dialog(window, "Put revision 1 into force?")
    expect(dialog.get_by_role("button", name="Put it into force")).to_be_visible(timeout=SLOW_MS)
    _assert_legible(window)


def test_a_conflict_with_lines_that_both_changed(
    limited: Garden, window: Page, chromium: Browser
) -> None:
    """What each changed, and what stood there before."""
    open_plan(window, limited)
    _set_cycle(window, 1, "12m on, 30m off")
    _set_cycle(window, 0, "12m on, 15m off")
    context = chromium.new_context(locale="en-GB")
    other = context.new_page()
    open_plan(other, limited)
    _set_cycle(other, 1, "20m on, 30m off")
    save_button(other).click()
    wait_told(other, "Revision 2 is in force.")
    context.close()
    meanwhile = window.get_by_role("region", name="Meanwhile revision 2 came into force")
    expect(meanwhile.locator(".clash dd")).to_have_count(3, timeout=SLOW_MS)
    for part in meanwhile.locator("details:not([open]) > summary").all():
        part.click()
    _assert_legible(window)
