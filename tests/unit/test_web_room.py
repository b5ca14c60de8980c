"""How many plans may be tried out at once, by whom, and by which workers."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import pytest

from controller.core.errors import BusyError
from web.paper.desk import PaperDesk, PaperLimits
from web.paper.room import Room


@contextmanager
def _filled(room: Room, *guests: str | None) -> Iterator[None]:
    with ExitStack() as places:
        for guest in guests:
            places.enter_context(room.place(guest))
        yield


def _refuses(room: Room, guest: str | None) -> bool:
    try:
        with room.place(guest):
            return False
    except BusyError:
        return True


def test_guests_leave_room_for_the_owner() -> None:
    """However many they are; and one of them leaves room for others."""
    room = Room(jobs_max=5, guests_max=3, one_guest_max=2)
    with _filled(room, "a", "a"):
        assert (_refuses(room, "a"), _refuses(room, "b")) == (True, False)
        with _filled(room, "b"):
            assert (_refuses(room, "c"), _refuses(room, None)) == (True, False)
            with _filled(room, None, None):
                assert _refuses(room, None)
    assert not room.has_guests
    with _filled(room, "a", "a", "c"):
        assert room.has_guests


def test_a_place_is_given_back_by_whoever_fails() -> None:
    """As by whoever is done."""
    room = Room(jobs_max=1, guests_max=1, one_guest_max=1)
    with pytest.raises(ZeroDivisionError), room.place("a"):
        raise ZeroDivisionError
    assert not room.has_guests
    assert not _refuses(room, "b")


class _Worker:
    """Stands for a worker's process: does nothing until it is let."""

    def __init__(self) -> None:
        self.jobs: list[str] = []
        self.is_there = True
        self.may_end = asyncio.Event()

    @property
    def line_length(self) -> int:
        return len(self.jobs)

    async def do(self, job: dict[str, Any], rank: int, given_up: asyncio.Future[None]) -> Any:
        del rank, given_up
        self.jobs.append(job["text"])
        await self.may_end.wait()
        return {"refused": "it is only tried out here"}


def _asked_of(*asked: tuple[str, str | None], workers: int = 2) -> list[list[str]]:
    """What each worker was given, where previews come one after the other and none is done."""

    async def ask() -> list[list[str]]:
        desk = PaperDesk(PaperLimits(lasting_workers=workers))
        stand_ins = [_Worker() for _ in range(workers)]
        desk._lasting = stand_ins  # type: ignore[assignment]
        tasks = []
        for text, guest in asked:
            job = {"job": "preview", "text": text, "parts": ["next", "hottest"]}
            tasks.append(asyncio.create_task(desk.preview(job, guest=guest)))
            await asyncio.sleep(0)
            await asyncio.sleep(0)
        given = [[*one.jobs] for one in stand_ins]
        for one in stand_ins:
            one.may_end.set()
        await asyncio.gather(*tasks, return_exceptions=True)
        return given

    return asyncio.run(ask())


def test_a_guest_s_preview_goes_to_one_worker_and_the_owner_s_past_it() -> None:
    """So that the owner never waits for what a guest has begun."""
    assert _asked_of(("guest", "a"), ("owner", None)) == [["owner"], ["guest"]]
    assert _asked_of(("owner", None), ("guest", "a")) == [["owner"], ["owner", "guest"]]


def test_where_one_worker_is_all_there_is_everybody_shares_it() -> None:
    """Nobody is left without any."""
    assert _asked_of(("guest", "a"), ("owner", None), workers=1) == [["guest", "owner"]]


def test_of_a_guest_s_flood_few_are_taken() -> None:
    """And the owner's is, still."""
    flood = [(f"guest {number}", "a") for number in range(20)]
    given = _asked_of(*flood, ("owner", None))
    assert given == [["owner"], [f"guest {number}" for number in range(4)]]
