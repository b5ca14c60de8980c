"""Local time: skipped and repeated times, days without midnight, names that are no zones.

Zone changes are those of the tz database (source of each: its file and rule, named from
memory beside the row; tests/published/test_zone_changes.py checks the changes themselves).
"""

from __future__ import annotations

from datetime import date, datetime

import pytest

from controller.core.errors import UnknownZoneError
from controller.core.units import day_number, parse_rfc3339, rfc3339
from controller.core.wall_clock import (
    instant_of_local,
    load_zone,
    local_datetime,
    local_day,
    local_midnight,
)


def time_ms(text: str) -> int:
    """`HH:MM[:SS[.fff]]` in ms after midnight."""
    moment = datetime.strptime(text if "." in text else f"{text}.0", "%H:%M:%S.%f")  # noqa: DTZ007
    return ((moment.hour * 60 + moment.minute) * 60 + moment.second) * 1000 + (
        moment.microsecond // 1000
    )


SKIPPED = [
    # An hour in spring: the last before the gap, its first, inside, its last, its end.
    ("Europe/Zurich", "2026-03-29", "01:59:59", "2026-03-29T00:59:59Z"),
    ("Europe/Zurich", "2026-03-29", "02:00:00", "2026-03-29T01:00:00Z"),
    ("Europe/Zurich", "2026-03-29", "02:30:00", "2026-03-29T01:00:00Z"),
    ("Europe/Zurich", "2026-03-29", "02:59:59.999", "2026-03-29T01:00:00Z"),
    ("Europe/Zurich", "2026-03-29", "03:00:00", "2026-03-29T01:00:00Z"),
    ("Europe/Zurich", "2026-03-29", "03:00:01", "2026-03-29T01:00:01Z"),
    # Half an hour: Lord Howe's summer time.
    ("Australia/Lord_Howe", "2026-10-04", "02:15:00", "2026-10-03T15:30:00Z"),
    ("Australia/Lord_Howe", "2026-10-04", "02:30:00", "2026-10-03T15:30:00Z"),
    # Two hours: Troll's.
    ("Antarctica/Troll", "2026-03-29", "01:00:00", "2026-03-29T01:00:00Z"),
    ("Antarctica/Troll", "2026-03-29", "02:59:00", "2026-03-29T01:00:00Z"),
    ("Antarctica/Troll", "2026-03-29", "03:00:00", "2026-03-29T01:00:00Z"),
    # Midnight itself: Santiago, Cairo (again since 2023), Beirut, Sao Paulo, Havana, St. John's.
    ("America/Santiago", "2025-09-07", "00:00:00", "2025-09-07T04:00:00Z"),
    ("America/Santiago", "2025-09-07", "01:00:00", "2025-09-07T04:00:00Z"),
    ("Africa/Cairo", "2023-04-28", "00:30:00", "2023-04-27T22:00:00Z"),
    ("Africa/Cairo", "2026-04-24", "00:00:00", "2026-04-23T22:00:00Z"),
    ("America/Sao_Paulo", "2018-11-04", "00:00:00", "2018-11-04T03:00:00Z"),
    ("America/Havana", "2026-03-08", "00:00:00", "2026-03-08T05:00:00Z"),
    ("America/St_Johns", "2006-04-02", "00:00:30", "2006-04-02T03:30:30Z"),  # gap begins 00:01
    ("America/St_Johns", "2006-04-02", "00:30:00", "2006-04-02T03:31:00Z"),
    # A whole day: the date line was moved.
    ("Pacific/Apia", "2011-12-30", "00:00:00", "2011-12-30T10:00:00Z"),
    ("Pacific/Apia", "2011-12-30", "23:59:59", "2011-12-30T10:00:00Z"),
    ("Pacific/Apia", "2011-12-31", "00:00:00", "2011-12-30T10:00:00Z"),
    ("Pacific/Kwajalein", "1993-08-21", "12:00:00", "1993-08-21T12:00:00Z"),
    ("Pacific/Kiritimati", "1994-12-31", "12:00:00", "1994-12-31T10:00:00Z"),
    # Half a minute short of three quarters: Liberia until 7 January 1972.
    ("Africa/Monrovia", "1972-01-07", "00:20:00", "1972-01-07T00:44:30Z"),
    # For good: Pyongyang back to +9 at 23:30 (tz 2018e).
    ("Asia/Pyongyang", "2018-05-04", "23:45:00", "2018-05-04T15:00:00Z"),
    ("Asia/Pyongyang", "2018-05-05", "00:00:00", "2018-05-04T15:00:00Z"),
]

REPEATED = [
    # An hour in autumn: the last before, the first twice, the last twice, the first after.
    ("Europe/Zurich", "2026-10-25", "01:59:59", "2026-10-24T23:59:59Z"),
    ("Europe/Zurich", "2026-10-25", "02:00:00", "2026-10-25T00:00:00Z"),
    ("Europe/Zurich", "2026-10-25", "02:59:59.999", "2026-10-25T00:59:59.999Z"),
    ("Europe/Zurich", "2026-10-25", "03:00:00", "2026-10-25T02:00:00Z"),
    # Half an hour and two hours.
    ("Australia/Lord_Howe", "2026-04-05", "01:30:00", "2026-04-04T14:30:00Z"),
    ("Australia/Lord_Howe", "2026-04-05", "02:00:00", "2026-04-04T15:30:00Z"),
    ("Antarctica/Troll", "2026-10-25", "01:00:00", "2026-10-24T23:00:00Z"),
    ("Antarctica/Troll", "2026-10-25", "03:00:00", "2026-10-25T03:00:00Z"),
    # The last hour of the day before: Cairo, Santiago.
    ("Africa/Cairo", "2026-10-29", "23:30:00", "2026-10-29T20:30:00Z"),
    ("Africa/Cairo", "2026-10-30", "00:00:00", "2026-10-29T22:00:00Z"),
    ("America/Santiago", "2026-04-04", "23:30:00", "2026-04-05T02:30:00Z"),
    # A date that begins twice: St. John's at 00:01, Casey by three hours at 02:00.
    ("America/St_Johns", "2006-10-29", "00:00:30", "2006-10-29T02:30:30Z"),
    ("America/St_Johns", "2006-10-28", "23:30:00", "2006-10-29T02:00:00Z"),
    ("America/St_Johns", "2006-10-29", "00:01:00", "2006-10-29T03:31:00Z"),
    ("Antarctica/Casey", "2010-03-05", "01:00:00", "2010-03-04T14:00:00Z"),
    ("Antarctica/Casey", "2010-03-04", "23:30:00", "2010-03-04T12:30:00Z"),
    # Back for Ramadan, on again after it: Morocco 2024 (10 March to 14 April).
    ("Africa/Casablanca", "2024-03-10", "02:30:00", "2024-03-10T01:30:00Z"),
    # Half an hour for good: Caracas on 9 December 2007, Pyongyang on 15 August 2015.
    ("America/Caracas", "2007-12-09", "02:45:00", "2007-12-09T06:45:00Z"),
    ("Asia/Pyongyang", "2015-08-14", "23:45:00", "2015-08-14T14:45:00Z"),
]

ORDINARY = [
    ("Pacific/Kiritimati", "2026-07-01", "06:00:00", "2026-06-30T16:00:00Z"),  # +14
    ("Europe/Zurich", "2026-07-01", "06:00:00.250", "2026-07-01T04:00:00.250Z"),  # a fraction
    ("Pacific/Pago_Pago", "2026-07-01", "23:00:00", "2026-07-02T10:00:00Z"),  # -11
    ("Asia/Kathmandu", "2026-07-01", "05:45:00", "2026-07-01T00:00:00Z"),  # +5:45
    ("Pacific/Chatham", "2026-01-01", "13:45:00", "2026-01-01T00:00:00Z"),  # +13:45
    ("Europe/Istanbul", "2016-10-30", "03:30:00", "2016-10-30T00:30:00Z"),  # it did not go back
    ("Africa/Cairo", "2015-04-24", "00:30:00", "2015-04-23T22:30:00Z"),  # nor did it go on
    ("Europe/Volgograd", "2020-12-27", "02:00:00", "2020-12-26T23:00:00Z"),  # new offset: +3
    ("Etc/GMT+12", "2026-07-01", "00:00:00", "2026-07-01T12:00:00Z"),  # the sign of POSIX
    ("UTC", "2199-12-30", "23:59:59", "2199-12-30T23:59:59Z"),  # the last day
    ("Europe/Zurich", "2150-07-01", "06:00:00", "2150-07-01T04:00:00Z"),  # rules go on
]


@pytest.mark.parametrize(("zone", "day", "local_time", "utc"), SKIPPED + REPEATED + ORDINARY)
def test_a_local_time_has_one_instant(zone: str, day: str, local_time: str, utc: str) -> None:
    """A skipped time is the end of the gap, a repeated one its first occurrence."""
    instant = instant_of_local(load_zone(zone), date.fromisoformat(day), time_ms(local_time))
    assert rfc3339(instant) == utc


@pytest.mark.parametrize(
    ("zone", "day", "begin", "end"),
    [
        ("Europe/Zurich", "2026-07-01", "2026-06-30T22:00:00Z", "2026-07-01T22:00:00Z"),  # 24 h
        ("Europe/Zurich", "2026-03-29", "2026-03-28T23:00:00Z", "2026-03-29T22:00:00Z"),  # 23 h
        ("Europe/Zurich", "2026-10-25", "2026-10-24T22:00:00Z", "2026-10-25T23:00:00Z"),  # 25 h
        (
            "Australia/Lord_Howe",
            "2026-10-04",
            "2026-10-03T13:30:00Z",
            "2026-10-04T13:00:00Z",
        ),  # 23.5 h
        (
            "America/Santiago",
            "2025-09-07",
            "2025-09-07T04:00:00Z",
            "2025-09-08T03:00:00Z",
        ),  # from 01:00
        ("Africa/Cairo", "2026-10-29", "2026-10-28T21:00:00Z", "2026-10-29T22:00:00Z"),  # 25 h
        ("Pacific/Apia", "2011-12-30", "2011-12-30T10:00:00Z", "2011-12-30T10:00:00Z"),  # none
        (
            "America/St_Johns",
            "2006-10-28",
            "2006-10-28T02:30:00Z",
            "2006-10-29T03:30:00Z",
        ),  # the next date shows for a minute before this one's last hour comes again
        (
            "America/St_Johns",
            "2006-10-29",
            "2006-10-29T02:30:00Z",
            "2006-10-30T03:30:00Z",
        ),  # from its first showing on
    ],
)
def test_a_local_date_lasts_from_its_first_to_its_last_instant(
    zone: str, day: str, begin: str, end: str
) -> None:
    """Half open; where the clocks go back over midnight, dates overlap."""
    number = day_number(date.fromisoformat(day))
    found = local_day(load_zone(zone), number)
    assert [rfc3339(instant) for instant in found] == [begin, end]
    assert local_midnight(load_zone(zone), number) == parse_rfc3339(begin)


@pytest.mark.parametrize(
    ("zone", "utc", "shown"),
    [
        ("Europe/Zurich", "2026-03-29T00:59:59.999Z", "2026-03-29T01:59:59.999000+01:00"),  # before
        ("Europe/Zurich", "2026-03-29T01:00:00Z", "2026-03-29T03:00:00+02:00"),  # after the gap
        ("Europe/Zurich", "2026-10-25T00:30:00Z", "2026-10-25T02:30:00+02:00"),  # the first 02:30
        ("Europe/Zurich", "2026-10-25T01:30:00Z", "2026-10-25T02:30:00+01:00"),  # the second
        ("Pacific/Apia", "2011-12-30T09:59:59Z", "2011-12-29T23:59:59-10:00"),  # the last of -10
        ("Pacific/Apia", "2011-12-30T10:00:00Z", "2011-12-31T00:00:00+14:00"),  # the first of +14
    ],
)
def test_clocks_show_an_instant(zone: str, utc: str, shown: str) -> None:
    """With the offset that is in force then."""
    assert local_datetime(load_zone(zone), parse_rfc3339(utc)).isoformat() == shown


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("Europe/Zürich", "'Europe/Zürich'"),  # how its people write it
        ("europe/zurich", "'europe/zurich'"),  # small letters
        ("America", "'America'"),  # a folder
        ("", "''"),  # nothing
        (".", "'.'"),  # the folder itself
        ("../../etc/hostname", "'../../etc/hostname'"),  # a path in disguise
        ("/etc/localtime", "'/etc/localtime'"),  # a path without one
        ("Europe/Zurich/", "'Europe/Zurich/'"),  # a slash too many
        ("Europe//Zurich", "'Europe//Zurich'"),  # another
        ("zone.tab", "'zone.tab'"),  # a file beside the zones
        ("tzdata.zi", "'tzdata.zi'"),  # another
        ("Europe/Zurich\0", r"'Europe/Zurich\x00'"),  # NUL
        ("\ud800", r"'\ud800'"),  # half a character
        ("x" * 5_000, f"'{'x' * 59}…"),  # longer than a file's name may be
        ("right/Europe/Zurich", "'right/Europe/Zurich'"),  # counts leap seconds: 27 s off
        ("posix/Europe/Zurich", "'posix/Europe/Zurich'"),  # not on every machine
        ("posixrules", "'posixrules'"),  # another zone on another machine
        ("localtime", "'localtime'"),  # the machine's own
        ("Factory", "'Factory'"),  # the tz database's "not set"
    ],
)
def test_a_name_is_no_zone(name: str, text: str) -> None:
    """Whatever the file system holds under it, one error tells the name."""
    with pytest.raises(UnknownZoneError) as caught:
        load_zone(name)
    assert str(caught.value) == f"{text} is not a time zone of the tz database"
