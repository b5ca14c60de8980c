"""Who goes when the house is full."""

from __future__ import annotations

from web.server.connections import House
from web.settings import Limits

LIMITS = Limits(connections_max=6, connections_of_one_address_max=4)


class Guest:
    """A connection that is quiet since a moment, or busy."""

    def __init__(self, visitor: str, quiet_since_s: float | None) -> None:
        self.visitor = visitor
        self.quiet_since_s = quiet_since_s
        self.is_gone = False

    def cut_off(self) -> None:
        """Remembers that it was sent away."""
        self.is_gone = True


def _gone(guests: list[Guest]) -> list[int]:
    return [place for place, guest in enumerate(guests) if guest.is_gone]


def test_of_one_address_the_longest_quiet_goes() -> None:
    """Busy ones stay."""
    guests = [Guest("a", None), Guest("a", 3.0), Guest("a", 1.0), Guest("a", 2.0), Guest("a", 9.0)]
    house = House(LIMITS)
    for guest in guests:
        house.enter(guest)
    assert _gone(guests) == [2]
    assert len(house) == 4


def test_of_busy_ones_the_newest_goes() -> None:
    """What is being answered is answered."""
    guests = [Guest("a", None) for _ in range(5)]
    house = House(LIMITS)
    for guest in guests:
        house.enter(guest)
    assert _gone(guests) == [4]


def test_a_full_house_sends_away_the_crowd_and_not_the_owner() -> None:
    """The address with the most connections loses one, also a busy one."""
    crowd = [Guest("crowd", None) for _ in range(4)]
    others = [Guest("b", 1.0), Guest("c", 1.0), Guest("owner", 1.0)]
    house = House(LIMITS)
    for guest in (*crowd, *others):
        house.enter(guest)
    assert _gone(crowd) == [3]
    assert _gone(others) == []


def test_a_place_is_free_again_when_its_guest_leaves() -> None:
    """Leaving twice is no matter."""
    house, first = House(LIMITS), Guest("a", 1.0)
    house.enter(first)
    house.leave(first)
    house.leave(first)
    assert len(house) == 0
