"""The figures of water, one plan or two side by side: ranges, units, the solution's strength."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

import pytest
from playwright.sync_api import expect

from tests.browser import looks
from tests.browser.conftest import grown
from tests.browser.dry_run_view import choose_file, open_dry_run, run, said
from tests.browser.large_text import broken_words, enlarge
from tests.browser.plan_view import edit, open_plan
from tests.browser.test_page_water import PLAN

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Locator, Page

    from tests.browser.conftest import Garden

FED: Final = PLAN + "ec_ms_per_cm = 1.4\nppm_scale = 700\n"
# Rests twice as long by day: roots get drier.
DRIER: Final = FED.replace("15m on, 15m off", "5m on, 40m off")


@pytest.fixture(scope="module")
def fed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """The terrace again, with nutrients in its reservoir; nothing is ever saved."""
    with grown(tmp_path_factory.mktemp("fed"), FED) as garden:
        yield garden


def _cell(window: Page, kind: str, name: str, figure: str) -> Locator:
    row = f'[data-water="{kind}"] [data-load="{name}"] [data-figure="{figure}"]'
    return window.locator(row).locator("td").first


def _told(folder: Path, text: str, window: Page) -> Any:
    """What the command line tells of the days that the form asks for."""
    start = window.get_by_label("From", exact=True).input_value()
    plan = folder / "asked.toml"
    plan.write_text(text, encoding="utf-8")
    return said(folder, plan, start, 7).account


def test_the_strength_of_the_solution_is_told(fed: Garden, laptop: Page, tmp_path: Path) -> None:
    """In mS/cm, with its range, and in ppm on the scale of the plan's meter."""
    open_dry_run(laptop, fed)
    run(laptop)
    tank = _told(tmp_path, FED, laptop)["reservoirs"]["tank"]
    assert tank["ppm_scale"] == 700
    strength = tank["end_ec_ms_per_cm"]
    cell = _cell(laptop, "reservoirs", "tank", "strength")
    expect(cell.locator(".account-after")).to_have_text(f"{strength['likely']:.1f}\u00a0mS/cm")
    beside = cell.locator(".account-beside")
    expect(beside).to_contain_text(f"{strength['low']:.1f} to {strength['high']:.1f}\u00a0mS/cm")
    ppm = round(strength["likely"] * 700 / 50) * 50
    expect(beside).to_contain_text(f"{ppm:,}\u00a0ppm on the 700 scale")


def test_ranges_of_both_plans_are_told(fed: Garden, laptop: Page, tmp_path: Path) -> None:
    """What is likely may hardly change where the worst case does."""
    other = tmp_path / "drier.toml"
    other.write_text(DRIER, encoding="utf-8")
    open_dry_run(laptop, fed)
    laptop.get_by_label("Beside it").select_option(label="a plan file…")
    choose_file(laptop, "Choose a plan file", other, number=1)
    run(laptop)
    ranges = [
        [f"{one['stands']['heads']['driest_share'][end] * 100:.0f}" for end in ("low", "high")]
        for one in (_told(tmp_path, DRIER, laptop), _told(tmp_path, FED, laptop))
    ]
    now, before = (rf"{low} to {high}\s%" for low, high in ranges)
    beside = _cell(laptop, "stands", "heads", "driest").locator(".account-beside")
    expect(beside).to_have_text(re.compile(f"^{now} instead of {before}, at "))


def test_one_point_is_one(fed: Garden, laptop: Page) -> None:
    """A difference of shares is told in points, one of them in the singular."""
    open_dry_run(laptop, fed)
    said_words = laptop.evaluate(
        """async () => {
          const { standFigures } = await import("/static/water/figures.js");
          const driest = standFigures(() => "")[0];
          return [0.01, 0.03].map((share) => driest.more(share, 0.5));
        }"""
    )
    assert said_words == ["1\u00a0point", "3\u00a0points"]


@pytest.mark.parametrize(
    ("amount", "text"),
    [
        pytest.param(0.0129, "€0.013", id="a day of a small pump"),
        pytest.param(0.0, "€0.00", id="nothing"),
        pytest.param(0.31, "€0.31", id="a price"),
        pytest.param(12.3456, "€12.35", id="a month of lamps"),
    ],
)
def test_a_cost_below_a_cent_is_not_nothing(
    fed: Garden, laptop: Page, amount: float, text: str
) -> None:
    """A small pump costs parts of a cent a day; two figures tell them from each other."""
    open_dry_run(laptop, fed)
    told = laptop.evaluate(
        """async (amount) => {
          const { money } = await import("/static/preview/figures.js");
          return money(amount, "EUR");
        }""",
        amount,
    )
    assert told == text


def test_a_difference_is_that_of_the_figures_beside_it(fed: Garden, laptop: Page) -> None:
    """180 to 100 mL/min is 80 less, whatever the model has behind the second figure."""
    open_dry_run(laptop, fed)
    told = laptop.evaluate(
        """async () => {
          const { LIFT_FIGURES, standFigures } = await import("/static/water/figures.js");
          const { changeOf } = await import("/static/preview/change.js");
          const lift = (likely) => ({ flow_per_plant_l_per_h: { likely } });
          const stand = (likely) => ({ driest_share: { likely } });
          const change = (figure, before, after) =>
            changeOf(figure, { before, after, isAlone: false }, null);
          return [
            change(LIFT_FIGURES[1], lift(10.6), lift(6.2)).amount,
            change(standFigures(() => "")[0], stand(0.864), stand(0.636)).amount,
          ];
        }"""
    )
    # 10.6 L/h are 177 mL/min, told as 180; 6.2 are 103, told as 100. 86 % and 64 % likewise.
    assert told == ["80\u00a0mL/min", "22\u00a0points"]


def test_names_of_figures_stay_in_the_window_at_twice_the_size(fed: Garden, phone: Page) -> None:
    """Those of water are long; they take a second line."""
    open_dry_run(phone, fed)
    enlarge(phone)
    run(phone)
    expect(_cell(phone, "stands", "heads", "driest")).to_be_visible()
    assert [one for one in looks.overflow(phone) if one.startswith("TH")] == []
    assert broken_words(phone) == []


def test_a_finding_of_the_preview_has_the_plants_own_name(fed: Garden, laptop: Page) -> None:
    """As it is written, and nothing beside it."""
    open_plan(laptop, fed)
    edit(
        laptop,
        {"do": "rename", "at": "stands.heads", "value": "old_heads"},
        {"do": "set", "at": "loads.tower.spans.0.cycle", "value": "5m on, 40m off"},
    )
    found = laptop.locator('#preview [data-where^="stands.old_heads"] .finding-where').first
    expect(found).to_have_text(re.compile(r"^old_heads( \(line \d+\)|: .*)?$"))
