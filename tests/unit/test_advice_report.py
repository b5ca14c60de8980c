"""Advice as text and as a picture: what is told is what was found."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from xml.etree.ElementTree import Element, fromstring

import pytest

from controller.advice.advice import Advice, Hindrance
from controller.advice.candidate import Origin
from controller.advice.search import advise
from controller.core.calendar import Calendar
from controller.core.phrases import rate_words
from controller.report.advice_tables import row_name
from controller.report.advice_text import advice_text, sentences
from controller.report.picture.advice import draw_advice
from controller.report.text_cells import width_of
from tests.advice_gardens import garden, question
from tests.worlds import stand

STEPS = (Origin.LIKELY, Origin.CAREFUL, Origin.DRIEST)
_SVG = "{http://www.w3.org/2000/svg}"


@cache
def found() -> Advice:
    """Advice for a grown stand and one of seedlings, with two cycles tried."""
    young = stand(age_days=12, air=None, medium="mineral-wool", medium_ml=400.0)
    plan = garden(stand(air=None), young)
    return advise(question(plan, "15m on, 15m off", "10m on, 20m off"), "pump")


@cache
def calendar() -> Calendar:
    """That of the garden."""
    return Calendar(garden().site)


def text_of(advice: Advice, *, width: int = 80, currency: str = "") -> str:
    """The advice on a terminal without colours."""
    return advice_text(advice, calendar(), currency=currency, width=width, is_colour=False)


@pytest.mark.parametrize("width", [40, 60, 80, 100])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    """Tables that are too wide become entries; nothing is left out. TOML is never broken."""
    text = text_of(found(), width=width)
    assert all(width_of(line) <= width for line in text.split("\n"))
    assert found().lines in text
    for place, row in enumerate(found().rows):
        assert re.search(rf"^ *{place + 1}[*]?  ?\S", text, re.MULTILINE)
        assert rate_words(row.pump.hours_a_day) in text


def test_what_rows_have_in_common_is_told_by_their_numbers() -> None:
    """Steps of care, and longer waterings; where there is one step or none, nothing of them."""
    text = " ".join(text_of(found()).split())
    origins = [row.candidate.origin for row in found().rows]
    steps = [place for place, one in enumerate(origins, 1) if one in STEPS]
    assert f"From row {steps[0]} to {steps[-1]} rests get shorter" in text
    longer = [str(place) for place, one in enumerate(origins, 1) if one is Origin.LONGER]
    assert f"Rows {', '.join(longer)} water for longer and start less often" in text
    rows = found().rows
    few = replace(found(), rows=(rows[0], rows[1], rows[int(longer[0]) - 1]), chosen=1, leanest=1)
    text = " ".join(text_of(replace(few, safest=None)).split())
    assert "rests get shorter" not in text
    assert "Row 3 waters for longer and starts less often" in text


def test_every_row_has_a_column_for_each_stand() -> None:
    """Driest, likely and wettest roots, and the band of the drawn plants."""
    lines = text_of(found(), width=100).split("\n")
    head = next(place for place, line in enumerate(lines) if " s0 " in line and " s1 " in line)
    rows = lines[head + 1 : head + 1 + len(found().rows)]
    for line, row in zip(rows, found().rows, strict=True):
        for name in ("s0", "s1"):
            shares = " ".join(f"{100 * share:.0f}" for share in row.lefts[name])
            band = row.bands[name]
            assert f"{shares} ({100 * band.p5:.0f}-{100 * band.p95:.0f})" in line


def test_the_advised_row_has_a_star() -> None:
    """And no other has."""
    chosen = found().chosen
    assert chosen is not None
    names = [row_name(found(), place) for place in range(len(found().rows))]
    assert [place for place, name in enumerate(names) if "*" in name] == [chosen]
    assert names[0].strip().startswith("1  now: ")
    assert names[-1].endswith("try: 10m on, 20m off")


def test_sentences_begin_with_what_is_advised() -> None:
    """With pump hours through the period beside those of the present plan."""
    first, drawn, *_, second, one, other = sentences(found())
    row, whole = found().row, found().whole
    assert row is not None
    assert whole is not None
    assert first.startswith(f"Advised: {row.candidate.label}. ")
    assert f"{rate_words(whole.pump.hours_a_day)} h a day" in first
    assert f"the present plan has {rate_words(found().present.pump.hours_a_day)} h" in first
    assert second.startswith("The present plan ")
    assert [one.partition(":")[0] for one in (one, other)] == [
        f"{row.candidate.label} {'keeps' if row.keeps_likely else 'does not keep'} it"
        for row in found().rows[-2:]
    ]
    assert drawn.startswith("Of 20 plants drawn at random")


def test_a_hindrance_is_told_with_its_mend() -> None:
    """Where nothing fits there is a reason instead of lines."""
    advice = replace(
        found(),
        chosen=None,
        whole=None,
        hindrances=(Hindrance("06:00", "little flow", "add some"),),
    )
    text = text_of(advice)
    assert "Nothing within the bounds of pump keeps the reserve of likely roots." in text
    assert "From 06:00: little flow. To mend: add some." in text
    assert "[[loads.pump.spans]]" not in text


def test_candidates_that_failed_in_the_period_are_named() -> None:
    """A worst day is not all."""
    failed = (found().rows[2].candidate,)
    text = text_of(replace(found(), chosen=None, whole=None, failed=failed))
    assert "keeps the reserve of likely roots through the period" in " ".join(text.split())
    assert f"every day of the period: {failed[0].label}." in " ".join(text.split())


def test_a_row_that_breaks_a_limit_is_marked() -> None:
    """With the limit's name below the table."""
    first, *others = found().rows
    broken = replace(first, breaks=("starts_per_day",))
    advice = replace(found(), rows=(broken, *others))
    assert row_name(advice, 0).startswith(" 1! now: ")
    assert "! breaks a limit of pump: starts_per_day." in text_of(advice)
    assert "!" not in text_of(found())


def test_money_is_told_where_the_plan_has_a_price() -> None:
    """A column in its currency; none without."""
    assert "EUR" in text_of(found(), currency="EUR")
    assert "EUR" not in text_of(found())


# The picture


def picture() -> Element:
    """The picture, parsed."""
    return fromstring(draw_advice([found()]))  # noqa: S314 - our own


def test_each_row_of_each_stand_is_a_dot_at_its_hours_and_share() -> None:
    """Left to right by pump hours, the higher the more is left; the advised one has a ring."""
    groups = [
        group for group in picture().iter(f"{_SVG}g") if group.get("role") == "graphics-symbol img"
    ]
    assert len(groups) == 2
    for group, name in zip(groups, ("s0", "s1"), strict=True):
        dots = [
            (float(dot.get("cx", "")), float(dot.get("cy", "")))
            for dot in group.iter(f"{_SVG}circle")
            if dot.get("class") == "i-pump"
        ]
        rings = [dot for dot in group.iter(f"{_SVG}circle") if dot.get("class") == "bar l-change"]
        assert len(dots) == len(found().rows)
        assert len(rings) == 1
        hours = [row.pump.hours_a_day for row in found().rows]
        lefts = [row.lefts[name].likely for row in found().rows]
        (x0, y0), (x1, y1) = dots[0], dots[found().chosen or 0]
        assert (x0 - x1) * (hours[0] - hours[found().chosen or 0]) > 0
        scale = (x0 - x1) / (hours[0] - hours[found().chosen or 0])
        for (x, y), hour, left in zip(dots, hours, lefts, strict=True):
            assert x - x0 == pytest.approx(scale * (hour - hours[0]), abs=0.01)
            assert (y - y0) * (left - lefts[0]) <= 0
        assert y1 >= y0


def test_the_picture_tells_itself_to_those_who_do_not_see_it() -> None:
    """A title, the sentences, and each stand's rows in words."""
    root = picture()
    assert root.findtext(f"{_SVG}title") == "Advice for pump"
    assert root.findtext(f"{_SVG}desc") == " ".join(sentences(found()))
    labels = " ".join(group.get("aria-label", "") for group in root.iter(f"{_SVG}g"))
    for row in found().rows:
        assert row.candidate.label in labels


def test_the_picture_is_the_same_for_the_same_advice() -> None:
    """Byte for byte, and nothing in it comes from elsewhere."""
    text = draw_advice([found()])
    assert text == draw_advice([found()])
    assert "<script" not in text
    assert text.count("http") == 1  # the namespace
    assert "prefers-color-scheme:dark" in text


def test_numbers_above_a_plot_do_not_lie_on_each_other() -> None:
    """Those that are near in pump hours stand on rows of their own."""
    for group in picture().iter(f"{_SVG}g"):
        if group.get("role") != "graphics-symbol img":
            continue
        texts = [
            (float(text.get("x", "")), float(text.get("y", "")))
            for text in group.findall(f"{_SVG}text")
            if (text.text or "").rstrip("*").isdigit()
        ]
        assert len(texts) == len(found().rows)
        for place, (x, y) in enumerate(texts):
            for other_x, other_y in texts[place + 1 :]:
                assert y != other_y or abs(x - other_x) > 5
