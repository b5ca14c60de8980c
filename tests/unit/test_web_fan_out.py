"""What event streams are told, and what they lose when their browsers read slowly."""

from __future__ import annotations

import asyncio
import json
from typing import Any

import pytest

from controller.core.errors import BusyError
from web.fan_out import FanOut
from web.picture import Picture, StatusText
from web.settings import Limits

NOTHING = Picture(None, None, "not yet")


def _anybody() -> bool:
    return True


def _picture(number: int) -> Picture:
    return Picture(StatusText({"n": number}), 0.0, None)


def _entry(number: int, what: str = "on") -> dict[str, Any]:
    return {"what": what, "subject": "pump", "detail": str(number)}


def _read(text: bytes) -> tuple[str, Any]:
    name, data, rest = text.decode().split("\n", 2)
    assert rest == "\n"
    return name.removeprefix("event: "), json.loads(data.removeprefix("data: "))


def test_a_stream_begins_with_the_picture_and_ends_with_the_page() -> None:
    """After the wait that a browser keeps before it comes again."""

    async def watch() -> list[bytes]:
        fan_out = FanOut(Limits())
        texts = []
        async for text in fan_out.stream("a", lambda: NOTHING, may_watch=_anybody):
            texts.append(text)
            if len(texts) == 2:
                fan_out.end()
        assert fan_out.stream_count == 0
        return texts

    retry, picture = asyncio.run(watch())
    assert retry == b"retry: 2000\n\n"
    assert _read(picture) == ("picture", json.loads(NOTHING.as_text()))


def test_what_changes_while_a_stream_is_opened_is_not_missed() -> None:
    """Between its request and its first word time goes by, and it hears of nothing yet."""

    async def watch() -> tuple[str, Any]:
        fan_out = FanOut(Limits())
        newest = _picture(1)
        stream = fan_out.stream("a", lambda: newest, may_watch=_anybody)
        newest = _picture(2)
        fan_out.tell_picture(newest)
        await anext(stream)
        first = _read(await anext(stream))
        await stream.aclose()
        return first

    assert asyncio.run(watch()) == ("picture", json.loads(_picture(2).as_text()))


def test_a_slow_reader_gets_the_newest_picture_and_the_last_entries() -> None:
    """And is told how many entries it lost, there and on the way from the controller."""

    async def watch() -> list[tuple[str, Any]]:
        fan_out = FanOut(Limits())
        stream = fan_out.stream("a", lambda: NOTHING, may_watch=_anybody)
        for _ in range(2):
            await anext(stream)
        for number in range(3):
            fan_out.tell_picture(_picture(number))
        fan_out.tell_journal([_entry(number) for number in range(150)], 5)
        fan_out.tell_journal([_entry(number) for number in range(150, 300)], 0)
        told = [_read(await anext(stream)) for _ in range(2)]
        fan_out.end()
        await stream.aclose()
        return told

    journal, picture = asyncio.run(watch())
    assert picture == ("picture", json.loads(_picture(2).as_text()))
    assert journal == (
        "journal",
        {"lost": 105, "entries": [_entry(number) for number in range(100, 300)]},
    )


def test_switches_are_counted_without_watchers() -> None:
    """For the metrics: switchings alone, by load."""
    fan_out = FanOut(Limits())
    entries = [_entry(1, "on"), _entry(2, "off"), _entry(3, "hold began")]
    fan_out.tell_journal(entries, 0)
    assert fan_out.switches == {"pump": 2}


def test_streams_are_bounded_in_all_and_for_one_visitor() -> None:
    """What is full says so before a stream begins."""

    async def crowd() -> None:
        fan_out = FanOut(Limits(streams_max=3, streams_of_one_address_max=2))
        streams = [
            fan_out.stream(visitor, lambda: NOTHING, may_watch=_anybody)
            for visitor in ("a", "a", "b")
        ]
        for stream in streams[:2]:
            await anext(stream)
        with pytest.raises(BusyError):
            fan_out.refuse_crowds("a")
        fan_out.refuse_crowds("b")
        await anext(streams[2])
        with pytest.raises(BusyError):
            fan_out.refuse_crowds("c")
        for stream in streams:
            await stream.aclose()
        fan_out.refuse_crowds("c")

    asyncio.run(crowd())


def test_a_picture_tells_its_age_and_the_status_as_it_came() -> None:
    """One that has none tells so."""
    told = json.loads(Picture(StatusText({"up_s": 1.5, "n": "ü"}), 2.00049, None).as_text())
    assert told == {
        "is_connected": True, "reason": None, "age_s": 2.0, "status": {"up_s": 1.5, "n": "ü"},
    }  # fmt: skip
    assert json.loads(NOTHING.as_text()) == {
        "is_connected": False, "reason": "not yet", "age_s": None, "status": None,
    }  # fmt: skip


def test_a_stream_ends_when_its_visitor_may_watch_no_more() -> None:
    """As soon as it is asked, with what waited for it unsaid; others go on."""

    async def watch() -> tuple[list[bytes], tuple[str, Any]]:
        fan_out = FanOut(Limits())
        may_watch = True
        ended = fan_out.stream("a", lambda: NOTHING, may_watch=lambda: may_watch)
        other = fan_out.stream("b", lambda: NOTHING, may_watch=lambda: True)
        for stream in (ended, ended, other, other):
            await anext(stream)
        may_watch = False
        fan_out.ask_anew()
        fan_out.tell_picture(_picture(1))
        rest = [text async for text in ended]
        told = _read(await anext(other))
        await other.aclose()
        return rest, told

    rest, told = asyncio.run(watch())
    assert rest == []
    assert told == ("picture", json.loads(_picture(1).as_text()))
