"""Changes of local time as the tz database published them.

Source: NEWS and the region files of the tz database (data.iana.org/time-zones), named from
memory with the release that brought the change. A failure of a late row on an old machine
means that its zone rules are older than the change, which is worth knowing too.
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from controller.core.units import Instant, parse_rfc3339
from controller.core.wall_clock import load_zone, local_datetime

CHANGES = [
    # zone, last instant + 1 ms before the change, hours from UTC before and after
    ("Europe/Zurich", "2026-03-29T01:00:00Z", 1, 2),  # directive 2000/84/EC
    ("Europe/Zurich", "2026-10-25T01:00:00Z", 2, 1),  # the same
    ("America/New_York", "2007-03-11T07:00:00Z", -5, -4),  # Energy Policy Act of 2005
    ("America/New_York", "2006-04-02T07:00:00Z", -5, -4),  # three weeks later the year before
    ("Australia/Lord_Howe", "2026-04-04T15:00:00Z", 11, 10.5),  # half an hour
    ("Australia/Lord_Howe", "2026-10-03T15:30:00Z", 10.5, 11),
    ("Antarctica/Troll", "2026-03-29T01:00:00Z", 0, 2),  # two hours
    ("Antarctica/Troll", "2026-10-25T01:00:00Z", 2, 0),
    ("Antarctica/Casey", "2009-10-17T18:00:00Z", 8, 11),  # three hours
    ("Antarctica/Casey", "2010-03-04T15:00:00Z", 11, 8),
    ("Pacific/Chatham", "2026-04-04T14:00:00Z", 13.75, 12.75),  # three quarters
    ("Africa/Monrovia", "1972-01-07T00:44:30Z", -44.5 / 60, 0),  # half a minute
    ("Pacific/Kwajalein", "1993-08-21T12:00:00Z", -12, 12),  # over the date line
    ("Pacific/Kiritimati", "1994-12-31T10:00:00Z", -10, 14),  # over the date line
    ("Pacific/Apia", "2011-12-30T10:00:00Z", -10, 14),  # over the date line, in summer time
    ("America/Caracas", "2007-12-09T07:00:00Z", -4, -4.5),  # 2007k
    ("America/Caracas", "2016-05-01T07:00:00Z", -4.5, -4),  # 2016d: and back
    ("Africa/Cairo", "2014-05-15T22:00:00Z", 2, 3),  # 2014c: summer time again
    ("Africa/Cairo", "2014-06-26T21:00:00Z", 3, 2),  # 2014c: not during Ramadan
    ("Africa/Cairo", "2014-07-31T22:00:00Z", 2, 3),  # 2014c
    ("Africa/Cairo", "2014-09-25T21:00:00Z", 3, 2),  # 2014c: for the last time until
    ("Africa/Cairo", "2023-04-27T22:00:00Z", 2, 3),  # 2023c
    ("Europe/Istanbul", "2015-11-08T01:00:00Z", 3, 2),  # 2015g: a fortnight late
    ("Asia/Pyongyang", "2015-08-14T15:00:00Z", 9, 8.5),  # 2015f
    ("Asia/Pyongyang", "2018-05-04T15:00:00Z", 8.5, 9),  # 2018e: and back
    ("Pacific/Norfolk", "2015-10-03T14:30:00Z", 11.5, 11),  # 2015g
    ("Pacific/Norfolk", "2019-10-05T15:00:00Z", 11, 12),  # 2019b: summer time from now on
    ("Africa/Sao_Tome", "2018-01-01T01:00:00Z", 0, 1),  # 2018c
    ("Africa/Sao_Tome", "2019-01-01T01:00:00Z", 1, 0),  # 2018i: and back
    ("Europe/Volgograd", "2018-10-27T23:00:00Z", 3, 4),  # 2018f
    ("Europe/Volgograd", "2020-12-26T22:00:00Z", 4, 3),  # 2020e: and back
    ("Africa/Casablanca", "2019-05-05T02:00:00Z", 1, 0),  # 2018g: winter time for Ramadan
    ("Africa/Casablanca", "2019-06-09T02:00:00Z", 0, 1),  # 2018g
    ("Africa/Casablanca", "2024-03-10T02:00:00Z", 1, 0),  # the same, earlier each year
    ("Africa/Casablanca", "2024-04-14T02:00:00Z", 0, 1),
    ("Africa/Juba", "2021-01-31T21:00:00Z", 3, 2),  # 2021a
    ("Asia/Tehran", "2022-09-21T19:30:00Z", 4.5, 3.5),  # 2022b: the last summer time
    ("America/Santiago", "2022-09-11T04:00:00Z", -4, -3),  # 2022c: a week late, for a vote
    ("Asia/Beirut", "2023-03-25T22:00:00Z", 2, 3),  # 2023c, taking 2023b back
    ("America/Nuuk", "2023-03-26T01:00:00Z", -3, -2),  # 2022f
    ("America/Nuuk", "2024-03-31T01:00:00Z", -2, -1),  # 2022f
    ("Asia/Almaty", "2024-02-29T18:00:00Z", 6, 5),  # 2024a
]

NO_LONGER = [
    # zone, instant at which the earlier rule would have changed it, hours from UTC
    ("Europe/Istanbul", "2016-10-30T01:00:00Z", 3),  # 2016g: summer time for good
    ("Africa/Windhoek", "2018-04-01T00:00:00Z", 2),  # 2017c: no winter time any more
    ("Africa/Casablanca", "2018-10-28T02:00:00Z", 1),  # 2018g, published two days before
    ("America/Sao_Paulo", "2019-11-03T03:00:00Z", -3),  # 2019b
    ("America/Whitehorse", "2020-11-01T09:00:00Z", -7),  # 2020d
    ("Pacific/Apia", "2021-09-25T14:00:00Z", 13),  # 2021b
    ("Asia/Amman", "2022-10-27T22:00:00Z", 3),  # 2022f: summer time for good
    ("Asia/Tehran", "2023-03-21T20:30:00Z", 3.5),  # 2022b
    ("America/Mexico_City", "2023-04-02T08:00:00Z", -6),  # 2022f
]


def hours_from_utc(zone: str, instant: Instant) -> timedelta | None:
    """The offset in force at an instant."""
    return local_datetime(load_zone(zone), instant).utcoffset()


@pytest.mark.parametrize(("zone", "utc", "before", "after"), CHANGES)
def test_a_published_change_happens_at_its_instant(
    zone: str, utc: str, before: float, after: float
) -> None:
    """One offset until the last millisecond, the other from the next on."""
    instant = parse_rfc3339(utc)
    assert [hours_from_utc(zone, at) for at in (instant - 1, instant)] == [
        timedelta(hours=before),
        timedelta(hours=after),
    ]


@pytest.mark.parametrize(("zone", "utc", "hours"), NO_LONGER)
def test_a_change_that_was_given_up_does_not_happen(zone: str, utc: str, hours: float) -> None:
    """The same offset before and after."""
    instant = parse_rfc3339(utc)
    assert {hours_from_utc(zone, at) for at in (instant - 1, instant, instant + 3_600_000)} == {
        timedelta(hours=hours)
    }
