"""Who may connect while others are, and how often one may ask."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from controller.shell.control_socket.limits import Limits, Rate, TokenBucket, may_connect

LIMITS = Limits(clients_max=10, clients_of_one_user_max=6, clients_kept_for_root=2)
OWN, ROOT, ANNA, BEN = 990, 0, 1000, 1001


@pytest.mark.parametrize(
    ("uid", "connected", "why_not"),
    [
        (ANNA, [], None),
        (ANNA, [ANNA] * 5, None),
        (ANNA, [ANNA] * 6, "6 clients of this user are connected, as many as may be"),
        (BEN, [ANNA] * 6, None),  # one user cannot shut another out
        (BEN, [ANNA] * 6 + [BEN], None),
        (BEN, [ANNA] * 6 + [BEN] * 2,
         "8 clients are connected; the last places are kept for root"),
        (ROOT, [ANNA] * 6 + [BEN] * 2, None),
        (OWN, [ANNA] * 6 + [BEN] * 2 + [ROOT], None),
        (ROOT, [ROOT] * 9, None),
        (ROOT, [ROOT] * 10, "10 clients are connected, as many as may be"),
    ],
)  # fmt: skip
def test_who_may_connect(uid: int, connected: list[int], why_not: str | None) -> None:
    """A share for each user, and the last places for those who mend things."""
    assert may_connect(uid, connected, LIMITS, own_uid=OWN) == why_not


def test_the_usual_limits_leave_room_for_everybody() -> None:
    """A user at their share leaves room for another, and two for root."""
    limits = Limits()
    assert limits.clients_of_one_user_max < limits.clients_max - limits.clients_kept_for_root
    assert limits.requests_in_hand_of_one_user_max < limits.requests_in_hand_max


def test_a_bucket_lets_some_through_at_once_and_then_one_at_a_time() -> None:
    """After a rest it is full again, and no fuller."""
    bucket = TokenBucket(Rate(10.0, 3), now_s=100.0)
    for _ in range(3):
        assert bucket.wait_s(100.0) == 0
        bucket.take(100.0)
    assert bucket.wait_s(100.0) == pytest.approx(0.1)
    assert bucket.wait_s(100.05) == pytest.approx(0.05)
    assert bucket.wait_s(100.1) == pytest.approx(0.0)
    bucket.take(100.1)
    for _ in range(3):
        assert bucket.wait_s(999.0) == 0
        bucket.take(999.0)
    assert bucket.wait_s(999.0) > 0


@given(st.lists(st.floats(0, 3), max_size=60))
def test_a_bucket_never_lets_more_through_than_it_may(rests_s: list[float]) -> None:
    """Over any time: what it holds, and its rate times that time."""
    bucket, now_s, passed = TokenBucket(Rate(5.0, 4), now_s=0.0), 0.0, 0
    for rest_s in rests_s:
        now_s += rest_s
        while bucket.wait_s(now_s) == 0:
            bucket.take(now_s)
            passed += 1
        assert passed <= 4 + 5.0 * now_s + 1e-6
