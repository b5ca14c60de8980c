"""The index of revisions as text, and which revisions are kept."""

from __future__ import annotations

from zlib import crc32

import pytest

from controller.core.units import DAY_MS, parse_rfc3339
from controller.shell.plan_store.index import index_text, read_index
from controller.shell.plan_store.revision import How, Revision, kept, sha256_of

NOON = parse_rfc3339("2026-07-01T12:00:00Z")


def revision(number: int, taken: int = NOON) -> Revision:
    """A revision as a hand edit makes it."""
    sha256 = sha256_of(b"%d" % number)
    return Revision(number, taken, How.HAND_EDIT, "", sha256, sha256)


REVISIONS = (
    Revision(7, NOON, How.FIRST_START, "", sha256_of(b"7"), sha256_of(b"7")),
    Revision(8, NOON + 1, How.PROPOSAL, 'wärmer: "20m"', sha256_of(b"8"), None),
    Revision(9, -5 * DAY_MS, How.RESTORED, "revision 7 again", sha256_of(b"7"), None),
)


def test_the_hash_is_sha_256() -> None:
    """NIST's example for the message "abc" (FIPS 180-2, appendix B.1; from memory)."""
    assert sha256_of(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_an_index_reads_back_as_it_was_written() -> None:
    """Every field of every revision, also a note with letters and quotes in it."""
    found, damaged = read_index(index_text(REVISIONS))
    assert found == {one.number: one for one in REVISIONS}
    assert damaged == 0


def test_an_index_cut_off_anywhere_keeps_its_whole_lines() -> None:
    """What was written before the cut is read, what was cut is no revision."""
    text = index_text(REVISIONS)
    ends = [len(index_text(REVISIONS[:count])) for count in range(4)]
    for size in range(len(text)):
        found, damaged = read_index(text[:size])
        whole = sum(1 for end in ends[1:] if end - 1 <= size)  # the last newline may be missing
        assert list(found.values()) == list(REVISIONS[:whole])
        assert damaged == (0 if size in {*ends, *(end - 1 for end in ends)} else 1)


def test_a_flipped_bit_costs_its_line_and_no_other() -> None:
    """Each bit of an index in turn: no revision is read that was not written."""
    text = index_text(REVISIONS)
    written = set(REVISIONS)
    for at in range(len(text)):
        for bit in range(8):
            bytes_ = bytearray(text)
            bytes_[at] ^= 1 << bit
            found, _ = read_index(bytes(bytes_))
            assert set(found.values()) <= written
            # A newline more or less damages two lines at most.
            assert len(found) >= len(REVISIONS) - 2


@pytest.mark.parametrize(
    "line",
    [
        b"",  # an empty line
        b"00000000 ",  # the check of nothing
        b"%08x []" % crc32(b"[]"),  # JSON of another shape
        b"%08x {}" % crc32(b"{}"),
        b"no check at all",
        b"\xff\xfe",
    ],
)
def test_a_line_of_another_kind_is_no_revision(line: bytes) -> None:
    """It is counted as damaged, and the lines around it are read."""
    text = index_text(REVISIONS[:1]) + line + b"\n" + index_text(REVISIONS[1:])
    found, damaged = read_index(text)
    assert (list(found.values()), damaged) == (list(REVISIONS), 1)


def test_the_last_two_hundred_are_kept() -> None:
    """Of many within a day the oldest go."""
    many = [revision(number) for number in range(1, 301)]
    assert kept(many, in_force=300) == many[100:]
    assert kept(many[:200], in_force=200) == many[:200]


def test_the_last_of_each_of_sixty_days_is_kept() -> None:
    """Two a day for a hundred days and then 200 within a day: the busy day's are kept, and the
    later one of each of the 59 days before it."""
    many = [revision(day * 10 + part, NOON + day * DAY_MS) for day in range(100) for part in (1, 2)]
    busy = [revision(2_000 + part, NOON + 100 * DAY_MS) for part in range(200)]
    lasts = [one for one in many if one.number % 10 == 2]
    assert kept([*many, *busy], in_force=2_199) == [*lasts[-59:], *busy]


def test_a_clock_in_the_past_throws_nothing_away() -> None:
    """A board without a battery clock starts in 1970; the days are those that are there."""
    days = [revision(day + 1, NOON + day * DAY_MS) for day in range(30)]
    after = [revision(31 + part, 0) for part in range(250)]
    assert kept([*days, *after], in_force=280) == [*days, *after[-200:]]


def test_the_one_in_force_is_kept_however_old() -> None:
    """It need not be the last: the ones after it may have been damaged."""
    many = [revision(number) for number in range(1, 301)]
    assert kept(many, in_force=3) == [many[2], *many[100:]]
