"""How many small jobs there may be at once: in all, of guests together, and of one guest."""

from __future__ import annotations

from collections import Counter
from contextlib import contextmanager
from typing import TYPE_CHECKING

from controller.core.errors import BusyError

if TYPE_CHECKING:
    from collections.abc import Iterator


class Room:
    """Counts jobs that are at work or wait.

    Args:
        jobs_max: of all.
        guests_max: of all guests together, so that others find room in any case.
        one_guest_max: of one guest.
    """

    def __init__(self, *, jobs_max: int, guests_max: int, one_guest_max: int) -> None:
        self._jobs_max, self._guests_max = jobs_max, guests_max
        self._one_guest_max = one_guest_max
        self._jobs = 0
        self._of_guests: Counter[str] = Counter()

    @property
    def has_guests(self) -> bool:
        """Whether any of the jobs is a guest's."""
        return self._of_guests.total() > 0

    @contextmanager
    def place(self, guest: str | None) -> Iterator[None]:
        """A place for one job, until the block ends; `guest` tells guests apart, None is none.

        Raises:
            BusyError: there is no room for it.
        """
        if self._jobs >= self._jobs_max:
            raise BusyError("too many plans are being looked at: try again in a moment")
        if guest is not None:
            self._refuse_crowds(guest)
            self._of_guests[guest] += 1
        self._jobs += 1
        try:
            yield
        finally:
            self._jobs -= 1
            if guest is not None:
                self._leave(guest)

    def _refuse_crowds(self, guest: str) -> None:
        is_full = self._of_guests.total() >= self._guests_max
        if is_full or self._of_guests[guest] >= self._one_guest_max:
            raise BusyError("guests try out enough plans already: try again in a moment, or log in")

    def _leave(self, guest: str) -> None:
        self._of_guests[guest] -= 1
        if not self._of_guests[guest]:
            del self._of_guests[guest]
