"""The picture: what is drawn is what happened, and anybody can read it."""

from __future__ import annotations

import random
import re
from itertools import pairwise
from typing import Any, NamedTuple
from xml.etree.ElementTree import Element, fromstring

import pytest

from controller.core.anchor import SunEvent
from controller.core.orders import AlarmCode, Event, Notice, Reason, Why
from controller.core.schedule import Schedule
from controller.core.units import HOUR_MS, MINUTE_MS, Instant, parse_rfc3339
from controller.dry_run.account_keeper import AccountKeeper
from controller.report.picture import daybook
from controller.report.picture.draw import Run, draw, draw_pair
from controller.report.picture.recorder import PictureRecorder
from controller.report.picture.scene import WIDTH, scene_of
from controller.report.picture.svg import text_width
from tests.planned_runs import PLANNED, load, midnight, play, schedule_of

M, H = MINUTE_MS, HOUR_MS
ZURICH: dict[str, object] = {"latitude": 47.1, "longitude": 8.3, "timezone": "Europe/Zurich"}
SVG = "{http://www.w3.org/2000/svg}"
KINDS = ("pump", "lamp", "fan", "valve", "heater")
FRAME = daybook.FRAME


class Played(NamedTuple):
    """A run that was played, with all that is drawn from it."""

    schedule: Schedule
    keeper: AccountKeeper
    recorder: PictureRecorder

    @property
    def text(self) -> str:
        """The picture."""
        return draw(
            self.schedule, self.keeper.account, self.recorder.recording, plan_name="porch.toml"
        )

    @property
    def root(self) -> Element:
        """The picture, parsed."""
        return parsed(self.text)


def parsed(text: str) -> Element:
    """An SVG as its root element; fails where it is not well formed."""
    return fromstring(text)  # noqa: S314 - a picture that we have just drawn ourselves


def days_of(
    loads: dict[str, dict[str, Any]], day: str, days: int, site: dict[str, object] | None = None
) -> Played:
    """A plan carried out undisturbed over whole dates."""
    schedule = schedule_of(loads, site=site or ZURICH)
    played = Played(schedule, AccountKeeper(schedule), PictureRecorder(schedule))
    start, end = midnight(schedule, day), midnight(schedule, day, days)
    play(schedule, start, end, played.keeper, played.recorder)
    return played


def troubled(*told: tuple[int, bool, bool, Reason] | tuple[int, Notice]) -> Played:
    """A day of two pumps of which the first is told (minutes after midnight, is_on, is_wet,
    reason); notices stand among the changes."""
    schedule = schedule_of({"east": load("off"), "west": load("off")}, site=ZURICH)
    played = Played(schedule, AccountKeeper(schedule), PictureRecorder(schedule))
    start = midnight(schedule, "2026-06-01")
    for listener in (played.keeper, played.recorder):
        listener.begin(start, [(True, PLANNED), (True, PLANNED)])
        for entry in told:
            at = start + entry[0] * M
            if len(entry) == 2:
                listener.notice(at, entry[1])
            else:
                _, is_on, is_wet, reason = entry
                listener.change(at, 0, reason, is_on=is_on, is_wet=is_wet)
        listener.finish(start + 24 * H)
    return played


def tags(root: Element, tag: str) -> list[Element]:
    """All elements of a kind, in order."""
    return list(root.iter(f"{SVG}{tag}"))


def texts(root: Element) -> list[str]:
    """All visible text."""
    return [element.text or "" for element in tags(root, "text")]


def rows_of(root: Element) -> list[Element]:
    """The groups of the rows."""
    return [g for g in tags(root, "g") if g.get("role") == "graphics-object group"]


def drawn_minutes(lane: Element) -> list[tuple[float, float, float]]:
    """(from, to, height) of each bar of a lane, in minutes of the dial, dashes told singly."""
    bars = []
    for element in lane.iter(f"{SVG}path"):
        dashes = [float(x) for x in (element.get("stroke-dasharray") or "").split()]
        height = float(element.get("stroke-width") or 0)
        for x, y, width in re.findall(r"M([\d.]+) ([\d.]+)h([\d.]+)", element.get("d") or ""):
            begin, end = float(x), float(x) + float(width)
            if not dashes:
                bars.append((begin, end, height))
                continue
            on, off = dashes
            while begin < end - 1e-6:
                bars.append((round(begin, 3), round(min(begin + on, end), 3), height))
                begin += on + off
            assert y
    return sorted(bars)


def lanes_of(row: Element) -> list[Element]:
    """The lanes of a row."""
    scaled = next(g for g in row if (g.get("transform") or "").startswith("translate"))
    return list(scaled)


def on_times(schedule: Schedule, place: int, begin: Instant, end: Instant) -> list[list[float]]:
    """The plan's times on within a day, in minutes after its begin."""
    timeline = schedule.loads[place].own
    edges = [begin] if timeline.state_at(begin) else []
    edges += [at for at, _ in timeline.changes(begin, end)]
    edges += [end] if timeline.state_at(end - 1) else []
    minutes = [(edge - begin) / M for edge in edges]
    return [list(pair) for pair in zip(minutes[::2], minutes[1::2], strict=True)]


def test_bars_are_the_times_on() -> None:
    """Each bar of each lane of a week, read back from the picture, is a time on of the plan."""
    loads = {
        "east": load("15m on, 15m off", start="sunrise"),
        "west": load("20m on, 40m off", start="00:10"),
        "lamp": load("on", kind="lamp", start="05:00"),
        "fan": load("3m on, 7m off, 5m on, 9m off", kind="fan"),
    }
    loads["lamp"]["spans"].append({"from": "23:00", "cycle": "off"})
    played = days_of(loads, "2026-06-01", 7)
    for number, row in enumerate(rows_of(played.root)):
        begin = midnight(played.schedule, "2026-06-01", number)
        for place, lane in enumerate(lanes_of(row)):
            drawn = [[low, high] for low, high, _ in drawn_minutes(lane)]
            planned = on_times(played.schedule, place, begin, begin + 24 * H)
            assert [pytest.approx(pair, abs=0.002) for pair in planned] == drawn


def test_an_hour_that_comes_twice_is_drawn_in_halves() -> None:
    """02:00 to 03:00 on the night of summer time's end: both passes, each half as high."""
    played = days_of({"fan": load("on", kind="fan")}, "2026-10-25", 1)
    (lane,) = lanes_of(rows_of(played.root)[0])
    assert drawn_minutes(lane) == [
        (0.0, 120.0, 20.0),
        (120.0, 180.0, 10.0),
        (120.0, 180.0, 10.0),
        (180.0, 1440.0, 20.0),
    ]
    assert "25 h day" in texts(played.root)


def test_an_hour_that_is_skipped_is_hatched() -> None:
    """Nothing is drawn between 02:00 and 03:00, and the legend says why."""
    played = days_of({"fan": load("on", kind="fan")}, "2026-03-29", 1)
    (lane,) = lanes_of(rows_of(played.root)[0])
    assert [bar[:2] for bar in drawn_minutes(lane)] == [(0.0, 120.0), (180.0, 1440.0)]
    assert "23 h day" in texts(played.root)
    assert "Hatched without a ground: hours that the clocks skip." in texts(played.root)


def shade_boxes(root: Element, shade: str) -> list[tuple[float, float]]:
    """(from, to) in minutes of the dial of each box of a shade, in drawing order."""
    (element,) = [p for p in tags(root, "path") if p.get("class") == shade]
    boxes = re.findall(r"M([\d.]+) [\d.]+h([\d.]+)v", element.get("d") or "")
    return [
        (
            (float(x) - FRAME.left) * 1440 / FRAME.width,
            (float(x) + float(w) - FRAME.left) * 1440 / FRAME.width,
        )
        for x, w in boxes
    ]


@pytest.mark.parametrize(
    ("shade", "events"),
    [("day", (SunEvent.SUNRISE, SunEvent.SUNSET)), ("twi", (SunEvent.DAWN, SunEvent.DUSK))],
)
def test_rows_are_shaded_by_the_sun_of_their_date(
    shade: str, events: tuple[SunEvent, SunEvent]
) -> None:
    """The calendar's own times, to a hundredth of a minute."""
    played = days_of({"pump": load("off")}, "2026-09-20", 5)
    calendar = played.schedule.calendar
    expected = []
    for number in range(5):
        begin = midnight(played.schedule, "2026-09-20", number)
        times = [calendar.sun_event_on(event, calendar.date_of(begin)) for event in events]
        expected.append([(at - begin) / M for at in times if isinstance(at, int)])
    drawn = [list(box) for box in shade_boxes(played.root, shade)]
    assert drawn == [pytest.approx(pair, abs=0.01) for pair in expected]


def test_a_row_without_a_sunset_is_light_from_end_to_end() -> None:
    """The sun stays up in June at 69.65 degrees north, and stays down in December."""
    site: dict[str, object] = {"latitude": 69.65, "longitude": 18.96, "timezone": "Europe/Oslo"}
    june = days_of({"pump": load("off")}, "2026-06-20", 2, site)
    assert shade_boxes(june.root, "day") == [(0.0, 1440.0), (0.0, 1440.0)]
    december = days_of({"pump": load("off")}, "2026-12-20", 2, site)
    classes = [element.get("class") for element in tags(december.root, "path")]
    assert "day" not in classes
    assert shade_boxes(december.root, "night") == [(0.0, 1440.0), (0.0, 1440.0)]


def test_only_hours_of_the_run_have_a_ground() -> None:
    """A run from 10:00 to 16:00 is shaded there; the other hours are outlined, and told."""
    schedule = schedule_of({"pump": load("15m on, 15m off")}, site=ZURICH)
    played = Played(schedule, AccountKeeper(schedule), PictureRecorder(schedule))
    start = midnight(schedule, "2026-06-01") + 10 * H
    play(schedule, start, start + 6 * H, played.keeper, played.recorder)
    assert shade_boxes(played.root, "night") == [(600.0, 960.0)]
    assert "Outlined: hours that do not belong to the run." in texts(played.root)


HOT = Reason(Why.VARIANT, detail="hot")
TROUBLE: list[tuple[Any, ...]] = [
    (60, False, False, Reason(Why.NO_POWER)),
    (120, True, True, Reason(Why.RECOVERY)),
    (135, False, False, PLANNED),
    (240, True, True, Reason(Why.HOLD, detail="on")),
    (260, False, False, PLANNED),
    (360, True, False, PLANNED),
    (375, False, False, PLANNED),
    (480, False, False, Reason(Why.LEVEL_LOW, detail="float")),
    (600, True, True, HOT),
    (700, False, False, PLANNED),
    (720, False, False, Reason(Why.WITHOUT_CLOCK)),
    (780, False, False, PLANNED),
    (800, Notice(Event.ALARM_RAISED, "air", AlarmCode.SENSOR_SILENT.value)),
    (840, Notice(Event.ALARM_CLEARED, "air", AlarmCode.SENSOR_SILENT.value)),
    (900, Notice(Event.ALARM_RAISED, "east", f"{AlarmCode.WATERING_MISSED.value}: x")),
    (960, False, False, Reason(Why.STOPPED)),
    (990, False, False, PLANNED),
]


def test_everything_out_of_the_plan_is_marked_by_shape_and_label() -> None:
    """Each with a label, a shape, a bracket and a full text for a pointer at rest."""
    root = troubled(*TROUBLE).root
    labels = [
        "no power",
        "recovery",
        "by hand: on",
        "no water",
        "reservoir low",
        "hot",
        "clock not trusted",
        "air silent",
        "missed",
        "stop switch",
    ]
    marks = [g for g in tags(root, "g") if g.get("role") == "graphics-symbol img"]
    told = {}
    for mark in marks:
        label = next(text.text for text in mark.iter(f"{SVG}text"))
        title = next(mark.iter(f"{SVG}title")).text
        assert title == mark.get("aria-label")
        assert len(list(mark.iter(f"{SVG}path"))) == 2  # bracket and shape
        told[label] = title
    assert set(labels) <= set(told)
    assert told["hot"] == "hot (east): Mon 1 Jun 10:00 to 11:40"
    assert told["no power"] == "no power (everything): Mon 1 Jun 01:00 to 02:00"
    assert told["missed"] == "missed (east): Mon 1 Jun 15:00"


def test_the_legend_tells_what_the_picture_has_and_nothing_else() -> None:
    """A quiet day has no word of faults."""
    quiet = texts(days_of({"pump": load("15m on, 15m off")}, "2026-06-01", 1).root)
    assert "no power: everything is off" not in quiet
    assert "a variant is in force" not in quiet
    assert {"sun up", "civil twilight", "night", "longest dry gap of a pump"} <= set(quiet)
    loud = texts(troubled(*TROUBLE).root)
    assert {"no power: everything is off", "a variant is in force", "held by hand"} <= set(loud)


def test_the_longest_dry_gap_of_each_pump_is_marked() -> None:
    """At its place in the lane of its pump, with its length; lamps have none."""
    loads = {
        "east": load("15m on, 45m off", start="06:00"),
        "west": load("15m on, 30m off", start="06:00"),
        "lamp": load("1h on, 1h off", kind="lamp"),
    }
    played = days_of(loads, "2026-06-01", 1)
    scene = scene_of(played.schedule, played.keeper.account, played.recorder.recording)
    gaps = [mark for mark in scene.marks if mark.label.startswith("longest dry gap")]
    assert sorted((mark.label, mark.places) for mark in gaps) == [
        ("longest dry gap 30 min", (1,)),
        ("longest dry gap 45 min", (0,)),
    ]
    lines = [p for p in tags(played.root, "path") if p.get("class") == "line l-alarm"]
    (in_lanes,) = [p for p in lines if (p.get("d") or "").count("M") == 6]  # 3 strokes a gap
    assert in_lanes.get("d", "").startswith("M")


def test_what_pumps_share_is_marked_once() -> None:
    """Six staggered pumps with gaps of one length: one mark that names how many they are."""
    loads = {f"row{n}": load("15m on, 45m off", start=f"06:0{n}") for n in range(6)}
    played = days_of(loads, "2026-06-01", 2)
    marks = [
        g.get("aria-label") or ""
        for g in tags(played.root, "g")
        if g.get("role") == "graphics-symbol img"
    ]
    assert len(marks) == 1
    assert marks[0].startswith("longest dry gap 45 min (row0 to row5, 6 loads): ")


def test_many_marks_of_one_kind_in_a_row_are_told_as_one() -> None:
    """Five silent hours apart are `air silent ×5`."""
    notices = []
    for hour in range(0, 20, 4):
        notices.append((hour * 60, Notice(Event.ALARM_RAISED, "air", "sensor silent")))
        notices.append((hour * 60 + 30, Notice(Event.ALARM_CLEARED, "air", "sensor silent")))
    assert "air silent ×5" in texts(troubled(*notices).root)


def test_a_crowded_row_owns_up_to_what_found_no_room() -> None:
    """Marks at one moment fill the levels; the others are counted beside the date."""
    notices = [(600, Notice(Event.CLOCK_STEPPED, "", f"{number}h")) for number in range(1, 12)]
    shown = texts(troubled(*notices).root)
    stepped = [text for text in shown if text.startswith("clock steps")]
    (more,) = [text for text in shown if re.fullmatch(r"\+\d+", text)]
    assert len(stepped) + int(more) == 11


def irregular(loads: int, days: int) -> Played:
    """Loads that switch at random."""
    rnd = random.Random(loads)
    tables = {f"row_{n:02}": load("off", kind=KINDS[n % 5], watts=5.0) for n in range(loads)}
    schedule = schedule_of(tables, site=ZURICH)
    played = Played(schedule, AccountKeeper(schedule), PictureRecorder(schedule))
    start, end = midnight(schedule, "2026-01-01"), midnight(schedule, "2026-01-01", days)
    states = [False] * loads
    for listener in (played.keeper, played.recorder):
        listener.begin(start, [(False, PLANNED)] * loads)
    at = start
    while (at := at + rnd.randrange(100_000, 3_000_000 // loads + 100_000)) < end:
        place = rnd.randrange(loads)
        states[place] = not states[place]
        for listener in (played.keeper, played.recorder):
            listener.change(at, place, PLANNED, is_on=states[place], is_wet=states[place])
    for listener in (played.keeper, played.recorder):
        listener.finish(end)
    return played


@pytest.mark.parametrize(
    ("loads", "days"),
    [
        (1, 366),  # a year of one load
        (18, 366),  # a year of a greenhouse
        (54, 31),  # as many loads as a board has lines
    ],
)
def test_a_picture_stays_below_a_megabyte_and_a_half(loads: int, days: int) -> None:
    """Also where no two times on are alike."""
    assert len(irregular(loads, days).text.encode()) < 1_500_000


def test_a_restless_load_is_told_as_a_tone() -> None:
    """More times on in a day than can be drawn: paler bars, told in the legend, and in the
    row's label how long it was on."""
    rnd = random.Random(1)
    schedule = schedule_of({"fan": load("off", kind="fan")}, site=ZURICH)
    played = Played(schedule, AccountKeeper(schedule), PictureRecorder(schedule))
    start = midnight(schedule, "2026-06-01")
    for listener in (played.keeper, played.recorder):
        listener.begin(start, [(False, PLANNED)])
    for number, at in enumerate(sorted(rnd.sample(range(24 * H), 1000))):
        for listener in (played.keeper, played.recorder):
            listener.change(start + at, 0, PLANNED, is_on=not number % 2, is_wet=not number % 2)
    for listener in (played.keeper, played.recorder):
        listener.finish(start + 24 * H)
    (row,) = rows_of(played.root)
    assert re.fullmatch(
        r"Mon 1 Jun\. fan: on for 1\d h \d+ min in all", row.get("aria-label") or ""
    )
    assert any("Paler bars" in text for text in texts(played.root))
    tones = {float(p.get("stroke-opacity") or 1) for p in lanes_of(row)[0].iter(f"{SVG}path")}
    assert 0 < min(tones) < 1


def test_a_regular_year_is_small() -> None:
    """17,520 waterings in less than 200 kB."""
    played = days_of({"pump": load("15m on, 15m off")}, "2026-01-01", 365)
    assert len(played.text.encode()) < 200_000


def test_a_long_run_is_folded_and_told_beside_its_rows() -> None:
    """More than a month: rows without groups, notes on the right, the same legend."""
    played = days_of({"pump": load("15m on, 15m off")}, "2026-03-01", 60)
    assert rows_of(played.root) == []
    shown = texts(played.root)
    assert {"1 Mar", "1 Apr", "8", "15", "22", "23 h day", "dry gap 15 min"} <= set(shown)
    month = days_of({"pump": load("15m on, 15m off")}, "2026-03-01", 31)
    assert len(rows_of(month.root)) == 31


def test_folded_bars_are_the_times_on() -> None:
    """All of two months, read back from the picture, last as long as the plan's."""
    played = days_of({"pump": load("15m on, 15m off", start="sunrise")}, "2026-05-01", 60)
    (lane,) = [g for g in tags(played.root, "g") if g.find(f"{SVG}title") is not None
               and g.findtext(f"{SVG}title") == "pump"]  # fmt: skip
    drawn_min = sum(high - low for low, high, _ in drawn_minutes(lane))
    assert drawn_min == pytest.approx(played.keeper.account.loads["pump"].on_ms / M, rel=1e-4)


def test_notes_on_days_close_together_are_one() -> None:
    """A variant of every day is told once, with how many days it was in force."""
    schedule = schedule_of({"pump": load("off")}, site=ZURICH)
    played = Played(schedule, AccountKeeper(schedule), PictureRecorder(schedule))
    start = midnight(schedule, "2026-06-01")
    for listener in (played.keeper, played.recorder):
        listener.begin(start, [(False, PLANNED)])
        for day in range(3, 13):
            listener.change(start + (day * 24 + 12) * H, 0, HOT, is_on=True, is_wet=True)
            listener.change(start + (day * 24 + 18) * H, 0, PLANNED, is_on=False, is_wet=False)
        listener.finish(start + 40 * 24 * H)
    assert "hot, 10 d" in texts(played.root)


def folded_trouble(*told: tuple[int, Reason]) -> Played:
    """Forty days of a pump that is off from these minutes on for these reasons."""
    schedule = schedule_of({"pump": load("off")}, site=ZURICH)
    played = Played(schedule, AccountKeeper(schedule), PictureRecorder(schedule))
    start = midnight(schedule, "2026-06-28")
    for listener in (played.keeper, played.recorder):
        listener.begin(start, [(False, PLANNED)])
        for minute, reason in told:
            listener.change(start + minute * M, 0, reason, is_on=False, is_wet=False)
        listener.finish(start + 40 * 24 * H)
    return played


def test_hours_without_power_are_hatched_in_folded_rows_too() -> None:
    """Two hours on the second day, told beside it."""
    root = folded_trouble((2000, Reason(Why.NO_POWER)), (2120, PLANNED)).root
    (hatched,) = [p for p in tags(root, "path") if p.get("fill") == "url(#hatch)"]
    x, width = re.findall(r"M([\d.]+) [\d.]+h([\d.]+)v", hatched.get("d") or "")[0]
    assert (float(x), float(width)) == pytest.approx((40 + 560 / 6, 20), abs=0.001)
    assert "no power" in texts(root)


def test_folded_notes_that_find_no_room_are_counted() -> None:
    """More holds than lines beside the rows: those that matter more are told, the others
    are a number."""
    told = [
        (hour * 60, Reason(Why.HOLD, detail=f"{hour} on") if hour % 4 == 0 else PLANNED)
        for hour in range(0, 400, 2)
    ]
    shown = texts(folded_trouble(*told, (410 * 60, Reason(Why.NO_POWER))).root)
    (more,) = [text for text in shown if text.startswith("and ")]
    notes = [text for text in shown if text.startswith(("by hand", "no power, ", "dry gap"))]
    assert len(notes) + int(more.split()[1]) == 102
    assert "no power, 23 d" in shown


def test_dates_in_folded_rows_keep_apart() -> None:
    """The first row's date gives way to the first of a month right below it."""
    shown = texts(folded_trouble().root)
    assert {"28 Jun", "1 Jul", "8", "15", "22", "1 Aug"} <= set(shown)
    year = texts(days_of({"pump": load("on")}, "2026-01-30", 365).root)
    assert "1 Feb" in year
    assert "30 Jan" not in year


def test_what_found_no_place_in_the_recording_is_owned_up_to() -> None:
    """The legend counts it; the description tells the first marks and how many more."""
    told = [
        (minute, Reason(Why.HOLD, detail=str(minute)) if minute % 2 else PLANNED)
        for minute in range(1, 5001)
    ]
    root = folded_trouble(*told).root
    assert "500 further marks found no place." in texts(root)
    assert (root.findtext(f"{SVG}desc") or "").endswith("1976 further marks.")


def test_a_longer_run_than_a_year_says_what_is_drawn() -> None:
    """The first 366 days."""
    played = days_of({"pump": load("6h on, 6h off")}, "2026-01-01", 400)
    assert "Only the first 366 days of the run are drawn." in texts(played.root)


def test_short_times_on_are_drawn_so_that_they_are_seen() -> None:
    """Five seconds every ten minutes are drawn as 90 s, and the legend says so."""
    played = days_of({"mist": load("5s on, 10m off", kind="valve")}, "2026-06-01", 1)
    (lane,) = lanes_of(rows_of(played.root)[0])
    widths = {round(high - low, 3) for low, high, _ in drawn_minutes(lane)[:-1]}
    assert widths == {1.5}
    assert "Times on of a few seconds are drawn longer, so that they are seen." in texts(
        played.root
    )


NASTY = "<script>alert(1)</script>&\"'\x00\x1b[1m\u202e"


def test_foreign_text_is_escaped() -> None:
    """Names of plans, variants and sensors come from files that anybody may have written."""
    played = troubled(
        (60, True, True, Reason(Why.VARIANT, detail=NASTY)),
        (200, True, True, PLANNED),
        (300, Notice(Event.ALARM_RAISED, NASTY, "sensor silent")),
    )
    text = draw(played.schedule, played.keeper.account, played.recorder.recording, plan_name=NASTY)
    root = parsed(text)
    assert tags(root, "script") == []
    assert "<script>alert(1)</script>&" in (root.findtext(f"{SVG}title") or "")


def test_a_picture_needs_nothing_from_elsewhere() -> None:
    """No script, link, image, font or handler; the only address is the name of SVG itself."""
    text = troubled(*TROUBLE).text
    assert re.findall(r"https?://[^\"]*", text) == ["http://www.w3.org/2000/svg"]
    for forbidden in ("<script", "href", "<image", "@import", "@font-face", "onload", "<foreign"):
        assert forbidden not in text
    assert set(re.findall(r"url\(([^)]*)\)", text)) == {"#hatch"}


def test_the_same_run_gives_the_same_picture() -> None:
    """To the byte."""
    assert troubled(*TROUBLE).text == troubled(*TROUBLE).text


def test_a_picture_can_be_heard() -> None:
    """Roles, a title, a description with the figures, and a label on each row."""
    root = days_of({"pump": load("15m on, 15m off")}, "2026-06-01", 2).root
    assert root.get("role") == "graphics-document document"
    named = {element.get("id") for element in (*tags(root, "title"), *tags(root, "desc"))}
    assert set((root.get("aria-labelledby") or "").split()) <= named
    assert root.findtext(f"{SVG}title") == "porch.toml, day by day"
    assert "pump: 95 waterings, 47.5 a day, on 50 %" in (root.findtext(f"{SVG}desc") or "")
    assert [row.get("aria-label") for row in rows_of(root)] == [
        "Mon 1 Jun. pump: 48 waterings, on for 12 h in all",
        "Tue 2 Jun. pump: 48 waterings, on for 12 h in all",
    ]


@pytest.mark.parametrize("loads", [1, 3, 18])
@pytest.mark.parametrize("days", [1, 7, 31, 90])
def test_all_text_lies_within_the_picture(loads: int, days: int) -> None:
    """Nothing runs out at the right, at the left or below, as far as widths can be reckoned."""
    names = ("pump", "lamp", "fan") if loads == 3 else tuple(f"the_row_{n}" for n in range(loads))
    tables = {name: load("15m on, 15m off", kind=KINDS[n % 5]) for n, name in enumerate(names)}
    root = days_of(tables, "2026-10-20", days).root
    assert root.get("viewBox", "").startswith(f"0 0 {WIDTH:g} ")
    height = float(root.get("viewBox", "").split()[3])
    for element in tags(root, "text"):
        x, y = float(element.get("x") or 0), float(element.get("y") or 0)
        classes = (element.get("class") or "").split()
        size = 15.0 if "h" in classes else 9.0 if "s" in classes else 9.5
        width = text_width(element.text or "", size) * 0.95
        left = x - width if "r" in classes else x - width / 2 if "m" in classes else x
        assert left >= -1, element.text
        assert left + width <= WIDTH + 1, element.text
        assert 0 < y < height


def test_rows_do_not_overlap() -> None:
    """Bars of one row lie below those of the row before."""
    root = days_of({"pump": load("15m on, 15m off")}, "2026-06-01", 31).root
    ys = []
    for row in rows_of(root):
        (path,) = lanes_of(row)[0].iter(f"{SVG}path")
        match = re.match(r"M[\d.]+ ([\d.]+)h", path.get("d") or "")
        assert match is not None
        ys.append(float(match.group(1)))
    height = float(next(lanes_of(rows_of(root)[0])[0].iter(f"{SVG}path")).get("stroke-width") or 0)
    assert all(below - above >= height for above, below in pairwise(ys))


def test_two_runs_are_drawn_in_one_picture() -> None:
    """One above the other, each whole, no name of one in the other."""
    runs = []
    for cycle in ("15m on, 15m off", "15m on, 45m off"):
        played = days_of({"pump": load(cycle)}, "2026-06-01", 2)
        runs.append(
            Run(played.schedule, played.keeper.account, played.recorder.recording, f"{cycle}.toml")
        )
    text = draw_pair(*runs)
    root = parsed(text)
    pictures = [child for child in root if child.tag == f"{SVG}svg"]
    heights = [float(picture.get("height") or 0) for picture in pictures]
    assert [float(picture.get("y") or 0) for picture in pictures] == [0.0, heights[0]]
    assert float(root.get("viewBox", "").split()[3]) == sum(heights)
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids)) == 6
    shown = texts(root)
    assert "1: 15m on, 15m off.toml, day by day" in shown
    assert "2: 15m on, 45m off.toml, day by day" in shown


def test_a_run_of_a_moment_can_be_drawn() -> None:
    """One millisecond of one load is a picture all the same."""
    schedule = schedule_of({"pump": load("on")})
    played = Played(schedule, AccountKeeper(schedule), PictureRecorder(schedule))
    start = parse_rfc3339("2026-06-01T12:00:00Z")
    play(schedule, start, start + 1, played.keeper, played.recorder)
    assert "1 time" not in texts(played.root)
    assert len(rows_of(played.root)) == 1
