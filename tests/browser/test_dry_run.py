"""The view Dry run in a real browser: its numbers are the command line's, whatever is chosen."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from playwright.sync_api import expect

from controller.core.phrases import amount_words, length_words
from controller.core.units import parse_rfc3339
from controller.shell.examples import example_text
from tests.browser.conftest import Garden
from tests.browser.dry_run_view import (
    FAULTS,
    choose_file,
    open_dry_run,
    run,
    said,
    saved,
    weather_text,
)

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

_ZONE = ZoneInfo("Europe/Zurich")


def _other(folder: Path) -> Path:
    """Another plan in a file: it waters less at night."""
    path = folder / "drier.toml"
    text = example_text("hot-afternoon").replace("15m on, 45m off", "10m on, 50m off")
    path.write_text(text, encoding="utf-8")
    return path


def _figures(load: dict[str, Any]) -> dict[str, str]:
    return {
        "gap": length_words(round(load["longest_dry_gap_s"] * 1000)),
        "starts": f"{load['starts']:,}",
        "on": length_words(round(load["on_s"] * 1000)),
        "longest": length_words(round(load["longest_on_s"] * 1000)),
        "energy": f"{amount_words(load['energy_kwh'])} kWh",
    }


def _details(load: dict[str, Any]) -> dict[str, str]:
    return {
        "gapFrom": _moment(load["longest_dry_gap_from_utc"]),
        "longestFrom": _moment(load["longest_on_from_utc"]),
        "startsADay": f"{load['most_starts_a_day']:,}",
        "onADay": length_words(round(load["most_on_a_day_s"] * 1000)),
        "switches": f"{load['switches']:,}",
        "contact": f"{round(100 * load['contact_share_a_year'], 1):g} %",
    }


def _moment(text: str) -> str:
    at = datetime.fromtimestamp(parse_rfc3339(text) // 1000, UTC).astimezone(_ZONE)
    return f"{at:%a} {at.day} {at:%b}, {at:%H:%M:%S}"


def _plain(text: str) -> str:
    """Without the spaces at which no line may break."""
    return text.replace("\xa0", " ")


def _shown_figures(window: Page, which: str) -> dict[str, str]:
    rows = window.locator(".account-load tbody tr:visible")
    return {
        row.get_attribute("data-figure") or "": _plain(row.locator(which).inner_text())
        for row in rows.all()
    }


def _shown_details(window: Page, table: int) -> dict[str, str]:
    cells = window.locator(".figures").nth(table).locator("td")
    return {
        cell.get_attribute("data-figure") or "": _plain(cell.inner_text()) for cell in cells.all()
    }


def _findings(window: Page, column: int = 0) -> list[str]:
    column_ = window.locator(".verdict").nth(column).locator("xpath=..")
    return [item.inner_text() for item in column_.locator(".finding").all()]


def _assert_tells(shown: list[str], findings: list[dict[str, str]]) -> None:
    """Each finding stands there once, by its message; the same of several places is told once."""
    messages = list(dict.fromkeys((one["message"], one["mend"]) for one in findings))
    assert len(shown) == len(messages)
    for text, (message, mend) in zip(shown, messages, strict=True):
        assert message.lower() in text.lower()
        assert mend in text


def test_a_week_is_the_command_lines(hot: Garden, laptop: Page, tmp_path: Path) -> None:
    """Every number, the picture and the files, of the plan in force."""
    by_command = said(tmp_path, hot.folder / "plan.toml", "2026-07-12", 7)
    load = by_command.account["loads"]["pump"]
    open_dry_run(laptop, hot)
    laptop.get_by_label("From").fill("2026-07-12")
    run(laptop)
    assert _shown_figures(laptop, ".account-after") == _figures(load)
    assert _shown_details(laptop, 0) == _details(load)
    result = laptop.locator("#outcome")
    expect(result).to_contain_text("Sun, 12 Jul 2026 to Sat, 18 Jul 2026, 7 days")
    expect(result).to_contain_text(by_command.account["air"])
    expect(result).not_to_contain_text("All loads")  # there is one
    watts, at = (by_command.account[key] for key in ("watts_max", "watts_max_at_utc"))
    expect(result).to_contain_text(f"At most {watts:g} W at once, first {_moment(at)}")
    _assert_tells(_findings(laptop), by_command.account["findings"])

    picture = laptop.locator("img.picture")
    assert picture.evaluate("(image) => image.decode().then(() => image.naturalWidth > 0)")
    words = picture.get_attribute("alt") or ""
    assert "pump: 2" in words
    assert "waterings" in words
    svg = saved(laptop, "Picture (SVG)")
    assert svg.replace("the plan in force (revision 1)", "plan.toml") == by_command.picture
    assert saved(laptop, "Every switching (CSV)") == by_command.events
    assert json.loads(saved(laptop, "Figures (JSON)")) == by_command.account


def test_two_plans_in_given_weather_and_trouble(hot: Garden, laptop: Page, tmp_path: Path) -> None:
    """Side by side, as `--compare`, `--weather` and `--faults` tell it; the weather file is
    Latin-1, as many are, and is understood byte by byte."""
    other, weather, script = _other(tmp_path), tmp_path / "july.epw", tmp_path / "faults.toml"
    weather.write_bytes(_epw())
    script.write_text(FAULTS, encoding="utf-8")
    by_command = said(
        tmp_path, hot.folder / "plan.toml", "2026-07-12", 3,
        *("--weather", str(weather), "--faults", str(script), "--compare", str(other)),
    )  # fmt: skip
    open_dry_run(laptop, hot, "?from=2026-07-12&days=3")
    laptop.get_by_label("Beside it").select_option("file")
    choose_file(laptop, "Choose a plan file", other, number=1)
    laptop.get_by_label("as in a weather file").check()
    choose_file(laptop, "Choose a weather file", weather)
    laptop.get_by_label("a script").check()
    laptop.get_by_label("Read it from a file").set_input_files(script)
    expect(laptop.get_by_label("Fault script (TOML)")).to_have_value(FAULTS)
    run(laptop)

    account, compared = by_command.account, by_command.account["compared"]
    first, second = account["loads"]["pump"], compared["loads"]["pump"]
    figures = {key: (_figures(first)[key], text) for key, text in _figures(second).items()}
    shown = _shown_figures(laptop, ".account-after")
    assert shown == {key: after for key, (_, after) in figures.items()}
    before = {key: one for key, (one, after) in figures.items() if one != after}
    visible = [_plain(one) for one in laptop.locator(".account-before:visible").all_inner_texts()]
    assert visible == list(before.values())
    assert _shown_details(laptop, 0) == _details(first)
    assert _shown_details(laptop, 1) == _details(second)
    words = compared["differences"]["pump"]["words"]
    expect(laptop.locator(".differences")).to_contain_text(words[1:])
    _assert_tells(_findings(laptop, 0), account["findings"])
    _assert_tells(_findings(laptop, 1), compared["findings"])
    assert len(laptop.locator(".notices > li").all()) == len(
        [*account["notices"], *compared["notices"]]
    )
    expect(laptop.locator("#outcome")).to_contain_text(account["air"])

    told = json.loads(saved(laptop, "Figures (JSON)"))
    compared["plan"] = "drier.toml"  # the command line tells the path that it was given
    assert told == account
    assert saved(laptop, "Every switching (CSV)") == by_command.events


def _epw() -> bytes:
    """Three invented days as EPW: eight lines of head, then an hour a line, 35 fields each.
    Source: EnergyPlus Auxiliary Programs, "EnergyPlus Weather File (EPW) Data Dictionary"."""
    head = [
        "LOCATION,T\u00fcnnel,-,-,invented,-,47.1,8.3,1.0,450",
        "DESIGN CONDITIONS,0", "TYPICAL/EXTREME PERIODS,0", "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0", "COMMENTS 1", "COMMENTS 2",
        "DATA PERIODS,1,1,Data,Sunday,7/11,7/16",
    ]  # fmt: skip
    rows = []
    for day in range(11, 17):
        for hour in range(1, 25):
            air = 18 + 18 * (1 - abs(hour - 15) / 15)
            fields = [
                *("2026", "7", str(day), str(hour), "60", "?9"),
                *(f"{air:.1f}", "12.0", "50", "96000"),
                *(["0"] * 11),
                *("2.0", "5", "5", "20", "77777", "9", "999999999", "10", "0.1", "0", "88"),
                *("0.2", "0", "1"),
            ]
            rows.append(",".join(fields))
    return ("\n".join([*head, *rows]) + "\n").encode("latin-1")


def test_eighteen_columns_stand_in_one_table(hot: Garden, phone: Page, tmp_path: Path) -> None:
    """With more loads than fit into tables of their own, a row each; the page stays usable."""
    plan = tmp_path / "rows.toml"
    plan.write_text(example_text("greenhouse"), encoding="utf-8")
    by_command = said(tmp_path, plan, "2026-06-20", 3)
    open_dry_run(phone, hot, "?plan=file&from=2026-06-20&days=3")
    choose_file(phone, "Choose a plan file", plan)
    run(phone)
    table = phone.locator(".figures").first
    for name, load in by_command.account["loads"].items():
        for key, text in _figures(load).items():
            cell = table.locator(f'td[data-load="{name}"][data-figure="{key}"]')
            expect(cell).to_have_text(text)
    kwh = sum(load["energy_kwh"] or 0 for load in by_command.account["loads"].values())
    expect(phone.locator("#outcome")).to_contain_text(f"All loads: {amount_words(kwh)} kWh")
    assert phone.evaluate("document.documentElement.scrollWidth") == 390


def test_weather_as_plain_csv(hot: Garden, phone: Page, tmp_path: Path) -> None:
    """It decides when the variant for heat is entered; what the file lacks is told."""
    weather = tmp_path / "july.csv"
    weather.write_text(weather_text(), encoding="utf-8")
    by_command = said(
        tmp_path, hot.folder / "plan.toml", "2026-07-12", 2, "--weather", str(weather)
    )
    open_dry_run(phone, hot, "?from=2026-07-12&days=2&weather=file")
    choose_file(phone, "Choose a weather file", weather)
    run(phone)
    assert json.loads(saved(phone, "Figures (JSON)")) == by_command.account
    entered = [one for one in by_command.account["notices"] if one["event"] == "variant entered"]
    assert entered
    phone.get_by_text("between variants").tap()
    expect(phone.locator(".notices li", has_text="Variant entered")).to_have_count(len(entered))
