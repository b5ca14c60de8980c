"""The report on a terminal: what it says, how wide it is, what it does with colours."""

from __future__ import annotations

import re
from typing import Any

import pytest

from controller.core.findings import Finding
from controller.core.schedule import Schedule
from controller.core.units import parse_rfc3339
from controller.dry_run.account import Account
from controller.paper.run_findings import findings
from controller.report.terminal import render
from controller.report.text_cells import width_of
from tests.planned_runs import account_of, account_of_days, load, schedule_of

AIR = "No weather file: air between 17 °C and 34 °C every day, as the plan states."
EURO = {"price_per_kwh": 0.3, "currency": "EUR"}
KINDS = ("pump", "lamp", "fan", "valve", "heater")


def report(
    schedule: Schedule,
    account: Account,
    *,
    width: int = 80,
    found: list[Finding] | None = None,
    is_colour: bool = False,
) -> str:
    """The report, with the findings of the run unless others are told."""
    found = findings(schedule, account) if found is None else found
    return render(
        schedule, account, found, AIR, width=width, is_colour=is_colour, plan_name="porch.toml"
    )


def one_pump(**tables: Any) -> tuple[Schedule, Account]:
    """A week of quarters in a place with its own time."""
    site = {"latitude": 47.1, "longitude": 8.3, "timezone": "Europe/Zurich", "elevation_m": 450}
    pump = load("15m on, 15m off", watts=22.0, limits={"longest_dry_gap": "10m"})
    schedule = schedule_of({"pump": pump}, site=site, energy=EURO, **tables)
    return schedule, account_of_days(schedule, "2025-06-30", 7)


def garden(loads: int, *, prefix: str = "row_", ending: str = "") -> tuple[Schedule, Account]:
    """Two days of that many loads of every kind."""
    tables = {
        f"{prefix}{number:02}{ending}": load(
            "5m on, 25m off", kind=KINDS[number % 5], start=f"00:{number:02}", watts=10.0 + number
        )
        for number in range(loads)
    }
    schedule = schedule_of(tables, energy=EURO)
    return schedule, account_of_days(schedule, "2026-06-01", 2)


def test_a_place_a_hand_below_the_sea_is_at_its_height() -> None:
    """Nobody lives at -0 m."""
    site = {"latitude": 52.4, "longitude": 4.9, "timezone": "Europe/Amsterdam", "elevation_m": -0.3}
    schedule = schedule_of({"pump": load("15m on, 15m off")}, site=site)
    text = report(schedule, account_of_days(schedule, "2025-06-30", 1))
    assert "Site at 52.40 °N 4.90 °E, 0 m above the sea" in text


def test_the_report_of_one_pump_reads_whole() -> None:
    """Head, figures with times, sums, and what to change."""
    assert report(*one_pump()) == (
        "Dry run of porch.toml\n"
        "Mon 30 Jun 2025 00:00 to Mon 7 Jul 2025 00:00, 7 days in Europe/Zurich time\n"
        "Site at 47.10 °N 8.30 °E, 450 m above the sea\n"
        "No weather file: air between 17 °C and 34 °C every day, as the plan states.\n"
        "\n"
        "pump (pump, 22 W)\n"
        "  waterings            335, 47.9 a day, at most 2 an hour\n"
        "  on                   3 days 12 h, 50 % of the time\n"
        "  longest dry gap      15 min, Mon 30 Jun 00:15 to 00:30\n"
        "  longest on           15 min, Mon 30 Jun 00:00 to 00:15\n"
        "  relay                17,506 operations a year\n"
        "  its contact          17.5 % of its rated life used a year, lasts 5.7 years\n"
        "  energy               1.85 kWh, 8.04 kWh a month\n"
        "  cost                 0.55 EUR, 2.41 EUR a month\n"
        "\n"
        "All loads\n"
        "  at once              at most 22 W, first Mon 30 Jun 00:00\n"
        "  energy               1.85 kWh, 8.04 kWh a month\n"
        "  cost                 0.55 EUR, 2.41 EUR a month\n"
        "\n"
        "Findings: 1 error\n"
        "error: loads.pump.limits.longest_dry_gap\n"
        "  dry for 15 min, Mon 30 Jun 00:15 to 00:30; the limit is 10 min.\n"
        "  To change: shorten the off steps of the span from 00:00 (15m on, 15m off), or\n"
        "    raise the limit.\n"
    )


def test_a_narrow_report_says_the_same() -> None:
    """Labels and values one behind the other; every figure of the wide one is there."""
    wide, narrow = (report(*one_pump(), width=width) for width in (80, 40))
    assert "  waterings: 335, 47.9 a day, at most 2\n    an hour\n" in narrow
    figures = re.compile(r"\d[\d,.:]*")
    assert sorted(figures.findall(" ".join(wide.split()))) == sorted(
        figures.findall(" ".join(narrow.split()))
    )


@pytest.mark.parametrize("width", [40, 60, 63, 64, 79, 80, 100, 132])
@pytest.mark.parametrize("loads", [1, 4, 5, 18, 54])
@pytest.mark.parametrize("prefix", ["r", "the_easternmost_row_of_the_greenhouse_"])
def test_no_line_is_wider_than_told(width: int, loads: int, prefix: str) -> None:
    """Few and many loads, short names and the longest, with findings about all of them."""
    schedule, account = garden(loads, prefix=prefix)
    wheres = ",".join(f"loads.{name}" for name in account.loads)
    found = [Finding("warning", wheres, "x" * 200, "y z " * 100)]
    lines = report(schedule, account, width=width, found=found).splitlines()
    assert max(map(width_of, lines)) <= width


def test_many_loads_make_tables_with_a_row_each() -> None:
    """Eighteen loads in three tables, names whole, in the order of the plan."""
    schedule, account = garden(18)
    lines = report(schedule, account).splitlines()
    rows = [line.split()[0] for line in lines if line.startswith("row_")]
    names = [load.name for load in schedule.loads]
    assert rows == names * 3
    assert len(lines) < 90


def test_tables_without_a_price_tell_energy_only() -> None:
    """No column of money, and no load's row is lost."""
    tables = {f"row_{n}": load("5m on, 25m off", watts=5.0) for n in range(6)}
    schedule = schedule_of(tables)
    lines = report(schedule, account_of_days(schedule, "2026-06-01", 1)).splitlines()
    assert lines[lines.index("Energy") + 1].split() == ["load", "watts", "kWh", "kWh", "a", "month"]
    assert sum(line.startswith("row_") for line in lines) == 18


@pytest.mark.parametrize(
    ("prefix", "ending", "width"),
    [
        ("row_", "", 40),  # no room for the columns
        ("the_row_", "_of_the_greenhouse_outside", 80),  # names that look alike when cut
    ],
)
def test_tables_that_cannot_be_read_are_blocks(prefix: str, ending: str, width: int) -> None:
    """Each load's name stands whole above its figures."""
    schedule, account = garden(18, prefix=prefix, ending=ending)
    text = " ".join(report(schedule, account, width=width).split())
    for of_load in schedule.loads:
        assert f"{of_load.name} ({of_load.kind}, " in text


def test_colour_changes_nothing_but_colour() -> None:
    """Without its escape sequences the coloured report is the plain one."""
    schedule, account = one_pump()
    plain = report(schedule, account)
    coloured = report(schedule, account, is_colour=True)
    assert "\x1b" not in plain
    assert "\x1b[1;31merror\x1b[0m" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


def test_findings_that_say_the_same_are_told_once() -> None:
    """With all the places that they are about."""
    schedule, account = one_pump()
    found = [
        Finding("warning", "loads.a", "its contact wears", "switch it less"),
        Finding("warning", "loads.b", "its contact wears", "switch it less"),
        Finding("note", "site", "the clock stepped", "keep it right"),
    ]
    text = report(schedule, account, found=found)
    assert text[text.index("Findings") :] == (
        "Findings: 2 warnings, 1 note\n"
        "warning: loads.a, loads.b\n"
        "  its contact wears.\n"
        "  To change: switch it less.\n"
        "\n"
        "note: site\n"
        "  the clock stepped.\n"
        "  To change: keep it right.\n"
    )


def test_a_run_without_findings_says_so() -> None:
    """Silence would leave a doubt."""
    schedule, account = one_pump()
    assert report(schedule, account, found=[]).endswith("\nFindings: nothing to report\n")


def test_unknown_watts_are_left_out_of_the_sum_by_name() -> None:
    """And a plan that states none tells no energy at all."""
    loads = {"a": load("on", watts=10.0), "b": load("on")}
    schedule = schedule_of(loads)
    text = report(schedule, account_of_days(schedule, "2026-06-01", 1))
    assert "All loads but b (watts not stated)\n" in text
    assert "b (pump, watts not stated)\n" in text
    schedule = schedule_of({"b": load("on")})
    text = report(schedule, account_of_days(schedule, "2026-06-01", 1))
    assert "No load states its watts, so energy and cost are not told.\n" in text


def test_what_never_happened_has_no_time() -> None:
    """A load that is always on has no longest gap, one that never is no longest on."""
    schedule = schedule_of({"a": load("on", kind="fan"), "b": load("off", kind="lamp")})
    text = report(schedule, account_of_days(schedule, "2026-06-01", 1))
    assert "  longest time still   none\n" in text
    assert "  longest on           none\n" in text
    assert text.count("lasts > 100 years") == 2


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        # whole dates over a change of the clocks: days of the calendar, not of 24 h
        ("2025-10-24T22:00:00Z", "2025-10-26T23:00:00Z", "2 days in Europe/Zurich time"),
        ("2025-06-29T22:00:00Z", "2025-06-30T22:00:00Z", "1 day in Europe/Zurich time"),
        # parts of days
        ("2025-06-30T10:00:00Z", "2025-07-01T11:30:00Z", "25 h 30 min in Europe/Zurich time"),
    ],
)
def test_the_length_of_a_run_is_told_as_its_calendar_has_it(
    start: str, end: str, words: str
) -> None:
    """In days where they are whole ones on the clocks of the site."""
    schedule, _ = one_pump()
    account = account_of(schedule, parse_rfc3339(start), parse_rfc3339(end))
    assert words in " ".join(report(schedule, account).split())


def test_foreign_text_cannot_steer_the_terminal() -> None:
    """A currency and a file's name are shown, not obeyed."""
    schedule = schedule_of(
        {"pump": load("on", watts=10.0)}, energy={"price_per_kwh": 1.0, "currency": "\x1b[2J"}
    )
    account = account_of_days(schedule, "2026-06-01", 1)
    text = render(
        schedule, account, [], "air\x07\x1b]0;x", width=80, is_colour=False, plan_name="a\x1b[1mb"
    )
    assert all(char.isprintable() or char == "\n" for char in text)
