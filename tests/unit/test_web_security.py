"""Passcode, sessions and tries, each alone; a real page with them is in tests/system."""

from __future__ import annotations

import asyncio
import hashlib
import time
from pathlib import Path

import pytest

from controller.core.errors import BusyError, PageNotSafeError, UnusablePasscodeError
from web.security.ended_sessions import ENDED_MAX
from web.security.names import machine_names
from web.security.passcode import PasscodeDesk, StoredPasscode, read_passcode, stored
from web.security.sessions import LASTS_S, Sessions
from web.security.tries import Tries, visitor_of
from web.settings import Settings, is_loopback

KEPT = StoredPasscode(b"s" * 16, b"h" * 32, b"k" * 32)


def test_scrypt_is_what_its_rfc_says() -> None:
    """The library's function gives the third test vector of RFC 7914, section 12."""
    derived = hashlib.scrypt(
        b"pleaseletmein", salt=b"SodiumChloride", n=16384, r=8, p=1, maxmem=2**26, dklen=64
    )
    assert derived.hex().startswith("7023bdcb3afd7348461c06cd81fd38eb")


def test_a_passcode_is_known_again_and_no_other() -> None:
    """Whatever its letters; each is kept with a salt of its own."""
    kept, again = stored("grün und naß"), stored("grün und naß")
    assert kept.is_right("grün und naß")
    assert not kept.is_right("grün und nass")
    assert kept.hashed != again.hashed


@pytest.mark.parametrize("passcode", ["", "sevenes", "x" * 201])
def test_short_and_endless_passcodes_are_refused(passcode: str) -> None:
    """From 8 to 200 characters."""
    with pytest.raises(UnusablePasscodeError, match=f"has {len(passcode)} characters"):
        stored(passcode)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"{}",
        b"[]",
        b"null",
        b"\xff\xfe",
        b"[" * 4_000,
        b'{"scheme": "scrypt-16384-8-5", "salt": "zz", "hashed": "", "secret": ""}',
        b'{"scheme": "scrypt-16384-8-5", "salt": "00", "hashed": "00", "secret": "00"}',
        b'{"scheme": "plain", "salt": "00", "hashed": "00", "secret": "00"}',
    ],
)
def test_a_damaged_file_is_told(data: bytes, tmp_path: Path) -> None:
    """With how to go on; a page never starts open because its passcode is damaged."""
    path = tmp_path / "passcode"
    path.write_bytes(data)
    path.chmod(0o600)
    with pytest.raises(UnusablePasscodeError, match="--set-passcode"):
        read_passcode(path)


def test_a_file_that_others_may_read_is_told(tmp_path: Path) -> None:
    """Its hash could be guessed at in peace."""
    path = tmp_path / "passcode"
    path.write_bytes(b"{}")
    path.chmod(0o644)
    with pytest.raises(UnusablePasscodeError, match="chmod 600"):
        read_passcode(path)
    assert read_passcode(tmp_path / "none") is None


def test_few_tries_wait_for_the_one_at_work() -> None:
    """More are refused at once, so that a crowd costs neither memory nor the owner's time."""

    async def crowd() -> list[object]:
        desk = PasscodeDesk(KEPT)
        return await asyncio.gather(
            *(desk.is_right("guess") for _ in range(5)), return_exceptions=True
        )

    outcomes = asyncio.run(crowd())
    assert outcomes[:4] == [False] * 4
    assert isinstance(outcomes[4], BusyError)


def test_a_session_lasts_for_its_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """And not a second longer; only of the passcode that it was begun with."""
    sessions = Sessions(KEPT)
    value = sessions.begin()
    assert sessions.is_one(value)
    assert not Sessions(StoredPasscode(b"s" * 16, b"h" * 32, b"o" * 32)).is_one(value)
    later = time.time() + LASTS_S + 1
    monkeypatch.setattr(time, "time", lambda: later)
    assert not sessions.is_one(value)


def test_any_change_of_a_session_makes_it_none() -> None:
    """Every character counts."""
    sessions = Sessions(KEPT)
    value = sessions.begin()
    changed = [
        value[:place] + ("0" if value[place] != "0" else "1") + value[place + 1 :]
        for place in range(len(value))
    ]
    assert [one for one in changed if sessions.is_one(one)] == []
    sessions.end(value)
    assert not sessions.is_one(value)


def test_what_was_logged_out_of_stays_so_in_the_next_life(tmp_path: Path) -> None:
    """The other sessions go on; no cookie can be made of what is kept."""
    path = tmp_path / "ended"
    sessions = Sessions(KEPT, path)
    gone, stays = sessions.begin(), sessions.begin()
    assert sessions.end(gone) is True
    assert sessions.end(gone) is False
    sessions.keep_ended()
    assert gone not in path.read_text()
    assert path.stat().st_mode & 0o777 == 0o600
    again = Sessions(KEPT, path)
    assert (again.is_one(gone), again.is_one(stays)) == (False, True)


@pytest.mark.parametrize("data", [b"", b"[]", b"{", b'{"all_until": 0, "ended": 7}', b"\xff"])
def test_a_damaged_file_of_ended_sessions_ends_all(data: bytes, tmp_path: Path) -> None:
    """People log in again, and nobody comes back who should not."""
    path = tmp_path / "ended"
    value = Sessions(KEPT).begin()
    path.write_bytes(data)
    assert not Sessions(KEPT, path).is_one(value)


def test_of_too_many_ended_sessions_none_comes_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """Those that are forgotten take the sessions of their age with them; later ones go on."""
    sessions, begun, now = Sessions(KEPT), [], time.time()
    for number in range(ENDED_MAX + 5):
        monkeypatch.setattr(time, "time", lambda number=number: now + number)
        begun.append(sessions.begin())
    stays = begun.pop()
    for value in begun:
        sessions.end(value)
    assert [value for value in begun if sessions.is_one(value)] == []
    assert sessions.is_one(stays)


def test_a_disk_that_takes_nothing_is_told(tmp_path: Path) -> None:
    """With what to do; until the page ends, the session is ended all the same."""
    (tmp_path / "file").touch()
    sessions = Sessions(KEPT, tmp_path / "file" / "ended")
    value = sessions.begin()
    sessions.end(value)
    with pytest.raises(UnusablePasscodeError, match="new passcode"):
        sessions.keep_ended()
    assert not sessions.is_one(value)


def test_tries_come_back_one_each_half_minute() -> None:
    """Five at once, per visitor."""
    tries = Tries()
    assert [tries.wait_s("a", 100.0) for _ in range(6)] == [0.0] * 5 + [30.0]
    assert tries.wait_s("b", 100.0) == 0.0
    assert tries.wait_s("a", 115.0) == pytest.approx(15.0)
    assert tries.wait_s("a", 130.5) == 0.0
    tries.forgive("a")
    assert [tries.wait_s("a", 131.0) for _ in range(5)] == [0.0] * 5


@pytest.mark.parametrize(
    ("address", "visitor"),
    [
        ("192.168.1.7", "192.168.1.7"),
        ("::ffff:192.168.1.7", "192.168.1.7"),  # the same phone over a dual-stack socket
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),  # documentation prefix, RFC 3849
        ("2001:db8:1:2::9", "2001:db8:1:2::/64"),
        ("fe80::1%eth0", "fe80::/64"),  # RFC 4007: the zone is no part of the address
        ("", ""),
    ],
)
def test_who_counts_as_one_visitor(address: str, visitor: str) -> None:
    """Of IPv6 a whole subnet: whoever has one address of it has all."""
    assert visitor_of(address) == visitor


@pytest.mark.parametrize(
    ("host", "is_it"),
    [
        ("127.0.0.1", True),
        ("127.8.8.8", True),  # RFC 1122: all of 127/8
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),  # noqa: S104 - every address of the machine
        ("::", False),
        ("192.168.1.2", False),
        ("garden.example", False),
    ],
)
def test_what_is_this_machine_alone(host: str, is_it: bool) -> None:
    """Anything else needs a passcode."""
    assert is_loopback(host) is is_it
    settings = Settings(Path("x"), host=host)
    if is_it:
        settings.refuse_unless_safe()
    else:
        with pytest.raises(PageNotSafeError, match="--set-passcode"):
            settings.refuse_unless_safe()
    Settings(Path("x"), host=host, passcode=KEPT).refuse_unless_safe()


def test_added_names_are_names() -> None:
    """In whatever case they were written."""
    assert {"localhost", "garden.example"} <= machine_names(["Garden.Example"])
