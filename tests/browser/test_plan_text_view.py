"""The plan as text in a real browser: typed, read from a file and written to one, byte by byte."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Garden
from tests.browser.plan_view import (
    DAY,
    LIMITED,
    NIGHT,
    draft,
    edit,
    open_plan,
    plan_in_force,
    save_button,
    text_field,
    wait_told,
)
from tests.stage.page_process import PageProcess
from web.security.passcode import stored, write_passcode

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Locator, Page

# As an editor on another system writes it, with letters of more than one byte.
OTHER_NIGHT = 'cycle = "15m on, 35m off"'
UMLAUTS = "# Was ein Frühlingstag braucht: 15 °C, 🌱.\n"
RETURNS = (UMLAUTS + LIMITED.replace(NIGHT, OTHER_NIGHT)).replace("\n", "\r\n")


def _read(window: Page, path: Path) -> None:
    """Hands the browser a plan file."""
    text_field(window)
    window.locator("#plan-file").set_input_files(path)


def _written(window: Page) -> tuple[str, bytes]:
    """The file that Download saves: its name and bytes."""
    text_field(window)
    with window.expect_download() as download:
        window.get_by_role("button", name="Download", exact=True).click()
    return download.value.suggested_filename, download.value.path().read_bytes()


def _file(folder: Path, text: str | bytes, name: str = "other.toml") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def _at_end_of(field: Locator, line: str) -> None:
    """Puts the cursor behind a line, as a click there does."""
    field.evaluate(
        """(field, line) => {
          const at = field.value.indexOf(line) + line.length;
          field.focus();
          field.setSelectionRange(at, at);
        }""",
        line,
    )


def test_the_file_in_force_is_downloaded_as_it_is(limited: Garden, laptop: Page) -> None:
    """By a name that tells which plan it is, and that it was changed."""
    open_plan(laptop, limited)
    assert _written(laptop) == ("plan-1.toml", LIMITED.encode())
    edit(laptop, {"do": "set", "at": "loads.tower.watts", "value": 23})
    changed = LIMITED.replace("watts = 22", "watts = 23").encode()
    assert _written(laptop) == ("plan-1-changed.toml", changed)


def test_a_file_is_read_kept_and_written_byte_by_byte(
    limited: Garden, laptop: Page, tmp_path: Path
) -> None:
    """With its ends of line and its comments: in the draft, over a reload, in what is downloaded,
    after an edit by the form, and as the controller takes it."""
    open_plan(laptop, limited)
    _read(laptop, _file(tmp_path, RETURNS))
    wait_told(laptop, "other.toml stands in the text. Nothing is saved yet")
    assert draft(laptop)["text"] == RETURNS
    expect(text_field(laptop)).to_have_value(RETURNS.replace("\r\n", "\n"))
    assert _written(laptop)[1] == RETURNS.encode()
    laptop.reload()
    expect(laptop.get_by_role("heading", name="Changes to revision 1")).to_be_visible()
    assert draft(laptop)["text"] == RETURNS

    edit(laptop, {"do": "set", "at": "loads.tower.watts", "value": 23})
    edit(
        laptop,
        {"do": "add", "at": "sensors.air", "value": {"measures": "air_temperature"}},
    )
    added = '\n[sensors.air]\nmeasures = "air_temperature"\n'.replace("\n", "\r\n")
    expected = RETURNS.replace("watts = 22", "watts = 23") + added
    assert draft(laptop)["text"] == expected
    save_button(laptop).click()
    wait_told(laptop, "Revision 2 is in force.")
    assert plan_in_force(limited)["text"] == expected
    kept = limited.daemon.call("plan.text", {"revision": 2})["text"]
    assert kept.encode() == expected.encode()


def test_typing_keeps_the_ends_of_all_lines(limited: Garden, laptop: Page, tmp_path: Path) -> None:
    """A field of text knows one end of line; the file keeps the one that it has, new lines too."""
    open_plan(laptop, limited)
    _read(laptop, _file(tmp_path, RETURNS))
    field = text_field(laptop)
    _at_end_of(field, "# by night")
    laptop.keyboard.type(", in May")
    laptop.keyboard.press("Enter")
    laptop.keyboard.type("# and June")
    expected = RETURNS.replace("# by night", "# by night, in May\r\n# and June")
    assert draft(laptop)["text"] == expected
    assert draft(laptop)["isFit"] is True
    before = field.evaluate("(field) => field.value.slice(0, field.selectionStart)")
    assert before.endswith("# by night, in May\n# and June")


def test_typing_keeps_each_end_where_lines_end_in_two_ways(
    limited: Garden, laptop: Page, tmp_path: Path
) -> None:
    """As files have it that two editors wrote: only the line that is typed in changes."""
    mixed = LIMITED.replace("format = 1\n", "format = 1\r\n")
    open_plan(laptop, limited)
    _read(laptop, _file(tmp_path, mixed))
    _at_end_of(text_field(laptop), "# by night")
    laptop.keyboard.type("!")
    assert draft(laptop)["text"] == mixed.replace("# by night", "# by night!")


def test_a_new_line_ends_as_the_one_in_which_it_is_begun(
    limited: Garden, laptop: Page, tmp_path: Path
) -> None:
    """Where lines end in two ways; what is taken away there takes nothing else with it."""
    mixed = LIMITED.replace("format = 1\n", "format = 1\r\n")
    open_plan(laptop, limited)
    _read(laptop, _file(tmp_path, mixed))
    field = text_field(laptop)
    for line, end in (("form", "\r\n"), ("# by ni", "\n")):
        _at_end_of(field, line)
        laptop.keyboard.press("Enter")
        assert draft(laptop)["text"] == mixed.replace(line, line + end, 1)
        laptop.keyboard.press("Backspace")
        assert draft(laptop)["text"] == mixed
    field.fill("")
    assert draft(laptop)["text"] == ""


def test_the_draft_is_back_where_typing_is_taken_back(
    limited: Garden, laptop: Page, tmp_path: Path
) -> None:
    """By the field's own undo, and by the bar's, which goes back to before the file."""
    open_plan(laptop, limited)
    _read(laptop, _file(tmp_path, RETURNS))
    field = text_field(laptop)
    _at_end_of(field, "# by day")
    laptop.keyboard.type("x")
    laptop.keyboard.press("Backspace")
    assert draft(laptop)["text"] == RETURNS
    undo = laptop.locator("#page-bar").get_by_role("button", name="Undo: typing in the text")
    undo.click()
    laptop.locator("#page-bar").get_by_role("button", name="Undo: reading other.toml").click()
    assert draft(laptop)["text"] == LIMITED
    assert draft(laptop)["isChanged"] is False


def test_the_tab_key_goes_on_to_the_next_control(limited: Garden, laptop: Page) -> None:
    """Nobody is caught in the text who has no mouse; it writes nothing."""
    open_plan(laptop, limited)
    field = text_field(laptop)
    field.focus()
    controls = laptop.locator("#text-home button:visible")
    expect(controls.last).to_have_text("Read a file…")
    for control in controls.all():
        laptop.keyboard.press("Tab")
        expect(control).to_be_focused()
    for _ in controls.all():
        laptop.keyboard.press("Shift+Tab")
    expect(field).to_be_focused()
    assert draft(laptop)["text"] == LIMITED


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"#" * (256 * 1024 + 1), "other.toml is too big: a plan has at most 256 kB."),
        ("# für den Tünnel\n".encode("latin-1"), "other.toml is not UTF-8 text"),
        (LIMITED.encode("utf-16"), "other.toml is not UTF-8 text"),
    ],
)
def test_a_file_that_is_no_text_leaves_the_draft_alone(
    limited: Garden, phone: Page, tmp_path: Path, data: bytes, told: str
) -> None:
    """It is said what is wrong with it and how to mend that; the next file is read all the same."""
    open_plan(phone, limited)
    edit(phone, {"do": "set", "at": "loads.tower.watts", "value": 23})
    before = draft(phone)["text"]
    _read(phone, _file(tmp_path, data))
    wait_told(phone, told)
    assert draft(phone)["text"] == before
    _read(phone, _file(tmp_path, RETURNS))
    wait_told(phone, "other.toml stands in the text.")
    assert draft(phone)["text"] == RETURNS


def test_a_mark_of_bytes_at_the_start_is_no_part_of_the_text(
    limited: Garden, phone: Page, tmp_path: Path
) -> None:
    """Some editors write one; the plan is fit without it."""
    open_plan(phone, limited)
    _read(phone, _file(tmp_path, RETURNS.encode("utf-8-sig")))
    wait_told(phone, "other.toml stands in the text.")
    told = draft(phone)
    assert (told["text"], told["isFit"]) == (RETURNS, True)


def test_a_file_with_errors_can_be_mended_in_the_text(
    limited: Garden, laptop: Page, tmp_path: Path
) -> None:
    """Each error is told with its line, which is marked and gone to; the form shows what it can."""
    broken = RETURNS.replace(DAY, 'cycle = "15x on, 15m off"')
    open_plan(laptop, limited)
    _read(laptop, _file(tmp_path, broken))
    number = broken.split("\r\n").index('cycle = "15x on, 15m off"') + 1
    expect(laptop.locator(".line-numbers .is-error")).to_have_text([f"! {number}"])
    expect(laptop.locator(".line-numbers > span")).to_have_count(broken.count("\n") + 1)
    expect(laptop.locator("#as-text")).to_contain_text("One thing is wrong:")
    laptop.get_by_role("button", name=f"Go to line {number}").click()
    expect(text_field(laptop)).to_be_focused()
    laptop.keyboard.type(DAY)
    expect(laptop.locator(".line-numbers .is-error")).to_have_count(0)
    told = draft(laptop)
    assert (told["text"], told["isFit"]) == (RETURNS, True)


def test_a_guest_reads_and_downloads(limited: Garden, phone: Page) -> None:
    """Typing does nothing, and no file is asked for; the cursor may go through it."""
    kept = limited.folder / "passcode"
    write_passcode(kept, stored("wet roots hang low"))
    settings = {"passcode_path": str(kept), "guests_may_read": True}
    with PageProcess(limited.daemon.socket_path, **settings) as page:
        phone.goto(f"{page.url}/plan")
        expect(phone.locator("#plan")).to_be_visible(timeout=30_000)
        field = text_field(phone)
        expect(field).to_have_value(LIMITED)
        expect(field).not_to_be_editable()
        field.focus()
        phone.keyboard.type("x")
        expect(field).to_have_value(LIMITED)
        assert draft(phone)["text"] == LIMITED
        expect(phone.get_by_role("button", name="Read a file…")).to_be_hidden()
        assert _written(phone) == ("plan-1.toml", LIMITED.encode())
