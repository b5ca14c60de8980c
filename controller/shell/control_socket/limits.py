"""How much of the daemon its clients may have: every number that bounds them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from controller.core.messages.rpc import ANSWER_BYTES_MAX

if TYPE_CHECKING:
    from collections.abc import Sequence


class Rate(NamedTuple):
    """How often something may happen, and how many times at once after a rest."""

    per_s: float
    at_once: int


class Limits(NamedTuple):
    """Bounds over all clients, over those of one user, and over each one.

    A page and a few terminals need a tenth of them; what lies beyond is somebody's mistake
    or malice, and must cost the pump nothing.
    """

    clients_max: int = 32
    clients_of_one_user_max: int = 20
    clients_kept_for_root: int = 4  # and for the daemon's own user
    requests_in_hand_max: int = 64
    requests_in_hand_of_one_user_max: int = 32
    requests_in_hand_of_one_client_max: int = 8
    # So often, and so many at once after a rest: of one client, of all, and of new ones. On the
    # smallest board a status costs some 10 ms, so that all together have half of a core.
    requests_of_one_client: Rate = Rate(per_s=20.0, at_once=40)
    requests: Rate = Rate(per_s=50.0, at_once=100)
    connections: Rate = Rate(per_s=50.0, at_once=100)
    received_bytes_max: int = 2 * 1024 * 1024  # of lines that are not whole yet, all clients
    unread_bytes_max: int = 8 * 1024 * 1024  # of answers that wait for slow readers, all clients
    unread_bytes_of_one_client_max: int = 4 * 1024 * 1024
    answer_bytes_max: int = ANSWER_BYTES_MAX
    entries_waiting_max: int = 500  # journal entries for a subscriber that reads slowly
    line_s: float = 10.0  # from a line's first byte to its last
    unread_s: float = 10.0  # an answer must be read within
    idle_s: float = 300.0  # without a request; a subscriber may be silent for ever
    answer_s: float = 120.0  # a plan's dry run on a small board is the longest work there is
    farewell_s: float = 1.0  # from the last word to the end of a connection


def may_connect(uid: int, connected: Sequence[int], limits: Limits, *, own_uid: int) -> str | None:
    """None if one more client of that user may come, else why not.

    `connected` has the user of every client there is. No user but root and the daemon's own
    can shut the others out: of the last places one user gets none, and the very last are
    kept for those who mend things.
    """
    if len(connected) >= limits.clients_max:
        return f"{limits.clients_max} clients are connected, as many as may be"
    if uid in (0, own_uid):
        return None
    if len(connected) >= limits.clients_max - limits.clients_kept_for_root:
        return f"{len(connected)} clients are connected; the last places are kept for root"
    share = limits.clients_of_one_user_max
    if sum(1 for other in connected if other == uid) >= share:
        return f"{share} clients of this user are connected, as many as may be"
    return None


class TokenBucket:
    """Lets so many through a second, and some more after a rest."""

    def __init__(self, rate: Rate, *, now_s: float) -> None:
        self._per_s = rate.per_s
        self._at_once = float(rate.at_once)
        self._tokens = self._at_once
        self._filled_s = now_s

    def wait_s(self, now_s: float) -> float:
        """How long until the next may pass; 0 if it may now."""
        self._fill(now_s)
        return max(0.0, (1.0 - self._tokens) / self._per_s)

    def take(self, now_s: float) -> None:
        """One passes."""
        self._fill(now_s)
        self._tokens -= 1.0

    def _fill(self, now_s: float) -> None:
        gained = (now_s - self._filled_s) * self._per_s
        self._tokens = min(self._at_once, self._tokens + gained)
        self._filled_s = now_s
